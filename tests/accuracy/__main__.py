from __future__ import annotations

import sys

from tests.accuracy import gores, table

for line in gores.rows() if sys.argv[1:] == ["gores"] else table.rows():
    print(line, flush=True)
