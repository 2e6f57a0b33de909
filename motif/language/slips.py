"""Slips that potters make, each with its own words, and what was meant instead.

A slip is found where the parser is stuck. Where it is plain what was meant, the slip carries an edit of
the tokens; the parser takes it if the text then goes on, so that one slip gives one message and what
follows is read as meant.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from motif.language import slips_lines as lines
from motif.language import slips_parts as parts
from motif.language import slips_pieces as pieces
from motif.language import slips_signs as signs
from motif.language import slips_words as words
from motif.language.stuck import Slip, Stuck

#: Every slip, in the order in which they are looked for: the particular ones first, then those that
#: would explain much.
SLIPS: tuple[Callable[[Stuck], Slip | None], ...] = (
    signs.decimal_comma,
    signs.doubled_sign,
    signs.letter_for_figure,
    signs.minus_in_name,
    signs.comparison_chain,
    signs.point_without_brackets,
    signs.colon_for_equals,
    signs.point_read_as_mixed,
    signs.per_cent_for_remainder,
    lines.rotated_footprint,
    lines.draw_for_a_technique,
    lines.kind_of_line_first,
    lines.size_before_place,
    lines.marks_along_nothing,
    lines.place_in_words,
    lines.side_of_a_parallel,
    lines.bare_colour,
    lines.copies_without_rotated,
    parts.rows_before_columns,
    parts.grid_without_columns,
    parts.columns_by_steps,
    parts.numbers_of_the_grid,
    parts.grid_without_rows,
    parts.kind_of_profile,
    parts.stations_as_pairs,
    pieces.place_without_word,
    pieces.reach_without_band,
    pieces.several_motifs,
    pieces.band_at_a_place,
    pieces.reserve_without_facing,
    pieces.word_of_the_language_set,
    pieces.given_without_kind,
    pieces.name_without_its_word,
    parts.form_without_profile,
    parts.outline_of_a_circle,
    parts.grid_without_its_word,
    parts.some_of_each,
    pieces.take_from_nowhere,
    parts.round_for_braces,
    pieces.given_without_name,
    lines.work_without_place,
    lines.where_in_the_braces,
    lines.how_before_what,
    lines.unit_of_other_trades,
    lines.repeat_without_name,
    lines.loop,
    lines.value_without_let,
    lines.radius,
    lines.word_behind_measure,
    words.name_of_the_language,
    words.name_with_a_number_first,
    words.name_in_quotes,
    words.text_without_quotes,
    words.unknown_function,
    words.function_without_brackets,
    signs.comma_too_many,
    lines.nothing_worked,
    words.split_word,
    words.other_word,
    words.misspelt,
    words.name_of_several_words,
    words.unknown_technique,
    words.idle_word,
    words.left_out,
)


#: Slips so plain that they hold even where right behind them stands the next one: ``, depth 1,5 mm``.
PLAIN: tuple[Callable[[Stuck], Slip | None], ...] = (signs.comma_too_many, words.other_word)


def find(stuck: Stuck) -> Slip | None:
    """The slip that explains why the text does not go on, if one of them does."""
    return _first(stuck, SLIPS) or _first(replace(stuck, beyond=0), PLAIN)


def _first(stuck: Stuck, slips: Iterable[Callable[[Stuck], Slip | None]]) -> Slip | None:
    last = len(stuck.tokens) - 1
    for look in slips:
        slip = look(stuck)
        if slip is not None and (slip.edit is None or (slip.edit.end <= last and stuck.helps(slip.edit))):
            return slip
    return None
