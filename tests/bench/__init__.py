"""Measurements run by hand: ``python -m tests.bench.cold`` and ``python -m tests.bench.million``.

They judge nothing and are not collected by pytest: a time depends on the machine and on what else it
does. What they found last stands in DEVELOPERS.md.
"""
