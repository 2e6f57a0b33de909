"""All checks, and their table."""

from __future__ import annotations

from collections.abc import Iterator

from tests.accuracy import clay, lines, profiles
from tests.accuracy.checks import Check

CHECKS: tuple[Check, ...] = (*profiles.CHECKS, *lines.CHECKS, *clay.CHECKS)


def rows() -> Iterator[str]:
    """The lines of the Markdown table, as the checks are measured."""
    yield "| construct | outside source | largest difference, mm |"
    yield "| --- | --- | --- |"
    for check in CHECKS:
        yield f"| {check.construct} | {check.source} | {check.measure():.0e} |"
