"""Simulated makers: whether what is said of their strings comes true."""

import math
from collections import Counter
from random import Random

import pytest

from benchmate.craft.knots import Knot
from benchmate.craft.thread.counts import Counts
from benchmate.craft.thread.estimate import Estimate
from benchmate.craft.thread.gauge import FLOSS
from benchmate.craft.trouble.string_outlook import Outlook, Used, outlook, spare_mm, used_here
from benchmate.families.diagonal.trouble.thread_to_come import ThreadToCome
from benchmate.families.diagonal.work import DiagonalWork
from tests.charts import random_chart

PIECES = 120
ROWS = 40
SHARES = ("made_mm", "carried_mm", "stayed_mm", "waited_mm")


class Maker:
    """A maker whose numbers differ from the gauge by up to 25 %, each by itself, with a tension of the day."""

    def __init__(self, chance: Random) -> None:
        self._mm: list[float] = [getattr(FLOSS, field) * chance.uniform(0.75, 1.25) for field in SHARES]
        self._day: float = chance.gauss(1, 0.04)

    def uses(self, counts: Counts) -> float:
        """What a string really uses, mm."""
        return self._day * math.fsum(count * mm for count, mm in zip(counts, self._mm, strict=True))


@pytest.mark.parametrize("measured", [0, 1, 3])
def test_certain_strings_last_and_short_ones_run_short(measured: int) -> None:
    chance, estimate, came = Random(measured), Estimate(), Counter[tuple[Outlook, bool]]()
    for _ in range(PIECES):
        maker, work = Maker(chance), DiagonalWork(random_chart(chance, 6, ROWS, [*Knot]), 1)
        first, half = map(ThreadToCome(work, range(work.size)).still_does, (0, work.size // 2))
        # Cut anywhere from too short to long enough, as a maker without a list does.
        hung = [estimate.needs_mm(counts) * chance.uniform(0.85, 1.35) + FLOSS.hold_mm for counts in first]
        own = [chance.gauss(1, 0.03) for _ in first]
        takes = [maker.uses(counts) * noise for counts, noise in zip(first, own, strict=True)]
        still = [maker.uses(counts) * noise for counts, noise in zip(half, own, strict=True)]
        left = [max(0.0, hung[at] - takes[at] + still[at]) for at in range(6)]
        seen = chance.sample(range(6), measured)
        expected = [estimate.needs_mm(first[at]) - estimate.needs_mm(half[at]) for at in range(6)]
        here = used_here([Used(hung[at] - left[at], expected[at], left[at]) for at in seen])
        for at in range(6):
            mm, counts, needed = (left[at], half[at], still[at]) if at in seen else (hung[at], first[at], takes[at])
            needs = estimate.needs_mm(counts) * here.share
            found = outlook(mm, FLOSS.hold_mm, needs, spare_mm(needs, here, estimate.spare_mm(counts)))
            came[found, mm - FLOSS.hold_mm < needed] += 1

    def share_short(found: Outlook) -> float:
        return came[found, True] / (came[found, True] + came[found, False])

    # Before anything is measured, certain only means a fifth to spare.
    assert share_short(Outlook.CERTAIN) <= (0.01 if measured else 0.04)
    assert 0.02 < share_short(Outlook.PROBABLE) < 0.5
    assert share_short(Outlook.SHORT) > (0.75 if measured else 0.6)
