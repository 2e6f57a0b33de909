"""The order of work of a laid piece, for the bench: chapters of short numbered steps with the pot's own numbers.

The laid piece is read anew here: congruent strokes are found and told as marks to be joined, point marks as
places on the grid. ``chapters`` gives plain records; ``written`` sets them as Markdown or JSON."""

from motif.outputs.method.chapters import Chapter, chapters

__all__ = ["Chapter", "chapters"]
