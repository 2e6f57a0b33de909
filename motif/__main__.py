"""``python -m motif``."""

import sys

from motif.cli import main

sys.exit(main())
