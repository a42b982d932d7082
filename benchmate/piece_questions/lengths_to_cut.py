"""The lengths that are cut for a piece before its first step, and from what."""

from typing import TYPE_CHECKING, NamedTuple

from benchmate.craft.laying_out import LayingOut, LayingPlace
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.length_words import length_words
from benchmate.store.errors import StoreError
from benchmate.store.open_piece import OpenPiece
from benchmate.store.thread.cuts import Cut
from benchmate.store.thread.thread_told import which

if TYPE_CHECKING:
    from benchmate.craft.thread.cutting_steps.length_steps import From


class Parts(NamedTuple):
    """The lengths to cut, one a step, or None where there is nothing to cut; and what hangs.

    `notice` tells why lengths are cut once more, and why they do not say from what, where that was tried.
    """

    cutting: LayingOut | None
    hanging: LayingOut
    notice: str = ""


def cuts_now(held: OpenPiece) -> bool:
    """True before the first step of a piece that has lengths to cut, unless all of them are cut."""
    to_cut = held.whole.to_cut
    if held.progress.done or not held.may_lay_out or to_cut is None or not to_cut.has_lengths:
        return False
    # Which lengths there are is worked out only where some are known to be cut, as that takes a while in a picture.
    return held.was_cut is None or to_cut.cuts is None or len(cut_already(held)) < len(to_cut.cuts.lengths)


def in_the_middle(held: OpenPiece) -> bool:
    """True before the first step of a piece of whose lengths some are ticked off as cut, and some not."""
    return bool(held.ticked) and cuts_now(held) and bool(cut_already(held))


def how_many_cut(held: OpenPiece) -> str:
    """`2 of 6 lengths cut.`, in the middle of them."""
    to_cut = held.whole.to_cut
    if not in_the_middle(held) or to_cut is None or to_cut.cuts is None:
        return ""
    return f"{len(cut_already(held))} of {counted(len(to_cut.cuts.lengths), 'length')} cut."


def cut_already(held: OpenPiece) -> dict[int, Cut]:
    """The lengths that are cut, as their maker said, by their place in the cut list.

    One that is to be longer by now is to be cut again.
    """
    to_cut = held.whole.to_cut
    told = held.lengths_cut
    if not told or to_cut is None or to_cut.cuts is None:
        return {}
    known = {which(cut.length): cut for cut in told}
    found = ((at, length, known.get(which(length))) for at, length in enumerate(to_cut.cuts.lengths))
    return {at: cut for at, length, cut in found if cut is not None and cut.length.cut_mm >= length.cut_mm}


def _cut_too_short(held: OpenPiece) -> list[Cut]:
    """The lengths that were cut, and are to be longer by now."""
    to_cut = held.whole.to_cut
    if to_cut is None or to_cut.cuts is None:
        return []
    needed = {which(length): length.cut_mm for length in to_cut.cuts.lengths}
    return [cut for cut in held.lengths_cut if cut.length.cut_mm < needed.get(which(cut.length), 0.0)]


def cutting_words(held: OpenPiece) -> str:
    """What is offered before the first step: `cut and lay out the strings`, or `cut the lengths` before a start."""
    laying = held.whole.laying_out()
    if not held.lays_out_now:
        return "cut the lengths"
    return f"cut and {laying.words}" if laying.what == "the strings" else f"cut the lengths, {laying.words}"


def parts_of_laying_out(held: OpenPiece, scrap_mm: float) -> Parts:
    """The lengths to cut, and what hangs.

    Where the maker's box has threads for it, the lengths say from which; ends shorter than `scrap_mm` are not kept.
    """
    # Imported here: only where there is something to cut, not at every start.
    from benchmate.craft.thread.cutting import NotLongEnough

    sources: dict[int, From] = {}
    notice = ""
    try:
        sources = _sources(held, scrap_mm)
    except NotLongEnough as error:
        notice = _not_long_enough(held, error.index)
    except StoreError as error:
        notice = f"Your box cannot be read, so it is not said from what to cut. {error}"
    if cuts_now(held) and (again := _cut_too_short(held)):
        notice = " ".join(filter(None, (_cut_once_more(len(again)), notice)))
    return Parts(held.whole.cutting_out(sources), held.whole.laying_out(), notice)


def _cut_once_more(lengths: int) -> str:
    are, them = ("is", "it") if lengths == 1 else ("are", "them")
    longer = f"{counted(lengths, 'length')} {are} to be longer by now: cut {them} once more."
    return f"{longer} Until then, what you cut is kept."


def _not_long_enough(held: OpenPiece, index: int) -> str:
    to_cut = held.whole.to_cut
    assert to_cut is not None
    assert to_cut.cuts is not None
    length = to_cut.cuts.lengths[index]
    called = f"{held.whole.main.design.say(length.colour)} {length_words(length.cut_mm, to_cut.thread.units)}"
    return f"{called} is longer than a skein and any thread in your box, so it is not said from what to cut."


def _sources(held: OpenPiece, scrap_mm: float) -> "dict[int, From]":
    """From what the lengths are cut, by their place in the cut list; nothing where the box has no thread for them.

    Raises NotLongEnough and StoreError.
    """
    to_cut, design = held.whole.to_cut, held.whole.main.design
    if to_cut is None or to_cut.cuts is None:
        return {}
    from benchmate.craft.thread.cutting_steps.length_steps import From
    from benchmate.store.thread.box import threads_in
    from benchmate.thread_at_hand import cutting_from_box, standing_for

    threads = {thread.number: thread for thread in threads_in(held.home)}
    standing = standing_for(design, to_cut.cuts.colours, list(threads.values()))
    if not any(standing.values()):
        return {}
    # A person with scissors in hand does not wait for a proof.
    cutting = cutting_from_box(design, to_cut.cuts, standing, scrap_mm=scrap_mm, quick=True)
    sources: dict[int, From] = {}
    for number, found in enumerate(cutting.sources):
        thread = found.source.thread
        words = (
            f"a new skein of {design.say(found.colour)}"
            if thread is None
            else f"{found.source.kind} {threads[thread].name}"
        )
        sources |= dict.fromkeys(found.lengths, From(words, thread, number))
    return sources


def all_cut(lengths: int) -> str:
    """`all 3 lengths cut`."""
    return f"all {lengths} lengths cut" if lengths > 1 else "length cut"


def place_of(held: OpenPiece, parts: Parts, before: LayingPlace | None = None) -> LayingPlace:
    """Where the maker is in laying out: where they were `before` in this window, or after what is cut already."""
    cut = cut_already(held)
    place = before or LayingPlace(parts.cutting, parts.hanging, cut)
    place.renew(parts.cutting, parts.hanging, cut)
    return place


def keep_cut(held: OpenPiece, place: LayingPlace) -> None:
    """Saves which lengths are cut. Raises StoreError, and TakenOver when another window holds the piece."""
    to_cut = held.whole.to_cut
    assert to_cut is not None
    assert to_cut.cuts is not None
    already, lengths = cut_already(held), to_cut.cuts.lengths
    cuts = {
        step.length: already.get(step.length) or Cut(lengths[step.length], step.thread)
        for step in place.cut
        if step.length is not None
    }
    if place.all_cut:
        held.keep_cut((to_cut.cuts.gauge.name, [cuts[at] for at in range(len(lengths))]))
        return
    again = {which(cut.length) for cut in cuts.values()}
    # What is too short by now was cut all the same.
    short = [cut for cut in _cut_too_short(held) if which(cut.length) not in again]
    if held.was_cut is not None and already.keys() - cuts.keys():
        held.take_cut_back([*cuts.values(), *short])
    else:
        held.tick([*cuts.values(), *(cut for cut in short if cut in held.ticked)])
