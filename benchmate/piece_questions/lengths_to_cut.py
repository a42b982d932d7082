"""The lengths that are cut for a piece before its first step, and from what."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from benchmate.craft.laying_out import LayingOut, LayingStep
from benchmate.craft.wording.length_words import length_words
from benchmate.store.errors import StoreError
from benchmate.store.open_piece import OpenPiece
from benchmate.store.thread.cuts import Cut, WasCut

if TYPE_CHECKING:
    from benchmate.craft.thread.cutting_steps.length_steps import From


class Parts(NamedTuple):
    """The lengths to cut, one a step, or None where there is nothing to cut; and what hangs.

    `notice` tells why the lengths do not say from what they are cut, where that was tried.
    """

    cutting: LayingOut | None
    hanging: LayingOut
    notice: str = ""


def cuts_now(held: OpenPiece) -> bool:
    """True before the first step of a piece that has lengths to cut."""
    to_cut = held.whole.to_cut
    return held.progress.done == 0 and held.may_lay_out and to_cut is not None and to_cut.has_lengths


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
    return Parts(held.whole.cutting_out(sources), held.whole.laying_out(), notice)


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


def what_was_cut(held: OpenPiece, steps: Sequence[LayingStep]) -> WasCut:
    """All lengths of a piece, as they were ticked off in these steps."""
    to_cut = held.whole.to_cut
    assert to_cut is not None
    assert to_cut.cuts is not None
    threads = {step.length: step.thread for step in steps}
    lengths = to_cut.cuts.lengths
    return to_cut.cuts.gauge.name, [Cut(length, threads.get(at)) for at, length in enumerate(lengths)]
