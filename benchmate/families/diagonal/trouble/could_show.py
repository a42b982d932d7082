"""Which colours a knot can show, if one of several explanations is what happened."""

from collections.abc import Sequence
from itertools import product

from benchmate.craft.trouble.made_otherwise import MadeOtherwise, swaps
from benchmate.craft.trouble.trouble import WrongKnot
from benchmate.families.diagonal.work import DiagonalWork


def could_show(work: DiagonalWork, explanations: Sequence[tuple[WrongKnot, ...]], step: int) -> tuple[str | None, ...]:
    """The colours that `step` can show, those of the first explanations first; None: it is not there."""
    found: dict[str | None, None] = {}
    for explanation in explanations:
        steps = [wrong.step for wrong in explanation]
        for ways in product(*(wrong.made for wrong in explanation)):
            found.setdefault(shown(work, dict(zip(steps, ways, strict=True)), step))
    return tuple(found)


def shown(work: DiagonalWork, made: MadeOtherwise, step: int) -> str | None:
    """The colour that `step` shows when those in `made` are made otherwise; None when it is not there.

    A knot that changes places where it should not, or does not where it should, exchanges two strings in all that
    follows. So nothing between has to be knotted again.
    """
    now = list(range(len(work.strings) + 1))
    for number in sorted(made):
        if number >= step:
            break
        knot = made[number]
        if swaps(knot) != bool(work.swapped_at(number)):
            left, right = work.takes(number)
            now[left], now[right] = now[right], now[left]
    knot = made[step] if step in made else work.how_made(step)
    if knot is None:
        return None
    left, right = work.takes(step)
    return work.strings[now[left if knot.from_left else right] - 1]
