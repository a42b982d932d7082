"""The search for a lost place: simulated makers who answer as their bands look."""

from collections import Counter
from collections.abc import Callable
from math import log2
from pathlib import Path
from random import Random
from typing import Any

import pytest

from benchmate.craft.knots import Knot
from benchmate.craft.progress import hanging_after
from benchmate.craft.trouble.last_knots import LastKnots, to_tell
from benchmate.craft.trouble.trouble import PLACES_LISTED
from benchmate.craft.trouble.wrong_step import OtherColour, OtherMove, WrongStep
from benchmate.design_files.shelf import path_of
from benchmate.families.alpha.trouble.one_other_colour import places_with_one_other_colour
from benchmate.families.alpha.work import AlphaWork
from benchmate.families.braid.work import BraidWork
from benchmate.families.registry import trouble_of
from benchmate.piece_opening import Kept, resume
from benchmate.piece_questions.trouble import lost_place_words as words
from benchmate.piece_questions.trouble.lost_place import LostPlace, can_find
from benchmate.piece_questions.trouble.place_questions import Asked, Candidate
from benchmate.plain.in_piece import step_line
from benchmate.store.open_piece import OpenPiece
from tests.outside.test_where import KINDS, braid, diagonal, picture, worked
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
    found = lost.found(lost.fitting[0])
    assert (list(found.target), found.made) == ([0, 2], {})
    found.set_in(held)
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


ONE_COLOUR = """\
benchmate: 1
title: All of moss
family: diagonal
colours: {moss: "#43602f"}
strings: [moss, moss, moss, moss]
rows:
  - {start: 1, knots: "f f"}
  - {start: 2, knots: "f"}
repeats: 60
"""


def test_where_two_places_are_in_one_row_its_knots_are_counted_too(opened: Open) -> None:
    lost = LostPlace(opened(ONE_COLOUR, 150))
    lost.take_in(lost.search(lost.believed))
    while (asked := lost.question()) is not None:
        lost.answer(asked, "moss")
    ends = "which row are you in? Then: how many of its knots are done?"
    assert words.count_asked(lost) == f"The last knots do not tell them apart. Count: {ends}"
    assert lost.say_number(101)
    assert words.count_asked(lost).endswith("Count: how many knots of row 101 are done?")
    assert words.no_such_number(lost, 3) == "None of these places is with 3 knots done in row 101."
    assert lost.say_number(1)
    assert [len(ways) for ways in lost.places] == [1]
    assert lost.places[0][0].done == 151


@pytest.mark.parametrize(("done", "ends"), [(10, ""), (17, " Then: how many of its knots are done?")])
def test_the_row_alone_is_asked_for_where_it_is_enough(opened: Open, done: int, ends: str) -> None:
    lost = LostPlace(opened(CHEVRON, done))
    lost.take_in(lost.search(lost.believed))
    while (asked := lost.question()) is not None:
        lost.cannot_tell(asked)
    assert words.count_asked(lost) == f"The last knots do not tell them apart. Count: which row are you in?{ends}"


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
    held = opened(CHEVRON, 25)
    held.change_way("segments", from_right=False)
    held.use_plan(held.plan())
    order = list(held.order.sequence)
    hanging = held.whole.main.work.at_start()
    for step in order[:17]:
        held.whole.main.work.change_places(step, hanging)
    lost = LostPlace(held)
    lost.take_in(lost.search([held.whole.main.design.body.colour_of(string) for string in hanging]))
    place = next(place for place in lost.fitting if place.done == 17)
    lost.found(place).set_in(held)
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
    lost.found(further).set_in(held)
    assert held.progress.done == first + further.done


def test_a_mistake_that_is_known_stays_where_its_knot_stays(opened: Open) -> None:
    held = opened(CHEVRON, 25)
    held.mark_made({8: Knot.BACKWARD_FORWARD})
    lost = LostPlace(held)
    for done, made in ((12, {8: Knot.BACKWARD_FORWARD}), (5, {})):
        hanging = held.whole.main.work.at_start()
        for step in range(done):
            held.whole.main.work.change_places(step, hanging)
        lost.take_in(lost.search([held.whole.main.design.body.colour_of(string) for string in hanging]))
        lost.found(next(place for place in lost.fitting if place.done == done)).set_in(held)
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


def answer_with_searches(lost: LostPlace, maker: Maker) -> int:
    """Answers every question, and searches again where that is wanted; returns how many there were."""
    count = 0
    while (asked := lost.question()) is not None:
        lost.answer(asked, maker.looks_at(asked))
        search_if_needed(lost)
        count += 1
    return count


def search_if_needed(lost: LostPlace) -> None:
    if lost.needs_search:
        assert lost.searched is not None
        lost.take_in(lost.search(lost.searched.seen))


def picture_with(held: OpenPiece, step: int, colour: str, done: int) -> tuple[LostPlace, Maker]:
    """The search, and who knotted a picture with one knot in another colour."""
    work = held.whole.main.work
    shown = [held.whole.main.design.body.colour_of(work.knotting(step)) for step in range(work.size)]
    shown[step] = colour
    lost = LostPlace(held)
    lost.take_in(lost.search(None))
    return lost, Maker(["f"] * work.size, shown[:done])


def test_a_picture_with_a_knot_in_another_colour(opened: Open) -> None:
    """Knots 16 and 17 are red, the last two foam: as charted only the end has such last knots."""
    held = opened(PICTURE, 8)
    lost, maker = picture_with(held, 16, "rust", 19)
    answer_with_searches(lost, maker)
    assert [place.done for place in lost.fitting] == [30], "not where the maker is"
    assert not lost.say_number(7), "there is no such row"
    assert lost.say_number(4)
    search_if_needed(lost)
    assert words.fits(lost) == "None fits as charted. With one wrong knot, 2 places fit."
    answer_with_searches(lost, maker)
    says = "row 4, second from the right, rust instead of deep"
    assert words.place(lost, lost.places[0]) == f"row 4, knot 20 next, 11 knots further; wrong: {says}"
    while lost.row is not None:
        lost.take_back()
    search_if_needed(lost)
    assert [place.done for place in lost.fitting] == [30], "taken back, the place without a wrong knot is there again"
    lost.say_number(4)
    search_if_needed(lost)
    answer_with_searches(lost, maker)
    found = lost.found(lost.fitting[0])
    assert words.remembered(held, found) == f"Marked as wrong: {says}."
    found.set_in(held)
    assert (held.progress.done, held.wrong, held.made) == (19, 16, {})


def test_makers_of_pictures_with_a_wrong_knot_find_their_place(opened: Open) -> None:
    chance = Random(1512)
    over: list[float] = []
    tried = 0
    while len(over) < 12:
        held = opened(picture(chance))
        main = held.whole.main
        strings = main.design.family.threads(main.design.body)
        names = [name for name in sorted(strings) if name != main.design.body.colour_of(main.work.knotting(0))]
        if not names:
            continue
        done = chance.randint(1, main.work.size)
        step = chance.randrange(max(0, done - 6), done)
        lost, maker = picture_with(held, step, chance.choice(names), done)
        asked = answer_with_searches(lost, maker)
        if done not in {place.done for place in lost.fitting}:
            if not lost.say_number(main.work.row_of(done - 1)):
                continue
            search_if_needed(lost)
            asked += answer_with_searches(lost, maker)
        tried += 1
        assert lost.searched is not None
        if not lost.searched.with_one_wrong:
            continue
        assert (done, step) in {(place.done, place.wrong) for place in lost.fitting}
        over.append(asked - log2(main.work.size + 1))
    assert sum(over) / len(over) <= MORE_THAN_HALVING
    assert tried < 40


def test_a_knot_that_cannot_be_told_may_lie_between(opened: Open) -> None:
    """The second-last knot stays unknown; with it left open, one of the others is wrong."""
    lost, maker = picture_with(opened(PICTURE, 8), 12, "foam", 16)
    for asked in (Asked(back, 0, ()) for back in range(1, 5)):
        if asked.back == 2:
            lost.cannot_tell(asked)
        else:
            lost.answer(asked, maker.looks_at(asked))
        search_if_needed(lost)
    assert lost.searched is not None
    assert None in lost.searched.told
    assert lost.searched.with_one_wrong
    assert (16, 12) in {(place.done, place.wrong) for place in lost.fitting}


def test_later_knots_of_the_wrong_string_come_out_with_it(kept: Kept, opened: Open) -> None:
    """Knot 16 in foam where rust is charted: a foam knot after it may be of the same string."""
    held = opened(PICTURE, 20)
    place = Candidate(20, 15, OtherColour("foam"), [])
    found = LostPlace(held).found(place)
    assert words.remembered(held, found).endswith("The same string may hold later foam knots: they come out first.")
    found.set_in(held)
    assert held.must_come_out() == [18, 17, 15]
    lines = []
    while held.wrong is not None:
        lines.append((step_line.current(held) or "").partition(" ")[2])
        held.finish_step()
    assert [line.partition(";")[0] for line in lines] == [
        "take out backward, foam over 2",
        "take out backward, foam over 3",
        "take out the wrong knot over 5",
    ]
    assert list(held.progress.history) == [*range(15), 16, 19]
    held = opened(PICTURE, 16)
    place = Candidate(16, 15, OtherColour("foam"), [])
    assert words.remembered(held, LostPlace(held).found(place)) == (
        "Marked as wrong: row 4, first from the right, foam instead of rust."
    )


def test_what_comes_out_with_a_knot_in_another_colour_is_held_by_nothing_that_stays(kept: Kept, opened: Open) -> None:
    """Hands with one string of each colour: no knot is taken out before all that its two strings make later."""
    chance = Random(1614)
    more = 0
    for _ in range(40):
        held = opened(picture(chance))
        main = held.whole.main
        work = main.work
        assert isinstance(work, AlphaWork)
        colours = sorted({*map(work.colour, range(work.size))})
        done = chance.randint(1, work.size)
        wrong = chance.randrange(max(0, done - 8), done)
        made = [colour for colour in colours if colour != work.colour(wrong)]
        if not made:
            continue
        colour = chance.choice(made)
        band = [(work.passive(number), work.colour(number)) for number in range(done)]
        band[wrong] = work.passive(wrong), colour
        LostPlace(held).found(Candidate(done, wrong, OtherColour(colour), [])).set_in(held)
        by_chart = set(held.progress.must_come_out(main.first + wrong))
        there = set(range(done))
        while held.wrong is not None:
            (number, *_), again = held.must_come_out(), resume(kept, kept.pieces.get(held.piece or 0)).held
            assert (again.marked, again.must_come_out()) == (held.marked, held.must_come_out())
            column, leading = band[number - main.first]
            later = [band[other] for other in there if other > number - main.first]
            assert not any(column == other or leading == held_by for other, held_by in later)
            more += number not in by_chart
            held.finish_step()
            there.discard(number - main.first)
        assert held.must_come_out() == []
        assert wrong not in there
    assert more > 5


def test_what_puts_a_wrong_move_right(opened: Open) -> None:
    """The slots are drawn as they are seen; the move that is said leaves them as charted."""
    chance = Random(1513)
    ways: Counter[str] = Counter()
    while min(ways["left out"], ways["slot"], ways["strand"], ways["alike"]) < 3:
        held = opened(braid(chance))
        main = held.whole.main
        work, trouble = main.work, trouble_of(main.design.family)
        assert isinstance(work, BraidWork)
        colours = {0: "", **work.colours}
        wrong, slots = chance.randrange(work.size), len(work.at_start())
        lies = work.at_start()
        source, target = chance.choice([(0, 0), (1, 0), (0, 1)])
        for step in range(chance.randint(wrong + 1, work.size)):
            here, there = work.swapped_at(step), work.swapped_with(step)
            if step == wrong:
                here = chance.randint(1, slots) if source else here
                there = chance.randint(1, slots) if target else there
                if not source and not target:
                    continue
            if here == there or not lies[here - 1] or lies[there - 1]:
                break
            lies[here - 1], lies[there - 1] = 0, lies[here - 1]
        else:
            lost = LostPlace(held)
            lost.take_in(lost.search([colours[strand] for strand in lies]))
            for place in lost.fitting if lost.searched and lost.searched.with_one_wrong else ():
                found = lost.found(place)
                assert found.wrong is not None
                charted = hanging_after(held.whole, held.order, found.target)
                inside = found.wrong._replace(step=found.wrong.step - main.first)
                really = [*trouble.lies_instead(work, charted, inside)]
                assert [colours[strand] for strand in really] == [colours[strand] for strand in lies]
                assert sorted(really) == sorted(charted), "every strand is somewhere"
                made = place.made
                kind = "left out" if not isinstance(made, OtherMove) else "slot"
                if isinstance(made, OtherMove) and made.source != work.swapped_at(inside.step):
                    kind = "strand" if found.now is None else "alike"
                ways[kind] += 1
                assert (found.now is None) is (kind == "strand")
                if found.now is not None:
                    assert really[found.now.source - 1]
                    assert not really[found.now.target - 1]
                    really[found.now.target - 1], really[found.now.source - 1] = really[found.now.source - 1], 0
                    assert [colours[strand] for strand in really] == [colours[strand] for strand in charted]


def test_a_place_with_a_wrong_knot_while_another_one_is_marked(kept: Kept, tmp_path: Path) -> None:
    held = begun(kept, written_to(tmp_path, PICTURE), done=8).held
    assert held.piece is not None
    held.mark_wrong(5)
    held.jump_to(range(8), wrong=[7])
    again = resume(kept, kept.pieces.get(held.piece)).held
    assert [window.marked for window in (held, again)] == [(7,)] * 2


def slots_and_moves(held: OpenPiece, wrong: int, done: int) -> tuple[list[str], list[str]] | None:
    """The colours in the slots and of the strands moved where a move, from 0, was left out; None: not possible."""
    work = held.whole.main.work
    assert isinstance(work, BraidWork)
    colours, lies, shown = {0: "", **work.colours}, work.at_start(), []
    for step in range(done):
        here, there = work.swapped_at(step), work.swapped_with(step)
        if step == wrong:
            continue
        if not lies[here - 1] or lies[there - 1]:
            return None
        shown.append(colours[lies[here - 1]])
        lies[here - 1], lies[there - 1] = 0, lies[here - 1]
    return [colours[strand] for strand in lies], shown


@pytest.mark.parametrize("errs", [False, True])
def test_makers_of_braids_find_their_place_in_few_questions(opened: Open, errs: bool) -> None:
    chance = Random(1515)
    over: list[float] = []
    while len(over) < 15:
        held = opened(braid(chance))
        size = held.whole.main.work.size
        done = chance.randint(1, size)
        seen = slots_and_moves(held, chance.randrange(done) if errs else -1, done)
        if seen is None:
            continue
        lost = LostPlace(held)
        lost.take_in(lost.search(seen[0]))
        assert lost.searched is not None
        if lost.searched.with_one_wrong is not errs:
            continue
        places = len(lost.places)
        asked = answer_with_searches(lost, Maker(["f"] * size, seen[1]))
        over.append(asked - log2(places))
        assert done in {place.done for place in lost.fitting}
    assert sum(over) / len(over) <= MORE_THAN_HALVING


def test_of_many_places_in_a_picture_the_nearest_are_listed_and_all_are_counted() -> None:
    shown, near = ["deep"] * 9_000, 4_000
    found = places_with_one_other_colour(shown, range(len(shown)), ["foam", *["deep"] * 3], near)
    assert found.total == 9_000 - 3
    assert [place.done for place in found.places[:4]] == [4_000, 3_999, 4_001, 3_998]
    assert len(found.places) == PLACES_LISTED
    assert found.tell == 5, "after four knots there is none before them"
    assert found.places[0].wrong == WrongStep(3_996, (OtherColour("foam"),))


def test_a_picture_has_no_knot_in_a_colour_of_which_there_is_no_string(opened: Open) -> None:
    held = opened(PICTURE.replace("colours: {", "colours: {moss: green, "), 14)
    work = held.whole.main.work
    assert isinstance(work, AlphaWork)
    trouble, sequence = trouble_of(held.whole.main.design.family), range(work.size)
    knots = [work.colour(number) for number in range(10)]
    for colour, places in (("moss", 0), ("deep", 1)):
        found = trouble.where_with_one_wrong(work, sequence, None, [*knots[:4], colour, *knots[5:]])
        assert found is not None
        assert len(found.places) == places
    assert work.colour(4) == "rust"
    assert [work.in_colour(4, colour).colour(4) for colour in ("foam", "rust")] == ["foam", "rust"]
    with pytest.raises(ValueError, match="no string is moss"):
        work.in_colour(4, "moss")
