"""Braids on a disk against known mathematical facts."""

from itertools import pairwise
from math import gcd

import pytest

from benchmate.craft.colours.colour import Colour
from benchmate.craft.design import Design
from benchmate.craft.orders import by_rows
from benchmate.craft.progress import Progress
from benchmate.families.braid.body import Braid
from benchmate.families.braid.family import BRAID
from benchmate.families.braid.work import BraidWork

ROUND = Braid(
    32,
    tuple((slot, "deep" if slot in (1, 16, 17, 32) else "foam") for slot in (1, 8, 9, 16, 17, 24, 25, 32)),
    ((1, 15), (17, 31), (9, 23), (25, 7)),
    -1,
)
"""The round braid of eight strands, pairs at the four quarters: common practice."""


def lying(body: Braid, moves: int) -> list[int]:
    """The strand in every slot after `moves` moves."""
    work = BraidWork(body, -(-moves // len(body.moves)) or 1)
    order = by_rows(work)
    return Progress.resume(work, order, order.sequence[:moves]).hanging


def test_the_number_of_strands_never_changes() -> None:
    for moves in range(129):
        lies = lying(ROUND, moves)
        assert sorted(filter(None, lies)) == [slot for slot, _ in ROUND.strands]


def test_a_round_of_four_moves_drifts_one_slot_towards_lower_numbers() -> None:
    filled = [{slot for slot, strand in enumerate(lying(ROUND, 4 * turn), 1) if strand} for turn in range(33)]
    for before, after in pairwise(filled):
        assert after == {(slot - 2) % 32 + 1 for slot in before}


def test_the_relative_permutation_has_order_four() -> None:
    places = [slot for slot, _ in ROUND.strands]
    at_first, later = lying(ROUND, 0), lying(ROUND, 4)
    # The place of each strand among the eight, without the drift.
    lies = {strand: places.index(slot % 32 + 1) for slot, strand in enumerate(later, 1) if strand}
    permutation = {places.index(strand): lies[strand] for strand in filter(None, at_first)}
    power, orders = dict(permutation), 1
    while any(power[place] != place for place in power):
        power = {place: permutation[there] for place, there in power.items()}
        orders += 1
    assert orders == 4


def test_every_strand_is_home_after_128_moves_and_not_before() -> None:
    home = lying(ROUND, 0)
    assert [moves for moves in range(4, 129, 4) if lying(ROUND, moves) == home] == [128]


def from_the_gap(slots: int, by: int) -> Braid:
    """All slots but the first filled; every move takes the strand `by` slots on into the gap."""
    strands = tuple((slot, "deep") for slot in range(2, slots + 1))
    return Braid(slots, strands, ((by + 1, 1),), by)


@pytest.mark.parametrize("slots", range(3, 17))
def test_how_many_strands_move_from_the_gap(slots: int) -> None:
    # M. Scroggs, "Braiding, pt. 2", 2016: all of them if and only if gcd(a, b) = 1, otherwise a / gcd - 1.
    for by in range(1, slots):
        body = from_the_gap(slots, by)
        work = BraidWork(body, 4 * slots * slots)
        moved = {work.step(number).strand for number in range(work.size)}
        assert len(moved) == slots // gcd(slots, by) - 1


def test_published_examples_of_moves_from_the_gap() -> None:
    # The same source: (8, 3) moves 7 strands, (6, 2) moves 2.
    for slots, by, count in ((8, 3, 7), (6, 2, 2)):
        work = BraidWork(from_the_gap(slots, by), 500)
        assert len({work.step(number).strand for number in range(work.size)}) == count


def test_a_move_rests_on_the_last_ones_at_its_slots() -> None:
    work = BraidWork(ROUND, 3)
    for number in range(work.size):
        here = {work.step(number).source, work.step(number).target}
        touching = [other for other in range(number) if here & {work.step(other).source, work.step(other).target}]
        below = set(work.rests_on(number))
        assert below <= set(touching)
        # It rests, directly or not, on every earlier move that shares a slot with it.
        reached = set(below)
        for other in sorted(reached, reverse=True):
            reached |= set(work.rests_on(other))
        latest = {max((o for o in touching if slot in work.step(o)[1:3]), default=None) for slot in here}
        assert latest - {None} == below or latest - {None} <= reached | below


def test_the_colours_of_strands_are_those_of_their_slots() -> None:
    design = Design(
        "T", BRAID, {"deep": Colour("deep", "#000000", "deep"), "foam": Colour("foam", "#ffffff", "foam")}, ROUND
    )
    assert [design.say_of(strand) for strand in (1, 8, 9, 32)] == ["deep", "foam", "foam", "deep"]
