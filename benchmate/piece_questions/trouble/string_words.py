"""Words for the strings of a piece as they hang, and for places in it."""

from benchmate.piece_questions import knot_choices
from benchmate.store.open_piece import OpenPiece


def called(held: OpenPiece, string: int) -> str:
    """`foam at 3`: its colour, and its place from the left as the strings hang now."""
    return f"{held.whole.main.design.say_of(string)} at {held.progress.hanging.index(string) + 1}"


def where(held: OpenPiece, step: int) -> str:
    """`row 24, knot 137`."""
    return knot_choices.tied_knot(held, step)
