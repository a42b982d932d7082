"""Words for the strings of a piece as they hang."""

from benchmate.store.open_piece import OpenPiece


def string_called(held: OpenPiece, string: int) -> str:
    """`foam at 3`: its colour, and its place from the left as the strings hang now."""
    return f"{held.whole.main.design.say_of(string)} at {held.progress.hanging.index(string) + 1}"
