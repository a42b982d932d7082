"""Working by segments: the string in hand, the next one, what a press counts, and changing the way of working."""

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from threading import Event

import pytest

from benchmate import piece_opening as openings
from benchmate.bench.screens.out_of_turn import OutOfTurnScreen
from benchmate.bench.screens.question import Question
from benchmate.bench.step.planning import OrderSearch
from benchmate.bench.step.step_screen import StepScreen
from benchmate.craft.orders import Order, by_rows, can_be_followed, fewest_left, pickups
from benchmate.craft.trouble.made_otherwise import token
from benchmate.craft.ways import Way
from benchmate.design_files.load import load
from benchmate.families.diagonal.body import DiagonalKnot
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.settings import DEFAULTS
from benchmate.store.errors import NotSaved
from benchmate.store.open_piece import OpenPiece
from tests.running import LONG_CHART
from tests.screen.benches import CHEVRON, WRITTEN, written_to
from tests.screen.hands import Hands, sitting
from tests.terminal import PATIENCE


def opened(kept: Kept, file: Path, by: str = "segments") -> OpenedPiece:
    """A piece about to be begun, and held, as the bench opens it."""
    opening = openings.begin(kept, load(str(file)), openings.WorkingOptions(by), None)
    opening.held.hold()
    return opening


@pytest.fixture
def segments(kept: Kept, tmp_path: Path) -> OpenedPiece:
    """Six strings, 30 knots, worked by segments, none tied."""
    return opened(kept, written_to(tmp_path, CHEVRON))


@pytest.fixture
def long(kept: Kept, tmp_path: Path) -> OpenedPiece:
    """24,000 knots, worked by segments, none tied."""
    return opened(kept, written_to(tmp_path, LONG_CHART, "long.yaml"))


@pytest.fixture
def gate(monkeypatch: pytest.MonkeyPatch) -> Iterator[Event]:
    """Background searches wait until this is set, so that a test can look at the bench during a search."""
    gate, search = Event(), OrderSearch.run

    def run(planning: OrderSearch) -> Order | None:
        assert gate.wait(PATIENCE)
        return search(planning)

    monkeypatch.setattr(OrderSearch, "run", run)
    yield gate
    gate.set()


def said(held: OpenPiece, string: int) -> str:
    design = held.whole.main.design
    return design.say(design.strings[string - 1])


async def test_the_string_in_hand_and_the_next_are_shown_all_the_way(kept: Kept, segments: OpenedPiece) -> None:
    held = segments.held
    async with sitting(kept, segments, size=(100, 30)) as hands:
        order = held.order
        assert order.by == "segments"
        makers = [held.whole.knotting(number) for number in order.sequence]
        for done, number in enumerate(order.sequence):
            before, after = done, done
            while before > 0 and makers[before - 1] == makers[done]:
                before -= 1
            while after + 1 < len(makers) and makers[after + 1] == makers[done]:
                after += 1
            at, of = done - before + 1, after - before + 1
            # Its count stands once.
            assert f"{'pick it up: ' if at == 1 else 'makes '}knot {at} of {of}" in hands.legible
            assert len(re.findall(rf"(?<!row )\b{at} of {of}\b", hands.legible)) == 1
            if after + 1 < len(makers):
                following = held.whole.step(order.sequence[after + 1])
                assert isinstance(following, DiagonalKnot)
                assert f"THEN ██ pick up {following.knotting_from} {said(held, following.knotting)}" in hands.words
                # It is labelled under its own number, where it hangs now.
                numbers = next(line for line in hands.lines if ">" in line and "<" in line)
                beneath = hands.lines[hands.lines.index(numbers) + 2 :][:2]
                middle = next(line.index("next") + 2 for line in beneath if "next" in line)
                position = 1 + held.progress.hanging.index(following.knotting)
                places = [found.start() for found in re.finditer(r"\d+", numbers)]
                assert abs(places[position - 1] - middle) <= 2
            else:
                assert "THEN" not in hands.text
            assert held.progress.next == number
            await hands.press("space")
        assert held.progress.finished
        assert "THEN" not in hands.text


@pytest.mark.parametrize("size", [(40, 12), (47, 15), (80, 24), (120, 36), (200, 60)])
async def test_the_string_in_hand_is_shown_in_every_window(
    kept: Kept, segments: OpenedPiece, size: tuple[int, int]
) -> None:
    async with sitting(kept, segments, size=size) as hands:
        for _ in range(4):
            run = segments.held.progress.current_run
            assert run is not None
            assert run.following is not None
            assert len(re.findall(rf"(?<!row )\b{run.at} of {run.of}\b", hands.legible)) == 1
            following = segments.held.whole.step(run.following)
            assert isinstance(following, DiagonalKnot)
            assert f"{following.knotting_from} {said(segments.held, following.knotting)}" in hands.legible
            await hands.press("space")


async def test_the_question_about_the_way_says_what_the_order_saves(kept: Kept, segments: OpenedPiece) -> None:
    async with sitting(kept, segments) as hands:
        held = segments.held
        by_segments = pickups(held.whole, held.order)
        rows = pickups(held.whole, by_rows(held.whole))
        assert by_segments == fewest_left(held.whole) < rows
        # It never helps the hands, so the step screen keeps it to itself.
        assert "pick-ups" not in hands.text.lower()
        assert "? keys  u wrong  q leave" in hands.lines[-1]
        await hands.press("w")
        assert f"Pick-ups left: {rows} by rows, {by_segments} by segments." in hands.words


async def test_a_press_means_a_knot_a_run_or_a_row(kept: Kept, segments: OpenedPiece) -> None:
    held = segments.held
    async with sitting(kept, segments) as hands:
        for meaning, words in (
            ("run", "One press now: the rest of the run."),
            ("row", "One press now: the rest of the row."),
            ("knot", "One press now: a knot."),
        ):
            await hands.press("m")
            assert words in hands.words
            meant = held.steps_of_press(meaning)
            await hands.press("space")
            assert list(held.progress.history)[-len(meant) :] == meant
        assert kept.pieces.get(1).done == held.progress.done


async def test_a_press_a_run_takes_as_many_presses_as_pickups(kept: Kept, segments: OpenedPiece) -> None:
    async with sitting(kept, segments, settings=DEFAULTS._replace(press="run")) as hands:
        count = pickups(segments.held.whole, segments.held.order)
        assert "one press:" in hands.lines[-1]
        await hands.press(*["space"] * count)
        assert segments.held.progress.finished


async def test_the_way_of_working_changes_at_any_knot_and_back(kept: Kept, chevron: OpenedPiece) -> None:
    held = chevron.held
    async with sitting(kept, chevron) as hands:
        await hands.press(*["space"] * 4, "w")
        assert isinstance(hands.app.screen, Question)
        to_come = fewest_left(held.whole, held.progress.history)
        rows = pickups(held.whole, held.order, held.progress.history)
        assert f"Working by rows. Pick-ups left: {rows} by rows, {to_come} by segments." in hands.words
        assert "Mirroring is possible only before the first step." in hands.words
        await hands.press("m")
        assert isinstance(hands.app.screen, Question)
        await hands.press("s")
        assert "Working by segments." in hands.words
        assert (held.order.by, list(held.order.sequence[:4])) == ("segments", [0, 1, 2, 3])
        assert pickups(held.whole, held.order, held.progress.history) == to_come
        assert kept.pieces.get(1).way == Way("segments")
        await hands.press("space", "w", "r")
        assert "Working by rows." in hands.words
        assert (held.order.by, held.progress.done) == ("rows", 5)
        assert kept.pieces.get(1).way == Way()
        await hands.press("w", "escape")
        assert isinstance(hands.app.screen, StepScreen)
        assert held.way == Way()


async def test_from_the_right(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("w", "h")
        assert "Working by rows, from the right." in hands.words
        assert chevron.held.progress.coming(3) == [2, 1, 0]
        await hands.press("space", "w")
        assert "work from the left" in hands.words
        await hands.press("h")
        assert "Working by rows, from the left." in hands.words
        assert chevron.held.progress.coming(2) == [0, 1]


async def test_mirrored_before_the_first_knot(kept: Kept, tmp_path: Path) -> None:
    opening = opened(kept, written_to(tmp_path, CHEVRON.replace("- f f b", "- f f f")), by="rows")
    async with sitting(kept, opening) as hands:
        assert "FORWARD" not in hands.text
        await hands.press("w", "h", "w", "m")
        bench = hands.app.screen
        assert isinstance(bench, StepScreen)
        held = bench.held
        assert held.way == Way("rows", True, True)
        assert "Heather on the moor, mirrored" in hands.lines[0]
        first = held.whole.step(held.order.sequence[0])
        assert isinstance(first, DiagonalKnot)
        assert (token(first.knot), first.left) == ("b", 5)
        assert kept.pieces.all() == []
        await hands.press("space")
        assert kept.pieces.all()[0].way == Way("rows", True, True)
        await hands.press("w")
        assert "do not mirror the design" not in hands.words
        await hands.press("c")
    again = openings.resume_listed(kept, kept.pieces.all()[0])
    assert (again.held.way.mirrored, again.changed) == (True, ())
    assert again.held.whole.step(0) == held.whole.step(0)


async def test_a_mirrored_piece_is_unmirrored_before_its_first_knot(kept: Kept, tmp_path: Path) -> None:
    opening = opened(kept, written_to(tmp_path, CHEVRON))
    async with sitting(kept, opening) as hands:
        await hands.press("w", "m", "w")
        assert "do not mirror the design" in hands.words
        await hands.press("m")
        assert "mirrored" not in hands.text
        assert isinstance(hands.app.screen, StepScreen)
        assert hands.app.screen.held.way == Way("segments")


async def test_a_design_in_steps_has_one_way_of_working(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    async with sitting(kept, begin(WRITTEN)) as hands:
        await hands.press("w")
        assert "This design has one way of working." in hands.words
        await hands.press("o")
        assert "Fold the string over a pin" in hands.words
        await hands.press("enter")
        assert "1/4" in hands.text


async def test_a_knot_out_of_turn(kept: Kept, segments: OpenedPiece) -> None:
    held = segments.held
    async with sitting(kept, segments) as hands:
        await hands.press("space")
        ready = held.progress.ready()
        await hands.press("o")
        assert isinstance(hands.app.screen, OutOfTurnScreen)
        assert "next in order" in hands.words
        other = next(number for number in ready if number != held.progress.next)
        step = held.whole.step(other)
        assert isinstance(step, DiagonalKnot)
        assert step.knot is not None
        assert f"row {step.row}, {step.knot.words}, {step.knotting_from} " in hands.words
        assert held.progress.next is not None
        steps = ready.index(other) - ready.index(held.progress.next)
        await hands.press(*["down" if steps > 0 else "up"] * abs(steps), "enter")
        assert list(held.progress.history) == [held.order.sequence[0], other]
        # The rest is replanned from there, and saved.
        assert held.progress.in_order
        assert not held.needs_plan
        rest = held.progress.history
        assert pickups(held.whole, held.order, rest) == fewest_left(held.whole, rest)
        plan = held.order
        await hands.press("space")
    again = openings.resume_listed(kept, kept.pieces.all()[0])
    assert list(again.held.progress.history) == list(plan.sequence[:3])
    assert again.held.order.sequence == plan.sequence


async def test_out_of_turn_by_rows_too(kept: Kept, chevron: OpenedPiece) -> None:
    held = chevron.held
    async with sitting(kept, chevron) as hands:
        await hands.press("o", "down", "down", "up", "enter")
        assert list(held.progress.history) == [1]
        await hands.press("o", "end", "home", "pagedown", "pageup")
        assert "Which one did you tie? 2 are possible. This is number 1." in hands.words
        await hands.press("escape")
        assert held.progress.next == 0
        await hands.press("o", "escape", "space", "space")
        assert list(held.progress.history) == [1, 0, 2]
        held.jump(30)
        await hands.press("o")
        assert "All done." in hands.words


async def test_a_wrong_knot_by_segments(kept: Kept, segments: OpenedPiece) -> None:
    held = segments.held
    async with sitting(kept, segments) as hands:
        await hands.press(*["space"] * 9, "u", *["left"] * 4, "enter")
        out = len(held.must_come_out())
        await hands.press(*["space"] * out)
        assert "ALL UNDONE" in hands.text
        assert held.progress.done == 9 - out
        assert not held.needs_plan
        await hands.press(*["space"] * (30 - held.progress.done))
        assert held.progress.finished


async def test_a_plan_that_cannot_be_saved_is_reported(
    kept: Kept, chevron: OpenedPiece, monkeypatch: pytest.MonkeyPatch
) -> None:
    held = chevron.held
    async with sitting(kept, chevron) as hands:
        await hands.press("space")

        def full(*_: object) -> None:
            raise NotSaved("The disk is full.")

        monkeypatch.setattr(held._saved.pieces, "change_way", full)
        await hands.press("w", "s")
        assert "NOT SAVED" in hands.text
        assert held.way == Way()
        monkeypatch.undo()
        await hands.press("w", "s", "space")
        monkeypatch.setattr(held._saved.pieces, "change_way", full)
        await hands.press("o", "down" if held.progress.ready()[0] == held.progress.next else "up", "enter")
        assert "could not be saved; continuing as before. The disk is full." in hands.words
        assert held.progress.done == kept.pieces.get(1).done == 3
        monkeypatch.undo()
        await hands.press("space")
        assert held.progress.in_order


# Searches that take long.


def bench_of(hands: Hands) -> StepScreen:
    assert isinstance(hands.app.screen, StepScreen)
    return hands.app.screen


async def test_a_long_search_runs_in_the_background(kept: Kept, long: OpenedPiece, gate: Event) -> None:
    held = long.held
    async with sitting(kept, long) as hands:
        assert "Looking for the fewest pick-ups: 0%." in hands.words
        assert held.order.by == "rows"
        # The bench counts presses during the search.
        await hands.press("space", "space", "left")
        assert list(held.progress.history) == [0]
        assert kept.pieces.get(1).done == 1
        gate.set()
        await hands.wait_for(lambda: held.order.by == "segments")
        assert not bench_of(hands).planning.searching
        assert list(held.order.sequence[:1]) == [0]
        assert "Working by segments." in hands.words
        # The knot on the screen stays the next one, as that costs no pick-up: the maker may be tying it.
        assert (held.progress.next, "ANOTHER KNOT" in hands.text) == (1, False)
        assert pickups(held.whole, held.order, [0]) == fewest_left(held.whole, [0])
        plan = held.order
    again = openings.resume_listed(kept, kept.pieces.all()[0])
    # The search is done once: a piece opened again has its order.
    assert again.held.order.sequence == plan.sequence
    again.held.hold()
    async with sitting(kept, again) as hands:
        assert "Looking" not in hands.text
        assert not bench_of(hands).planning.searching


async def test_the_progress_of_the_search_is_shown(
    kept: Kept, long: OpenedPiece, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("benchmate.bench.step.planning.TICK", 0.01)
    seen: set[str] = set()
    async with sitting(kept, long) as hands:
        bench = bench_of(hands)
        while bench.planning.searching:
            seen.add(hands.words.partition("pick-ups: ")[2].partition(".")[0])
            await hands.pilot.pause(0.01)
    assert len(seen) > 3
    assert {share.endswith("%") for share in seen} == {True}


async def test_escape_cancels_a_search(kept: Kept, long: OpenedPiece, gate: Event) -> None:
    held = long.held
    async with sitting(kept, long) as hands:
        await hands.press("space", "escape")
        assert "Search stopped; working by rows. Press w to choose again." in hands.words
        assert not bench_of(hands).planning.searching
        assert kept.pieces.get(1).way == held.way == Way()
        gate.set()
        await hands.pilot.pause(0.1)
        await hands.press("space")
        assert (held.order.by, list(held.progress.history)) == ("rows", [0, 1])


async def test_leaving_ends_a_search(kept: Kept, long: OpenedPiece, gate: Event) -> None:
    async with sitting(kept, long) as hands:
        bench = bench_of(hands)
        planning = bench.planning.search
        assert planning is not None
        await hands.press("q")
        gate.set()
    assert not bench.planning.searching
    # The search has ended: it stops when it next reports its progress.
    assert planning.run() is None
    assert kept.pieces.all() == []


async def test_a_read_only_window_does_not_search(kept: Kept, long: OpenedPiece, gate: Event) -> None:
    long.held.tie([0])
    other = Kept()
    try:
        looking = openings.resume_listed(other, other.pieces.all()[0])
        async with sitting(other, looking) as hands:
            await hands.press("l")
            assert not bench_of(hands).planning.searching
            assert "Looking for" not in hands.words
            await hands.press("t")
            assert bench_of(hands).planning.searching
            long.held.hold(force=True)
            await hands.wait_for(lambda: not looking.held.holding)
            assert not bench_of(hands).planning.searching
            gate.set()
    finally:
        other.close()


async def test_a_long_piece_planned_while_it_is_worked_on(kept: Kept, long: OpenedPiece) -> None:
    held = long.held
    async with sitting(kept, long) as hands:
        await hands.press("space")
        await hands.wait_for(lambda: held.order.by == "segments")
        assert held.order.sequence[0] == held.progress.history[0] == 0
        while len(held.progress.ready()) < 2:
            await hands.press("space")
        tied = list(held.progress.history)
        ready = held.progress.ready()
        first = ready[0] == held.progress.next
        other = ready[1] if first else ready[0]
        await hands.press("o", "down" if first else "up", "enter")
        assert bench_of(hands).planning.searching
        await hands.wait_for(lambda: held.progress.in_order)
        assert list(held.order.sequence[: held.progress.done]) == [*tied, other]


async def test_a_press_just_after_the_next_knot_changed_does_not_count(
    kept: Kept, tmp_path: Path, gate: Event, monkeypatch: pytest.MonkeyPatch
) -> None:
    # By rows the left pair comes first; by segments that would cost a pick-up.
    text = CHEVRON.replace("repeats: 3", "repeats: 300").replace("- f f b", "- f b b", 1)
    opening = opened(kept, written_to(tmp_path, text, "long.yaml"))
    held = opening.held
    monkeypatch.setattr("benchmate.bench.step.planning.SWAP", 30.0)
    async with sitting(kept, opening) as hands:
        first = held.progress.next
        gate.set()
        await hands.wait_for(lambda: held.order.by == "segments")
        await hands.catch_up()
        assert held.progress.next != first == 0
        assert "THE NEXT KNOT HAS CHANGED." in hands.words
        await hands.press("space")
        assert held.progress.done == 0
        monkeypatch.setattr("benchmate.bench.step.planning.SWAP", 0.0)
        await hands.press("space")
        assert held.progress.done == 1


async def test_a_found_order_waits_until_another_screen_is_left(kept: Kept, long: OpenedPiece, gate: Event) -> None:
    held = long.held
    async with sitting(kept, long) as hands:
        await hands.press("space", "j", "k", "9")
        gate.set()
        await hands.pilot.pause(1.0)
        assert held.order.by == "rows"
        assert "There: knot 9," in hands.words
        await hands.press("enter")
        # The jump did what it said: eight knots of the order by rows are tied.
        assert list(held.progress.history) == list(range(8))
        await hands.wait_for(lambda: held.order.by == "segments")
        assert list(held.order.sequence[:8]) == list(range(8))


async def test_a_jump_to_a_row_ties_all_rows_before_it(kept: Kept, segments: OpenedPiece) -> None:
    held = segments.held
    async with sitting(kept, segments) as hands:
        await hands.press("space", "space", "j", "5")
        assert "There: all rows before it, 10 of 30; the rest is replanned." in hands.words
        await hands.press("enter")
        assert sorted(held.progress.history) == list(range(10))
        assert held.progress.in_order
        rest = held.progress.history
        assert pickups(held.whole, held.order, rest) == fewest_left(held.whole, rest)


async def test_long_names_lose_their_ends_and_never_a_number(kept: Kept, tmp_path: Path) -> None:
    text = CHEVRON.replace("say: mossy green", "say: the green of moss in a wood after a long spell of rain")
    opening = opened(kept, written_to(tmp_path, text))
    for size in ((40, 12), (80, 24)):
        async with sitting(kept, opening, size=size) as hands:
            for _ in range(6):
                run = opening.held.progress.current_run
                assert run is not None
                assert run.following is not None
                following = opening.held.whole.step(run.following)
                assert isinstance(following, DiagonalKnot)
                assert f"{run.at} of {run.of}" in hands.legible
                assert re.search(rf"(then|THEN ██)( pick up)? {following.knotting_from} \w", hands.words)
                await hands.press("space")


async def test_the_shown_knot_changes_where_keeping_it_costs_a_pickup(
    kept: Kept, tmp_path: Path, gate: Event, monkeypatch: pytest.MonkeyPatch
) -> None:
    # A knot that changes on the screen is counted at once: nobody is there who must see it first.
    monkeypatch.setattr("benchmate.bench.step.planning.SWAP", 0.0)
    text = CHEVRON.replace("repeats: 3", "repeats: 300").replace("- f f b", "- f b b", 1)
    opening = opened(kept, written_to(tmp_path, text, "long.yaml"))
    held = opening.held
    async with sitting(kept, opening) as hands:
        gate.set()
        for _ in range(6):
            await hands.wait_for(lambda: not bench_of(hands).planning.searching)
            await hands.press("space", "w", "r", "space", "w", "s")
            await hands.wait_for(lambda: held.order.by == "segments" and not bench_of(hands).planning.searching)
            rest = held.progress.history
            assert pickups(held.whole, held.order, rest) == fewest_left(held.whole, rest)


@pytest.mark.parametrize(("old", "new"), [("repeats: 8000", "repeats: 9000"), ("- f\n", "- fb\n")])
async def test_a_design_that_changes_during_a_search(
    kept: Kept, long: OpenedPiece, gate: Event, old: str, new: str
) -> None:
    held = long.held
    async with sitting(kept, long) as hands:
        await hands.press("space")
        file = Path(held.file)
        file.write_text(file.read_text().replace(old, new))
        await hands.press("c", "d")
        gate.set()
        await hands.wait_for(lambda: held.order.by == "segments")
        assert sorted(held.order.sequence) == list(range(held.whole.size))
        assert can_be_followed(held.whole, held.order.sequence)
        await hands.press("space", "space", "space")
    again = openings.resume_listed(kept, kept.pieces.all()[0]).held
    assert again.progress.done == 4


# Searches that fail with an unexpected error.


def broken(*_: object, **__: object) -> Order:
    raise RuntimeError("no\x1b[2J sense\nin this")


FAILED = "The search for the fewest pick-ups failed (RuntimeError: no [2J sense in this). Working by rows;"


async def test_a_failed_background_search_leaves_working_by_rows(
    kept: Kept, long: OpenedPiece, gate: Event, monkeypatch: pytest.MonkeyPatch
) -> None:
    held = long.held
    monkeypatch.setattr("benchmate.bench.step.planning.order_of", broken)
    async with sitting(kept, long, size=(100, 24)) as hands:
        await hands.press("space")
        gate.set()
        await hands.wait_for(lambda: FAILED in hands.words)
        assert not bench_of(hands).planning.searching
        assert kept.pieces.get(1).way == held.way == Way()
        await hands.press("space", "space")
        assert list(held.progress.history) == [0, 1, 2]
        assert not bench_of(hands).planning.searching
        # It can be tried again.
        monkeypatch.undo()
        await hands.press("w", "s")
        await hands.wait_for(lambda: held.order.by == "segments", timeout=60)


async def test_a_search_that_failed_behind_another_screen_is_reported_later(
    kept: Kept, long: OpenedPiece, gate: Event, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("benchmate.bench.step.planning.order_of", broken)
    async with sitting(kept, long, size=(100, 24)) as hands:
        await hands.press("question_mark")
        gate.set()
        await hands.pilot.pause(0.3)
        await hands.press("escape")
        await hands.wait_for(lambda: FAILED in hands.words)
        assert long.held.way == Way()


async def test_a_failed_short_search_leaves_working_by_rows(
    kept: Kept, segments: OpenedPiece, monkeypatch: pytest.MonkeyPatch
) -> None:
    held = segments.held
    monkeypatch.setattr("benchmate.store.opened.held_piece.order_of", broken)
    async with sitting(kept, segments, size=(100, 24)) as hands:
        assert FAILED in hands.words
        assert held.way == Way()
        await hands.press("space", "space")
        assert list(held.progress.history) == [0, 1]
        assert kept.pieces.get(1).way == Way()
        # Chosen again, it fails again, with the same notice.
        await hands.press("w", "s")
        assert FAILED in hands.words
        assert held.way == Way()
        await hands.press("space")
        assert held.progress.done == 3


async def test_a_failed_search_whose_way_cannot_be_saved_is_reported(
    kept: Kept, segments: OpenedPiece, monkeypatch: pytest.MonkeyPatch
) -> None:
    held = segments.held
    async with sitting(kept, segments, size=(100, 24)) as hands:
        await hands.press("space")
        monkeypatch.setattr("benchmate.store.opened.held_piece.order_of", broken)

        def full(*_: object) -> None:
            raise NotSaved("The disk is full.")

        monkeypatch.setattr(held._saved.pieces, "change_way", full)
        await hands.press("o", "down" if held.progress.ready()[0] == held.progress.next else "up", "enter")
        assert "The disk is full." in hands.words
        assert held.progress.done == 2
        monkeypatch.undo()
        await hands.press("space")
        assert held.progress.done == kept.pieces.get(1).done == 3
