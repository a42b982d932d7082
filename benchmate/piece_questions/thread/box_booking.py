"""What a finished piece used of the maker's box: the threads that get shorter, and the offcuts to put back."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from benchmate.craft.thread.box_thread import BoxThread
from benchmate.craft.thread.cutting import NotLongEnough, cutting
from benchmate.craft.thread.length_to_cut import Length
from benchmate.craft.wording.length_words import length_words
from benchmate.piece_questions.thread.cut_strings import CutStrings, has_lengths
from benchmate.piece_questions.thread.new_thread import without_cut
from benchmate.store.open_piece import OpenPiece
from benchmate.store.thread.box import Box, threads_in
from benchmate.store.thread.cuts import Cut
from benchmate.store.thread.measurements_kept import Left
from benchmate.store.thread.thread_told import ThreadTold, nothing_told, told_of
from benchmate.thread_at_hand import sources, standing_for

QUESTION = "Take what was used from the box and put the offcuts back?"
QUESTION_WITHOUT = "Take what was used from the box?"
BY_TODAY = "What was cut was not kept, so this is by today's cut list."
REST_BY_TODAY = "Not all that was cut was ticked off: the rest is by today's cut list."
YES, NO, NO_OTHERS = "yes, book it", "no, leave the box as it is", "no, I cut from others"
ONLY_TOLD = "only what I told you; the rest I cut from others"


class BoxBooking(NamedTuple):
    """What is left of each thread that was cut into, the offcuts to put back, and all of it in lines.

    It is `supposed` where nothing tells which threads some lengths were cut from, but some of the box fit; `told` is
    then the same without these lengths, if there are others. `by_today` says which lengths not even were kept.
    """

    left: Mapping[int, float]
    put_back: list[BoxThread]
    lines: list[str]
    supposed: bool
    by_today: str = ""
    told: "BoxBooking | None" = None

    @property
    def question(self) -> str:
        """What is asked before it is booked."""
        asked = QUESTION if self.put_back else QUESTION_WITHOUT
        return f"{self.by_today} {asked}" if self.by_today else asked

    @property
    def answers(self) -> list[str]:
        """The answers; `chosen` has what each books."""
        return [YES, *([] if self.told is None else [ONLY_TOLD]), NO_OTHERS if self.supposed else NO]

    def chosen(self, answer: int | None) -> "BoxBooking | None":
        """What an answer books, by its place; None where it books nothing."""
        return self if answer == 0 else self.told if answer == 1 else None


class _Used(NamedTuple):
    """A length that was cut, the thread of the box it came from, and what is left of each of its ends."""

    cut: Cut
    thread: BoxThread
    ends: Sequence[float]


def may_be_booked(held: OpenPiece) -> bool:
    """Whether the lengths of a piece came from the box, or may have. Raises StoreError."""
    if not has_lengths(held):
        return False
    told = _told(held)
    if any(cut.thread is not None for cut in [*told.lengths_cut, *new_ones(held)]):
        return True
    design = held.whole.main.design
    # The cut list itself is not worked out before it is asked for: that takes a while in a large picture.
    colours = design.colours if told.was_cut is None else [cut.length.colour for cut in told.lengths_cut]
    standing = standing_for(design, [colour for colour in colours if colour in design.colours], threads_in(held.home))
    return any(standing.values())


def booking_of(held: OpenPiece, box: Box, left: Sequence[Left], units: str, scrap: float) -> BoxBooking | None:
    """What to book for a piece, of whose lengths so much is left. None where nothing of it is in the box.

    Ends shorter than `scrap` are not kept. Raises StoreError.
    """
    told, threads = _told(held), box.threads()
    rest = CutStrings(held).not_told if told.was_cut is None else []
    cuts = _corrected(told.lengths_cut, left)
    if not any(cut.thread is not None for cut in cuts):
        cuts, rest = [], [*cuts, *rest]
    known = [*cuts, *new_ones(held)]
    guessed = _supposed(held, _corrected(rest, left), _likely(threads, cuts, held), scrap)
    booked = _booked(known, threads, left, units, scrap)
    if not _used(guessed, threads, left):
        return booked
    by_today = "" if told.was_cut is not None else REST_BY_TODAY if told.lengths_cut else BY_TODAY
    everything = _booked([*cuts, *guessed, *new_ones(held)], threads, left, units, scrap)
    return None if everything is None else everything._replace(supposed=True, by_today=by_today, told=booked)


def _booked(
    cuts: Sequence[Cut], threads: Sequence[BoxThread], left: Sequence[Left], units: str, scrap: float
) -> BoxBooking | None:
    """What to book for these lengths; None where none came from the box."""
    used = _used(cuts, threads, left)
    if not used:
        return None
    after, shorter = _shorter(used, units)
    put_back, backs = _put_back(used, units, scrap)
    gone = {cut.thread for cut in cuts if cut.thread is not None} - set(after)
    lines = [*shorter, *backs, *([f"threads that are no longer in the box: {len(gone)}"] if gone else [])]
    return BoxBooking(after, put_back, lines, supposed=False)


def _likely(threads: Sequence[BoxThread], cuts: Sequence[Cut], held: OpenPiece) -> list[BoxThread]:
    """The threads without what was cut from them, of each colour only those that were cut into, where some were."""
    into = {cut.thread for cut in cuts if cut.thread is not None}
    colours = {thread.colour for thread in threads if thread.number in into}
    left = without_cut(threads, held)
    return [thread for thread in left if thread.number in into or thread.colour not in colours]


def new_ones(held: OpenPiece) -> list[Cut]:
    """The lengths that were cut for new strings, in the place of strings that ran short."""
    return [Cut(Length(new.colour, (new.string,), new.mm), new.thread) for new in held.new_strings]


def _told(held: OpenPiece) -> ThreadTold:
    return nothing_told() if held.piece is None else told_of(held.database, held.piece)


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
    if not cuts:
        return []
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
