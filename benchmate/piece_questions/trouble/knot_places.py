"""Where a knot is, for eyes on the band: its row, its place in the row, and how far back that row is."""

from collections.abc import Sequence

from benchmate.craft.start_band_finish import WholePiece
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.trouble_words import across
from benchmate.store.open_piece import OpenPiece


def place_of(held: OpenPiece, number: int) -> str:
    """`row 14, third from the left`: among the knots of its row that are there."""
    whole = held.whole
    part = whole.part_of(number)
    if part.design.family.row_word != "row":
        return f"{part.called} step {number - part.first + 1}"
    return f"row {whole.step(number).row}, {place_in_row(held, number)}"


def place_in_row(held: OpenPiece, number: int) -> str:
    """`third from the left`; `the only knot` where there is no other."""
    first, end = held.whole.span(held.whole.row_of(number))
    there = [other for other in range(first, end) if other == number or not is_left_out(held, other)]
    # Every other row of a picture is numbered from the right.
    there.sort(key=lambda other: place_across(held.whole, other))
    return across(there.index(number) + 1, len(there))


def names_apart(held: OpenPiece, numbers: Sequence[int]) -> list[str]:
    """What to call knots whose places were said: by their rows, `row 14`; in one row, by their places in it."""
    rows = [held.whole.step(number).row for number in numbers]
    if len(set(rows)) == len(rows):
        return [f"row {row}" for row in rows]
    return [place_in_row(held, number) for number in numbers]


def rows_back(held: OpenPiece, number: int) -> str:
    """How far the row of a knot is behind the last row with a knot: `in your last row`, `3 rows back`."""
    whole = held.whole
    last = max((whole.row_of(other) for other in held.progress.history), default=0)
    back = last - whole.row_of(number)
    return f"{counted(back, 'row')} back" if back > 0 else "in your last row"


def is_left_out(held: OpenPiece, number: int) -> bool:
    """True for a tied knot that was left out, as far as that is known."""
    return number in held.made and held.made[number] is None


def place_across(piece: WholePiece, number: int) -> int:
    """The position of a step across the band, from 1."""
    part = piece.part_of(number)
    return part.design.family.words.place_across(part.work.step(number - part.first))


def colour_shown(piece: WholePiece, step: int) -> str | None:
    """The colour name that a knot of the band shows in such a piece; None where it is left out."""
    if piece.how_made(step) is None:
        return None
    return piece.main.design.body.colour_of(piece.knotting(step))
