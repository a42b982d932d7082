"""The search for a lost place: simulated makers who answer as their bands look."""

from collections.abc import Callable
from math import log2
from pathlib import Path
from random import Random
from typing import Any

import pytest

from benchmate.craft.knots import Knot
from benchmate.craft.trouble.last_knots import LastKnots, to_tell
from benchmate.design_files.shelf import path_of
from benchmate.piece_opening import Kept
from benchmate.piece_questions.trouble.lost_place import Asked, LostPlace, can_find
from benchmate.store.open_piece import OpenPiece
from tests.outside.test_where import KINDS, diagonal, picture, worked
from tests.screen.benches import CHEVRON, PICTURE, WRITTEN, begun, written_to

Open = Callable[..., OpenPiece]
MORE_THAN_HALVING = 2
"""So many more questions than halving the places would take are allowed on the average."""


@pytest.fixture
def opened(kept: Kept, tmp_path: Path) -> Open:
    def opened(text: str, done: int = 0) -> OpenPiece:
        return begun(kept, written_to(tmp_path, text), done=done).held

    return opened


class Maker:
    """Who knows what was really made, and looks at the knot that is asked about."""

    def __init__(self, kinds: list[str], shown: list[str]) -> None:
        self._kinds = kinds
        self._shown = shown

    def looks_at(self, asked: Asked) -> str | None:
        if asked.back:
            return self._shown[-asked.back] if asked.back <= len(self._shown) else None
        if self._kinds[asked.step] == "-":
            return None
        return self._shown[sum(kind != "-" for kind in self._kinds[: asked.step])]


def answer_all(lost: LostPlace, maker: Maker) -> int:
    """Answers every question; returns how many there were."""
    count = 0
    while (asked := lost.question()) is not None:
        lost.answer(asked, maker.looks_at(asked))
        count += 1
    return count


def order_of(held: OpenPiece) -> dict[str, Any]:
    work = held.whole.main.work
    knots = [(work.picked_at(n), work.how_made(n)) for n in range(work.size)]
    steps = []
    for n, (picked, made) in enumerate(knots, 1):
        assert made is not None
        left = picked if made.from_left else picked - 1
        steps.append({"n": n, "pair": [left, left + 1], "knot": made.value})
    return {"strings": list(work.strings), "steps": steps}


@pytest.mark.parametrize("errs", [False, True])
def test_makers_of_bands_find_their_place_in_few_questions(opened: Open, errs: bool) -> None:
    chance = Random(1510)
    over: list[float] = []
    while len(over) < 25:
        held = opened(diagonal(chance, 8, 16))
        order = order_of(held)
        if len(order["steps"]) < 4:
            continue
        done = chance.randint(1, len(order["steps"]))
        wrong, made = (chance.randint(1, done), chance.choice(KINDS)) if errs else (0, "")
        seen, shown = list(worked(order, wrong, made))[done]
        lost = LostPlace(held)
        lost.take_in(lost.search(seen))
        assert lost.searched is not None
        if lost.searched.with_one_wrong is not errs:
            continue
        places = len(lost.places)
        kinds = [made if step["n"] == wrong else step["knot"] for step in order["steps"]]
        over.append(answer_all(lost, Maker(kinds, shown)) - log2(places))
        assert done in {place.done for place in lost.fitting}
    assert sum(over) / len(over) <= MORE_THAN_HALVING


def test_makers_of_pictures_find_their_place_in_few_questions(opened: Open) -> None:
    chance = Random(1511)
    over = []
    for _ in range(12):
        held = opened(picture(chance))
        work = held.whole.main.work
        done = chance.randint(0, work.size)
        shown = [held.whole.main.design.body.colour_of(work.knotting(step)) for step in range(done)]
        lost = LostPlace(held)
        lost.take_in(lost.search(None))
        over.append(answer_all(lost, Maker(["f"] * work.size, shown)) - log2(work.size + 1))
        assert done in {place.done for place in lost.fitting}
    assert sum(over) / len(over) <= MORE_THAN_HALVING


def test_the_nearest_places_come_first(opened: Open) -> None:
    lost = LostPlace(opened(CHEVRON, 20))
    lost.take_in(lost.search(["plum", "moss", "straw", "straw", "moss", "plum"]))
    assert [place.done for place in lost.fitting] == [15, 30, 0]
    assert [place.done - lost.remembered for place in lost.fitting] == [-5, 10, -20]


def test_knots_tied_out_of_turn_come_where_they_were_tied(opened: Open) -> None:
    held = opened(CHEVRON)
    held.tie([0])
    held.tie([2])
    lost = LostPlace(held)
    lost.take_in(lost.search(lost.believed))
    assert lost.fitting[0].done == 2
    target, made = lost.found(lost.fitting[0])
    assert (list(target), made) == ([0, 2], {})
    held.jump_to(target, made)
    assert held.progress.done == 2


def test_a_search_again_where_an_answer_fits_no_place(opened: Open) -> None:
    lost = LostPlace(opened(CHEVRON, 8))
    lost.take_in(lost.search(["plum", "moss", "straw", "straw", "moss", "plum"]))
    before = lost.needs_search
    asked = lost.question()
    assert asked is not None
    lost.answer(asked, "plum")
    assert lost.fitting == []
    searches = [before, lost.needs_search]
    lost.take_in(lost.search(lost.searched.seen if lost.searched else None))
    assert lost.searched is not None
    assert lost.searched.with_one_wrong
    assert all(place.last[-1] == "plum" for place in lost.fitting)
    lost.take_back()
    # The places without a wrong knot come back.
    searches.append(lost.needs_search)
    assert searches == [False, True, True]


def test_only_what_can_be_found_is_looked_for(opened: Open) -> None:
    assert [can_find(opened(text)) for text in (CHEVRON, PICTURE, WRITTEN)] == [True, True, False]


def test_how_many_knots_to_tell() -> None:
    assert to_tell([]) is None
    assert to_tell([["deep"]]) is None
    assert to_tell([["deep"], ["deep"]]) is None
    assert to_tell([["deep"], []]) == 1
    assert to_tell([["foam", "deep"], ["deep"]]) == 2
    assert to_tell([["rust", "foam", "deep"], ["deep", "foam", "deep"], ["deep", "foam", "deep"]]) == 3


def test_a_knot_left_out_is_no_last_knot() -> None:
    last = LastKnots(["deep", None, "foam"])
    assert [list(last.before(done)) for done in range(4)] == [[], ["deep"], ["deep"], ["deep", "foam"]]
    assert [last.fits(done, ["deep"]) for done in range(4)] == [False, True, True, False]


def test_a_place_by_segments_leaves_the_order_as_it_is(opened: Open) -> None:
    held = opened(CHEVRON, 4)
    held.change_way("segments", from_right=False)
    held.use_plan(held.plan())
    order = list(held.order.sequence)
    hanging = held.whole.main.work.at_start()
    for step in order[:17]:
        held.whole.main.work.change_places(step, hanging)
    lost = LostPlace(held)
    lost.take_in(lost.search([held.whole.main.design.body.colour_of(string) for string in hanging]))
    place = next(place for place in lost.fitting if place.done == 17)
    held.jump_to(*lost.found(place))
    assert held.progress.done == 17
    assert list(held.order.sequence) == order
    assert not held.needs_plan


@pytest.mark.parametrize("done", [0, 2, 9, 40])
def test_the_start_counts_as_done_wherever_the_band_has_knots(kept: Kept, done: int) -> None:
    held = begun(kept, Path(path_of("bead-rail")), done=done).held
    first = held.whole.main.first
    assert first > 2
    lost = LostPlace(held)
    lost.take_in(lost.search(lost.believed))
    here = next(place for place in lost.fitting if place.done == max(0, done - first))
    assert list(lost.found(here).target) == list(range(done)), "where the piece is counted to be, nothing changes"
    further = max(lost.fitting)
    held.jump_to(*lost.found(further))
    assert held.progress.done == first + further.done


def test_a_mistake_that_is_known_stays_where_its_knot_stays(opened: Open) -> None:
    held = opened(CHEVRON, 17)
    held.mark_made({8: Knot.BACKWARD_FORWARD})
    lost = LostPlace(held)
    for done, made in ((12, {8: Knot.BACKWARD_FORWARD}), (5, {})):
        hanging = held.whole.main.work.at_start()
        for step in range(done):
            held.whole.main.work.change_places(step, hanging)
        lost.take_in(lost.search([held.whole.main.design.body.colour_of(string) for string in hanging]))
        held.jump_to(*lost.found(next(place for place in lost.fitting if place.done == done)))
        assert held.progress.done == done
        assert held.made == made


PLAIN_ROWS = PICTURE.replace(
    "  .##.r\n  #..#.\n  ##rr.\n", "  #....\n  .....\n  .....\n  .....\n  r....\n" + "  .....\n" * 3
)


def test_knots_further_back_are_asked_about_where_the_last_ones_tell_nothing(opened: Open) -> None:
    """Two places with 15 plain knots before them: only the 16th tells them apart."""
    lost = LostPlace(opened(PLAIN_ROWS.replace("repeats: 2", "repeats: 1"), done=4))
    lost.take_in(lost.search(None))
    for back in range(1, 13):
        lost.answer(Asked(back, 0, ()), "deep")
    asked = lost.question()
    assert asked is not None
    assert asked.back > 12
    assert answer_all(lost, Maker([], ["foam", *["deep"] * 15])) > 0
    assert [place.done for place in lost.fitting] == [16]
