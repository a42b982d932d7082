"""The threads of the box that can stand for the colours of a design, and a whole design cut from them.

`sources` gives, for each colour, what can be cut into, the preferred first: threads of just that colour, then of a
colour close to it, of each the offcuts and begun skeins before whole skeins. `Source.thread` is the number in the box.
`cutting_from_box` gives the whole `Cutting` of a design: where each of its lengths, by index in `CutList.lengths`, is
cut from, with the number of the thread in the box or None for a skein that has to be bought, and what is left of each.
`prices` gives what a skein of each colour costs, where the box says so.
"""

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal

from benchmate.craft.colours.colour import Colour
from benchmate.craft.colours.colour_difference import difference
from benchmate.craft.design import Design
from benchmate.craft.thread.box_thread import BoxThread
from benchmate.craft.thread.cut_list import CutList
from benchmate.craft.thread.cutting import Cutting, Source, cutting
from benchmate.craft.thread.usual import USUAL_SCRAP, USUAL_SKEIN
from benchmate.craft.thread.variegated.start_point import with_what_is_left_between

CLOSE = 2.3
"""A thread up to this difference (CIEDE2000) from a colour can stand for it: it is often given as just noticeable."""


class NotInBox(ValueError):
    """No thread in the box is called what was chosen for a colour; the text says so."""


def standing_for(
    design: Design, colours: Iterable[str], threads: Sequence[BoxThread], chosen: Mapping[str, str] | None = None
) -> dict[str, list[BoxThread]]:
    """For each of these colours of a design, the threads that can stand for it, the preferred first.

    They are of the design's kind, and close in colour; a thread that is close to several stands for the nearest.
    `chosen` are the names of threads that stand for a colour although they may not be close, and then they alone do.
    Raises NotInBox.
    """
    chosen = chosen or {}
    wanted = {name: design.colours[name] for name in dict.fromkeys(colours)}
    taken: dict[str, list[tuple[float, BoxThread]]] = {name: [] for name in wanted}
    for thread in threads:
        near = [
            (difference(colour.value, thread.colour), at, name)
            for at, (name, colour) in enumerate(wanted.items())
            if (thread.name == chosen[name] if name in chosen else _may_stand(colour, thread, design.thread))
        ]
        # What was chosen by name goes before what is only near.
        found = min(near, key=lambda each: (each[2] not in chosen, each), default=None)
        if found is not None:
            taken[found[2]].append((found[0], thread))
    for name, called in chosen.items():
        if name in wanted and not any(thread.name == called for thread in threads):
            raise NotInBox(f"there is no thread called {called} in the box")
    return {
        name: [thread for _, thread in sorted(own, key=lambda each: _preferred(*each))] for name, own in taken.items()
    }


def _may_stand(colour: Colour, thread: BoxThread, kind: str) -> bool:
    """Whether a thread is of the kind and close in colour; only a choice by name stands for a variegated thread."""
    return thread.kind == kind and not colour.sequence and difference(colour.value, thread.colour) <= CLOSE


def _preferred(off: float, thread: BoxThread) -> tuple[bool, bool, float, float, int]:
    return off > 0, thread.whole, off, thread.mm, thread.number


def sources(standing: Mapping[str, Sequence[BoxThread]]) -> dict[str, list[Source]]:
    """What can be cut into for each colour, from the threads that stand for it."""
    return {
        name: [Source(thread.sort, thread.mm, thread.number) for thread in threads]
        for name, threads in standing.items()
    }


def prices(standing: Mapping[str, Sequence[BoxThread]]) -> dict[str, Decimal]:
    """What a whole skein of each colour costs: the price of the preferred thread that has one."""
    found: dict[str, Decimal] = {}
    for name, threads in standing.items():
        price = next((thread.price for thread in threads if thread.price is not None), None)
        if price is not None:
            found[name] = price
    return found


def cutting_from_box(
    design: Design,
    cuts: CutList,
    standing: Mapping[str, Sequence[BoxThread]],
    *,
    scrap_mm: float = USUAL_SCRAP,
    quick: bool = False,
) -> Cutting:
    """The best cutting of a design from the threads that stand for its colours and skeins to buy. Raises NotLongEnough.

    What is left of a variegated thread between two lengths counts as cut. A `quick` search gives a good one, without a
    wait.
    """
    lengths = with_what_is_left_between(cuts.lengths, design, USUAL_SKEIN)
    return cutting(lengths, sources(standing), scrap_mm=scrap_mm, quick=quick)
