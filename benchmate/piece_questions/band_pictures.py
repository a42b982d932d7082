"""Saves a picture of the band of a piece."""

from collections.abc import Callable

from benchmate.craft.drawing import CannotDraw, Layout
from benchmate.draw.layout import lay_out
from benchmate.draw.raster import png
from benchmate.files.unexpected import in_one_line
from benchmate.piece_questions.working_folder import saved_as
from benchmate.store.open_piece import OpenPiece


def layout_of(held: OpenPiece) -> Layout | None:
    """The drawing of the band of a piece, as it was really made; None when there is nothing to draw."""
    main = held.whole.main
    try:
        return lay_out(main.design, max(1, held.copy.repeats), main.work if held.whole.instead_of else None)
    except CannotDraw:
        return None


def saved(layout: Layout, piece: int, paint: Callable[[Layout], bytes] = png) -> str:
    """Saves a picture in the working folder, never over another file; says where, or why not.

    The file is named for the number of the piece alone: nothing in a design decides where anything is written.
    """
    try:
        data = paint(layout)
    except Exception as error:
        # Whatever is wrong with the drawing, the piece stays open and says so.
        return f"Not saved: {in_one_line(error)}."
    return saved_as(f"benchmate-piece-{piece}", "png", data)
