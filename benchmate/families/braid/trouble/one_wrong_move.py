"""The places in a braid that one wrong move explains.

The move was left out, or its strand was laid in another empty slot, or another strand was laid in its slot. All later
moves were possible, else the maker would have noticed. A wrong move leaves one slot filled that should be empty, and
one empty that should be filled; and a later move that leaves or fills one of these two is not possible. So the wrong
move can only be the last one at either of the two slots that are seen to be so, and it is known from them what it was.
"""

from collections.abc import Sequence, Set
from itertools import islice
from typing import NamedTuple

from benchmate.craft.trouble.last_knots import MOST_TOLD, hanging_differs, to_tell
from benchmate.craft.trouble.trouble import Place, Places
from benchmate.craft.trouble.wrong_step import DoneInstead, OtherMove, WrongStep
from benchmate.families.braid.work import BraidWork


class _Explained(NamedTuple):
    """The place of the wrong move in the order of work, what was done instead, and which strand took whose part."""

    at: int
    made: DoneInstead
    instead_of: int = 0
    strand: int = 0


def places_with_one_wrong_move(
    work: BraidWork, sequence: Sequence[int], seen: Sequence[str], knots: Sequence[str | None], near: int
) -> Places:
    """The places, those nearest to `near` first; `seen` and `knots` as in `Trouble`."""
    colours = {0: "", **work.colours}
    last_at = [-1] * len(seen)
    places: list[Place] = []
    for done, differs, lies in hanging_differs(work, sequence, colours, seen):
        if done:
            move = sequence[done - 1]
            last_at[work.swapped_at(move) - 1] = last_at[work.swapped_with(move) - 1] = done - 1
        if not 2 <= len(differs) <= 3:
            continue
        why = _explained(work, sequence, last_at, differs, lies, seen)
        if why is None:
            continue
        moved = _moved_last(work, sequence, done, why, max(MOST_TOLD, len(knots)))
        shown = [colours[strand] for strand in moved]
        told = shown[len(shown) - len(knots) :]
        if len(told) == len(knots) and all(
            name is None or name == colour for name, colour in zip(knots, told, strict=True)
        ):
            places.append(Place(done, WrongStep(sequence[why.at], (why.made,)), shown[-MOST_TOLD:]))
    places.sort(key=lambda place: (abs(place.done - near), place.done))
    return Places(places, to_tell(place.last for place in places), len(places))


def _explained(
    work: BraidWork,
    sequence: Sequence[int],
    last_at: Sequence[int],
    differs: Set[int],
    lies: Sequence[int],
    seen: Sequence[str],
) -> _Explained | None:
    """What explains that these slots, from 0, are not as charted, where `lies` says what lies in each by the chart."""
    extra = [slot for slot in differs if seen[slot] and not lies[slot]]
    missing = [slot for slot in differs if lies[slot] and not seen[slot]]
    if len(extra) != 1 or len(missing) != 1:
        return None
    (filled,), (empty,) = extra, missing
    at = max(last_at[filled], last_at[empty])
    if at < 0:
        return None
    colours, move = work.colours, sequence[at]
    source, target, strand = work.swapped_at(move) - 1, work.swapped_with(move) - 1, work.strand(move)
    if seen[filled] != colours[strand]:
        return None
    others = differs - {filled, empty}
    if target == empty:
        made = None if source == filled else OtherMove(source + 1, filled + 1)
        return None if others else _Explained(at, made)
    # Another strand was taken: it goes wherever the right one should have gone.
    other = lies[empty]
    differ = {lies.index(strand)} if colours[other] != colours[strand] else set()
    if others != differ or any(seen[slot] != colours[other] for slot in differ):
        return None
    return _Explained(at, OtherMove(empty + 1, target + 1), strand, other)


def _moved_last(work: BraidWork, sequence: Sequence[int], done: int, why: _Explained, most: int) -> list[int]:
    """The strands that were really moved last, at most so many, oldest first."""
    moved = (
        why.strand if why.instead_of and at >= why.at and strand == why.instead_of else strand
        for at in range(done - 1, -1, -1)
        if at != why.at or why.made is not None
        for strand in (work.strand(sequence[at]),)
    )
    return [*islice(moved, most)][::-1]


def lies_instead(work: BraidWork, lies: Sequence[int], wrong: WrongStep) -> list[int]:
    """The strand in every slot at a place with a wrong move, from what lies there by the chart."""
    found, made = list(lies), wrong.made[0]
    source, target = work.swapped_at(wrong.step) - 1, work.swapped_with(wrong.step) - 1
    if isinstance(made, OtherMove) and made.source != source + 1:
        strand, other = work.strand(wrong.step), made.source - 1
        found[found.index(strand)], found[source], found[other] = found[other], strand, 0
    else:
        other = made.target - 1 if isinstance(made, OtherMove) else source
        found[target], found[other] = 0, found[target]
    return found


def puts_right(work: BraidWork, lies: Sequence[int], wrong: WrongStep) -> OtherMove | None:
    """The one move that leaves the colours as charted; None where the wrong move has to come out for that.

    `lies` is the strand in every slot by the chart.
    """
    made, source, target = wrong.made[0], work.swapped_at(wrong.step), work.swapped_with(wrong.step)
    if not isinstance(made, OtherMove):
        return OtherMove(source, target)
    if made.source == source:
        return OtherMove(made.target, target)
    alike = work.colours[lies[made.source - 1]] == work.colours[work.strand(wrong.step)]
    return OtherMove(source, made.source) if alike else None
