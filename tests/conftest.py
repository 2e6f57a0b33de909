"""What all tests have in common."""

from __future__ import annotations

from hypothesis import settings

# The same draws in every run and on every machine, however slow; what a draw finds becomes a test of its own.
settings.register_profile("motif", deadline=None, derandomize=True, database=None)
settings.load_profile("motif")
