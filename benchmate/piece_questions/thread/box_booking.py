"""What a finished piece used of the maker's box: the threads that get shorter, and the offcuts to put back."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from benchmate.craft.thread.box_thread import BoxThread
from benchmate.craft.thread.cutting import NotLongEnough, cutting
from benchmate.craft.wording.length_words import length_words
from benchmate.piece_questions.thread.cut_strings import CutStrings, has_lengths
from benchmate.store.open_piece import OpenPiece
from benchmate.store.thread.box import Box, threads_in
from benchmate.store.thread.cuts import Cut, cuts_of
from benchmate.store.thread.measurements_kept import Left
from benchmate.thread_at_hand import sources, standing_for

QUESTION = "Take what was used from the box and put the offcuts back?"
QUESTION_WITHOUT = "Take what was used from the box?"
BY_TODAY = "What was cut was not kept, so this is by today's cut list."
YES, NO, NO_OTHERS = "yes, book it", "no, leave the box as it is", "no, I cut from others"


class BoxBooking(NamedTuple):
    """What is left of each thread that was cut into, the offcuts to put back, and all of it in lines.

    It is `supposed` where nothing tells which threads were cut into, but some of the box fit; it is `by_today` where
    not even the lengths were kept.
    """

    left: Mapping[int, float]
    put_back: list[BoxThread]
    lines: list[str]
    supposed: bool
    by_today: bool

    @property
    def question(self) -> str:
        """What is asked before it is booked."""
        asked = QUESTION if self.put_back else QUESTION_WITHOUT
        return f"{BY_TODAY} {asked}" if self.by_today else asked

    @property
    def answers(self) -> list[str]:
        """The answers: the first one books it."""
        return [YES, NO_OTHERS if self.supposed else NO]


class _Used(NamedTuple):
    """A length that was cut, the thread of the box it came from, and what is left of each of its ends."""

    cut: Cut
    thread: BoxThread
    ends: Sequence[float]


def may_be_booked(held: OpenPiece) -> bool:
    """Whether the lengths of a piece came from the box, or may have. Raises StoreError."""
    if not has_lengths(held):
        return False
    kept = _kept_cuts(held)
    if kept is not None and any(cut.thread is not None for cut in kept):
        return True
    design = held.whole.main.design
    # The cut list itself is not worked out before it is asked for: that takes a while in a large picture.
    colours = design.colours if kept is None else [cut.length.colour for cut in kept]
    standing = standing_for(design, [colour for colour in colours if colour in design.colours], threads_in(held.home))
    return any(standing.values())


def booking_of(held: OpenPiece, box: Box, left: Sequence[Left], units: str, scrap: float) -> BoxBooking | None:
    """What to book for a piece, of whose lengths so much is left. None where nothing of it is in the box.

    Ends shorter than `scrap` are not kept. Raises StoreError.
    """
    kept, threads = _kept_cuts(held), box.threads()
    cuts = _corrected(CutStrings(held).cuts if kept is None else kept, left)
    known = any(cut.thread is not None for cut in cuts)
    if not known:
        cuts = _supposed(held, cuts, threads, scrap)
    used = _used(cuts, threads, left)
    if not used:
        return None
    after, shorter = _shorter(used, units)
    put_back, backs = _put_back(used, units, scrap)
    gone = {cut.thread for cut in cuts if cut.thread is not None} - set(after)
    lines = [*shorter, *backs, *([f"threads that are no longer in the box: {len(gone)}"] if gone else [])]
    return BoxBooking(after, put_back, lines, supposed=not known, by_today=kept is None)


def _kept_cuts(held: OpenPiece) -> list[Cut] | None:
    kept = None if held.piece is None else cuts_of(held.database, held.piece)
    return None if kept is None else kept[1]


def _which(cut_or_left: Cut | Left) -> tuple[str, tuple[int, ...], int | None]:
    """Which of the lengths of a piece it is of."""
    length = cut_or_left.length
    return length.colour, length.strings, length.leading


def _corrected(cuts: Sequence[Cut], left: Sequence[Left]) -> list[Cut]:
    """What was cut, each as long as the maker corrected it."""
    told = {_which(each): each.length for each in left}
    return [cut._replace(length=told.get(_which(cut), cut.length)) for cut in cuts]


def _supposed(held: OpenPiece, cuts: Sequence[Cut], threads: Sequence[BoxThread], scrap: float) -> list[Cut]:
    """The same with threads of the box from which they may have been cut; as soon as the person may wait for it."""
    design = held.whole.main.design
    cuts = [cut for cut in cuts if cut.length.colour in design.colours]
    standing = standing_for(design, [cut.length.colour for cut in cuts], threads)
    try:
        found = cutting([cut.length for cut in cuts], sources(standing), scrap_mm=scrap, quick=True)
    except NotLongEnough:
        return []
    return [cuts[index]._replace(thread=each.source.thread) for each in found.sources for index in each.lengths]


def _used(cuts: Sequence[Cut], threads: Sequence[BoxThread], left: Sequence[Left]) -> list[_Used]:
    """The lengths that came from threads that are in the box."""
    in_box = {thread.number: thread for thread in threads}
    ends = {_which(each): [each.rest_mm] * each.ends for each in left if each.rest_mm is not None}
    return [
        _Used(cut, in_box[cut.thread], ends.get(_which(cut), []))
        for cut in cuts
        if cut.thread is not None and cut.thread in in_box
    ]


def _shorter(used: Sequence[_Used], units: str) -> tuple[dict[int, float], list[str]]:
    """What is left of the threads that were cut into, and a line for each."""
    left: dict[int, float] = {}
    for cut, thread, _ in used:
        left[thread.number] = max(0.0, left.get(thread.number, thread.mm) - cut.length.cut_mm)
    lines = []
    for thread in {each.thread.number: each.thread for each in used}.values():
        after = left[thread.number]
        ends = "used up" if after == 0 else length_words(after, units)
        called = f"{'skein' if thread.whole else 'offcut'} {thread.name}"
        lines.append(f"{called}: {length_words(thread.mm, units)} → {ends}")
    return left, lines


def _put_back(used: Sequence[_Used], units: str, scrap: float) -> tuple[list[BoxThread], list[str]]:
    """The ends that are long enough to keep, and a line for each; one for those that are not."""
    ends = [(thread, mm) for _, thread, own in used for mm in own]
    kept = [(thread, mm) for thread, mm in ends if mm > 0 and mm >= scrap]
    back = [BoxThread(0, thread.name, thread.colour, thread.kind, mm, whole=False) for thread, mm in kept]
    lines = [f"offcut {each.name}: {length_words(each.mm, units)} back" for each in back]
    if short := len(ends) - len(kept):
        lines.append(f"ends shorter than {length_words(scrap, units)} are not kept: {short}")
    return back, lines
