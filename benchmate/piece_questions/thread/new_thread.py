"""The thread of a new string: what of the box it may be cut from, and where it begins."""

from collections.abc import Sequence

from benchmate.craft.thread.box_thread import BoxThread
from benchmate.store.open_piece import OpenPiece
from benchmate.store.thread.box import threads_in


def threads_for(held: OpenPiece, string: int, mm: float) -> list[BoxThread]:
    """The threads of the box from which a new string of that length may have been cut, the preferred first.

    Each as long as it is after all that was cut from it for this piece. Raises StoreError.
    """
    from benchmate.thread_at_hand import standing_for

    design = held.whole.main.design
    colour = design.strings[string - 1]
    left = without_cut(threads_in(held.home), held)
    return [thread for thread in standing_for(design, [colour], left)[colour] if thread.mm >= mm]


def without_cut(threads: Sequence[BoxThread], held: OpenPiece) -> list[BoxThread]:
    """The threads without what was cut from them for a piece, which is taken off when the piece is finished."""
    taken = [(cut.thread, cut.length.cut_mm) for cut in held.lengths_cut] + [
        (new.thread, new.mm) for new in held.new_strings
    ]
    return [
        thread._replace(mm=max(0.0, thread.mm - sum(mm for number, mm in taken if number == thread.number)))
        for thread in threads
    ]


def where_new_one_begins(held: OpenPiece, string: int, units: str) -> str:
    """Where on a variegated thread a new string begins: `begin where navy begins`; empty for an ordinary one."""
    design = held.whole.main.design
    if not design.is_variegated:
        return ""
    from benchmate.craft.thread.variegated.start_point import where_new_one_begins

    return where_new_one_begins(design, string, units)
