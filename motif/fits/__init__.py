"""Which columns and rows suit a band: what can be turned, each way laid and scored, and the text that sets it."""
