"""Lengths assigned to offcuts and skeins: laws that hold of every cutting, and what is asked of a good one."""

from collections import Counter
from collections.abc import Sequence
from decimal import Decimal
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchmate.craft.thread.costs import costs
from benchmate.craft.thread.cut_list import Length
from benchmate.craft.thread.cutting import Cutting, NotLongEnough, Source, cutting
from benchmate.craft.thread.packing import best
from benchmate.craft.thread.packing.best import PROVEN


def of_one(colour: str, *lengths: float) -> list[Length]:
    return [Length(colour, (number,), float(mm)) for number, mm in enumerate(lengths, 1)]


def offcuts(*lengths: float) -> list[Source]:
    return [Source("offcut", mm, number) for number, mm in enumerate(lengths, 1)]


def lost(found: Cutting, scrap: float = 300) -> float:
    return sum(each.left_mm for each in found.sources if 0 < each.left_mm < scrap)


def assert_it_holds(found: Cutting, lengths: Sequence[Length]) -> None:
    assert sorted(index for each in found.sources for index in each.lengths) == [*range(len(lengths))]
    for each in found.sources:
        assert each.lengths
        assert {lengths[index].colour for index in each.lengths} == {each.colour}
        used = sum(Decimal(repr(lengths[index].cut_mm)) for index in each.lengths)
        assert Decimal(repr(each.source.length_mm)) - used == Decimal(repr(each.left_mm)) >= 0
    threads = [each.source.thread for each in found.sources if each.source.thread is not None]
    assert len(threads) == len(set(threads))
    assert found.least <= found.skeins == sum(each.source.kind == "skein" for each in found.sources)


LENGTHS = st.lists(st.sampled_from([*range(200, 2600, 130), 310, 990, 1330]).map(float), min_size=1, max_size=14)
OFFCUTS = st.lists(st.integers(1000, 30000).map(lambda tenths: tenths / 10), max_size=6)


@settings(max_examples=25, deadline=None, derandomize=True)
@given(LENGTHS, OFFCUTS, st.sampled_from([2600.0, 3000.5, 8000.0]), st.sampled_from([0.0, 99.5, 300.0]))
def test_every_length_is_cut_once_and_no_source_beyond_its_end(
    wanted: list[float], at_hand: list[float], skein: float, scrap: float
) -> None:
    lengths = of_one("deep", *wanted)
    found = cutting(lengths, {"deep": offcuts(*at_hand)}, skein_mm=skein, scrap_mm=scrap)
    assert_it_holds(found, lengths)
    assert found.skeins == found.least
    assert found.best_ends


@settings(max_examples=8, deadline=None, derandomize=True)
@given(LENGTHS, OFFCUTS, st.integers(200, 3000))
def test_one_more_offcut_or_a_longer_skein_never_needs_more_skeins(
    wanted: list[float], at_hand: list[float], more: int
) -> None:
    lengths = of_one("deep", *wanted)
    before = cutting(lengths, {"deep": offcuts(*at_hand)}, skein_mm=2600.0).skeins
    assert cutting(lengths, {"deep": offcuts(*at_hand, more)}, skein_mm=2600.0).skeins <= before
    assert cutting(lengths, {"deep": offcuts(*at_hand)}, skein_mm=2600.0 + more).skeins <= before
    assert cutting(lengths[1:], {"deep": offcuts(*at_hand)}, skein_mm=2600.0).skeins <= before


def test_a_greedy_cutting_opens_one_more() -> None:
    # The longest first, each where it fits best: 450 and 450, then 300, 300 and 250, and 250 is left over.
    lengths = of_one("deep", 450, 450, 300, 300, 250, 250)
    found = cutting(lengths, {}, skein_mm=1000)
    assert found.skeins == found.least == 2
    assert_it_holds(found, lengths)


def test_every_skein_filled_to_its_end() -> None:
    """Twenty skeins, each cut at two places: only the very same cuts, or as exact ones, come out at twenty."""
    chance = Random(11)
    lengths: list[float] = []
    for _ in range(PROVEN // 3):
        first = chance.randrange(3000, 3900, 10)
        second = chance.randrange(2050, 2500, 10)
        lengths += [first, second, 8000 - first - second]
    chance.shuffle(lengths)
    found = cutting(of_one("deep", *lengths), {})
    assert found.skeins == found.least == PROVEN // 3
    assert {each.left_mm for each in found.sources} == {0.0}


def test_of_equally_few_skeins_the_least_is_lost() -> None:
    # Together 8000 of 8000 and 4000 of 8000; or 7900 and 4100, with 100 lost.
    lengths = of_one("deep", 4000, 3900, 4100)
    found = cutting(lengths, {})
    assert (found.skeins, lost(found)) == (2, 0)
    # What is not cut into does not count; an offcut that would be left too short is left alone.
    found = cutting(of_one("deep", 900), {"deep": offcuts(1000, 1300)})
    assert [each.source.thread for each in found.sources] == [2]
    found = cutting(of_one("deep", 900), {"deep": offcuts(1000, 1300)}, scrap_mm=100)
    assert lost(found, 100) == 0
    found = cutting(of_one("deep", 900), {"deep": offcuts(1000)})
    assert (found.skeins, lost(found), found.best_ends) == (0, 100, True)


def test_offcuts_go_before_skeins_and_skeins_of_the_box_before_new_ones() -> None:
    box = [Source("skein", 4000.0, 7), Source("offcut", 1000.0, 3), Source("skein", 4000.0, 8)]
    found = cutting(of_one("deep", 900, 700), {"deep": [*box, Source("offcut", 700.0, 9)]}, scrap_mm=100)
    assert {each.source.thread for each in found.sources} == {3, 9}
    found = cutting(of_one("deep", 900, 800), {"deep": box})
    assert [(each.source.kind, each.source.thread) for each in found.sources] == [("skein", 7)]
    assert (found.skeins, found.least, found.bought) == (1, 1, 0)
    # Two short skeins are opened before a long one is bought.
    found = cutting(of_one("deep", 3500, 3500), {"deep": box})
    assert (found.skeins, found.least, found.bought) == (2, 2, 0)
    found = cutting(of_one("deep", 3500, 3500, 4500), {"deep": box})
    assert (found.skeins, found.bought) == (2, 1)
    # Never a whole skein when the offcuts hold it.
    found = cutting(of_one("deep", 900, 800), {"deep": [*box, Source("offcut", 810.0, 9)]})
    assert found.skeins == 0


def test_of_equal_sources_the_first_is_preferred() -> None:
    box = [Source("offcut", 1000.0, number) for number in (5, 2, 9)]
    found = cutting(of_one("deep", 900), {"deep": box})
    assert [each.source.thread for each in found.sources] == [5]


def test_colours_do_not_mix() -> None:
    lengths = [Length("deep", (1,), 900.0), Length("foam", (2,), 900.0), Length("deep", (3,), 900.0)]
    found = cutting(lengths, {"foam": offcuts(5000)})
    assert_it_holds(found, lengths)
    assert Counter((each.colour, each.source.kind) for each in found.sources) == {
        ("deep", "skein"): 1,
        ("foam", "offcut"): 1,
    }


def test_parts_of_a_millimetre_are_exact() -> None:
    exact = cutting(of_one("deep", 100, 200), {"deep": offcuts(300.0)}, skein_mm=300)
    assert exact.sources[0].left_mm == 0
    # In floats 0.1 + 0.2 is more than 0.3, and 1234.5 - 1234.4 is less than 0.1.
    found = cutting(of_one("deep", 0.1, 0.2), {"deep": offcuts(0.3)}, skein_mm=300)
    assert (found.skeins, found.sources[0].left_mm) == (0, 0.0)
    found = cutting(of_one("deep", 1230), {"deep": offcuts(1234.5)})
    assert found.sources[0].left_mm == 4.5
    short = cutting(of_one("deep", 1230), {"deep": offcuts(1229.9999999)})
    assert short.skeins == 1


@pytest.mark.parametrize(
    ("wanted", "at_hand", "missing"),
    [
        ((900, 1100, 800), (), 1),
        ((1100, 1100), (1100,), None),
        ((900, 1100), (1099.9,), 1),
        ((1100, 1200), (2299,), None),
    ],
)
def test_a_length_that_fits_nowhere_is_named(
    wanted: tuple[float, ...], at_hand: tuple[float, ...], missing: int | None
) -> None:
    with pytest.raises(NotLongEnough) as found:
        cutting(of_one("deep", *wanted), {"deep": offcuts(*at_hand)}, skein_mm=1000)
    assert wanted[found.value.index] > 1000
    assert missing is None or found.value.index == missing


def test_long_lengths_get_the_offcuts_that_hold_them() -> None:
    found = cutting(of_one("deep", 1100, 500, 500), {"deep": offcuts(1100)}, skein_mm=1000)
    assert (found.skeins, lost(found)) == (1, 0)


def test_hundreds_of_strings_of_one_colour_end_with_a_bound() -> None:
    chance = Random(5)
    kinds = [chance.randrange(400, 2000, 10) for _ in range(12)]
    wanted = [float(chance.choice(kinds)) for _ in range(500)]
    lengths = of_one("deep", *wanted)
    found = cutting(lengths, {})
    assert_it_holds(found, lengths)
    assert found.least >= sum(wanted) / 8000
    assert found.skeins <= found.least + 1


def test_the_same_cutting_every_time_and_progress_changes_nothing() -> None:
    chance = Random(3)
    lengths = of_one("deep", *(chance.randrange(3500, 4800, 10) for _ in range(30)))
    heard: list[str] = []
    assert cutting(lengths, {}) == cutting(lengths, {}, progress=heard.append)
    assert set(heard) == {"deep"}


@given(st.lists(st.integers(30, 300), min_size=1, max_size=40), st.lists(st.integers(20, 800), max_size=20))
@settings(max_examples=30, deadline=None)
def test_a_quick_cutting_holds_too_and_proves_no_more_than_is_so(sizes: list[int], ends: list[int]) -> None:
    lengths, at_hand = of_one("a", *(size * 10.0 for size in sizes)), {"a": offcuts(*(end * 10.0 for end in ends))}
    quick, best = cutting(lengths, at_hand, quick=True), cutting(lengths, at_hand)
    assert_it_holds(quick, lengths)
    assert quick.least <= best.least <= best.skeins <= quick.skeins <= best.skeins + 1


def test_a_quick_cutting_solves_no_linear_program(monkeypatch: pytest.MonkeyPatch) -> None:
    chance = Random(5)
    lengths = of_one("a", *(chance.randint(60, 140) * 10.0 for _ in range(60)))
    at_hand = {"a": offcuts(*(chance.randint(300, 3000) + 0.5 * chance.random() for _ in range(40)))}
    monkeypatch.delattr("benchmate.craft.thread.packing.best.Search._program")
    with pytest.raises(AttributeError):
        cutting(lengths, at_hand)
    assert_it_holds(cutting(lengths, at_hand, quick=True), lengths)


def test_what_it_costs() -> None:
    lengths = [*of_one("deep", 4000, 4000, 2000), *of_one("foam", 1000)]
    found = cutting(lengths, {"deep": [Source("skein", 8000.0, 4)]})
    asked = costs(found, lengths, {"deep": Decimal("1.25")}, 8000.0)
    assert (asked.to_buy, asked.worth, asked.unpriced) == (Decimal("1.25"), Decimal("1.56"), ("foam",))
    assert costs(found, lengths, {}, 8000.0).to_buy == 0


def test_lengths_that_fit_no_skein_are_in_the_offcuts_where_the_search_gave_up(monkeypatch: pytest.MonkeyPatch) -> None:
    """Offcuts that three long lengths each fill to their end; the many short ones would take their place."""
    monkeypatch.setattr(best, "EFFORTS", (best.EFFORTS[0], (1, 1)))
    chance = Random(2)
    threes = [[chance.randrange(1010, 1900) for _ in range(3)] for _ in range(8)]
    long = [float(mm) for three in threes for mm in three]
    lengths = of_one("deep", *long, *(float(chance.randrange(300, 900)) for _ in range(PROVEN - 20)))
    found = cutting(lengths, {"deep": offcuts(*map(sum, threes))}, skein_mm=1000)
    assert_it_holds(found, lengths)
    assert {index for each in found.sources if each.source.kind == "offcut" for index in each.lengths} == {*range(24)}
