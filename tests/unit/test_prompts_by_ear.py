"""Spoken prompts of random bands: a maker finds every knot from them, whatever is undone, taken out or not heard."""

from collections.abc import Iterable, Sequence
from itertools import product
from random import Random
from typing import NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmate.craft.knots import Knot
from benchmate.craft.orders import Order, by_rows, runs
from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import WholePiece, whole_piece
from benchmate.craft.ways import Way, order_of, worked_as
from benchmate.craft.wording.prompt_parts import Level
from benchmate.craft.wording.prompts import NOTHING, PIECE_DONE, Happened, prompt, sayable
from benchmate.craft.wording.spoken_length import is_short_enough
from benchmate.families.diagonal.body import Diagonal, Row
from tests.charts import bodies, design, seeded, trace
from tests.ear.diagonal import Band, Made
from tests.ear.phrases import NAMINGS
from tests.listening import by_ear, followed, move_of, prompts_of, repaired

WAYS = [Way(by, right, mirror) for by in ("rows", "segments") for right in (False, True) for mirror in (False, True)]


class Trial(NamedTuple):
    """A band of one to three repeats and its working order."""

    whole: WholePiece
    order: Order


@st.composite
def trials(draw: st.DrawFn) -> Trial:
    """Bands by rows and by segments, from either side, mirrored or not."""
    way = draw(st.sampled_from(WAYS))
    plan = worked_as(design(draw(bodies())), way)
    whole = whole_piece(plan, None, None, draw(st.integers(1, 3)))
    return Trial(whole, order_of(whole, way))


def made_by(whole: WholePiece, number: int) -> Made:
    """A step as an ear finds it."""
    made = move_of(whole.main, number)
    assert isinstance(made, Made)
    return made


@given(trials(), st.sampled_from(("knot", "run", "row")), st.sampled_from(sorted(NAMINGS)))
@seeded
def test_prompts_identify_every_knot(trial: Trial, press: str, names: str) -> None:
    whole, order = trial
    for level in Level:
        ear, found = Band(whole.strings, NAMINGS[names]), list[Made]()
        for words, ahead in prompts_of(whole, order, level, press, names):
            if ahead:
                heard = ear.hears(words)
                assert len(heard) == len(ahead)
                found += heard
                for made in heard:
                    ear.ties(made)
            else:
                assert words == (PIECE_DONE[level] if whole.size else NOTHING)
        assert found == [made_by(whole, number) for number in order.sequence]


@given(trials(), st.lists(st.integers(0, 199), max_size=24))
@seeded
def test_prompts_identify_every_knot_with_undos_and_repairs(trial: Trial, choices: list[int]) -> None:
    whole, order = trial
    for level in Level:
        progress, ear = Progress(whole, order), Band(whole.strings)
        said = prompt(whole, progress, Happened.RESUMED, (), level)
        for choice in choices:
            last = progress.last
            if choice % 4 == 0 and last is not None:
                progress.untie(last)
                said = ear.undoes(prompt(whole, progress, Happened.UNDONE, [last], level))
            elif choice % 4 == 1 and last is not None:
                said = repaired(progress, whole, ear, progress.history[choice % progress.done], level)
            elif progress.next is not None:
                number = progress.next
                # Without more words, the maker ties the undone step again.
                assert (ear.hears(said) if said else [ear.last]) == [made_by(whole, number)]
                ear.ties(made_by(whole, number))
                progress.tie(number)
                said = prompt(whole, progress, Happened.TIED, [number], level)
            assert ear.hanging == progress.hanging


@given(trials(), st.data())
@seeded
def test_several_undone_at_once_are_understood(trial: Trial, data: st.DataObject) -> None:
    whole, order = trial
    done = data.draw(st.integers(0, whole.size))
    count = data.draw(st.integers(0, done))
    if not count:
        return
    for level in Level:
        progress, ear = Progress.resume(whole, order, order.sequence[:done]), Band(whole.strings)
        for number in order.sequence[:done]:
            ear.ties(made_by(whole, number))
        undone = list(reversed(order.sequence[done - count : done]))
        for number in undone:
            progress.untie(number)
        said = ear.undoes(prompt(whole, progress, Happened.UNDONE, undone, level), count)
        assert (ear.hears(said) if said else [ear.last]) == [made_by(whole, order.sequence[done - count])]


@given(trials().filter(lambda trial: trial.whole.size >= 2), st.data())
@seeded
def test_after_a_burst_of_presses_a_prompt_relies_on_nothing_unheard(trial: Trial, data: st.DataObject) -> None:
    whole, order = trial
    heard = data.draw(st.integers(0, whole.size - 2))
    here = data.draw(st.integers(heard + 1, whole.size - 1))
    progress = Progress.resume(whole, order, order.sequence[:here])
    for level in Level:
        said = prompt(whole, progress, Happened.TIED, order.sequence[heard:here], level)
        ear = Band(whole.strings)
        for number in order.sequence[:here]:
            ear.ties(made_by(whole, number))
        # The maker sees the strings as they hang, but remembers only the knot that was heard.
        ear.last = made_by(whole, order.sequence[heard])
        assert ear.hears(said) == [made_by(whole, order.sequence[here])]


@given(trials())
@seeded
def test_a_shorter_level_has_no_more_words(trial: Trial) -> None:
    # `followed` compares the levels.
    whole, order = trial
    assert len(followed(whole, order)) == whole.size + 1


@given(trials())
@seeded
def test_what_is_done_is_said_when_the_next_string_is_picked_up(trial: Trial) -> None:
    whole, order = trial
    body = whole.main.design.body
    assert isinstance(body, Diagonal)
    in_repeat, repeats = len(body.rows), whole.rows // len(body.rows)
    rows = [knot.row for knot in trace(body, repeats)]
    run_of = [ordered.run for ordered in runs(whole, order)]
    for level in Level:
        said = [words for words, _ in prompts_of(whole, order, level)]
        for at in range(1, whole.size):
            picks_up = run_of[at] != run_of[at - 1]
            lead = ""
            if picks_up:
                # All that was completed during the run just ended; the largest thing is said.
                tied = set(order.sequence[:at])
                in_run = {
                    rows[number] for place, number in enumerate(order.sequence[:at]) if run_of[place] == run_of[at - 1]
                }
                done = {row for row in in_run if all(other in tied for other, each in enumerate(rows) if each == row)}
                full = {
                    repeat
                    for repeat in {(row - 1) // in_repeat + 1 for row in done}
                    if all(other in tied for other, row in enumerate(rows) if (row - 1) // in_repeat + 1 == repeat)
                }
                if full and repeats > 1:
                    most = {Level.FULL: f" {max(full)} of {repeats}", Level.SHORT: f" {max(full)}", Level.SPARSE: ""}
                    lead = f"repeat{most[level]} done, "
                elif done:
                    lead = f"row {max(done)} done, " if level is Level.FULL else "row done, "
            has_lead = " done, " in said[at]
            # What must be done goes first into the room there is.
            assert said[at].startswith(lead) if has_lead or not lead else not is_short_enough(lead + said[at], level)
            assert has_lead <= bool(lead), said[at]


@given(trials())
@seeded
def test_the_last_knot_of_a_run_is_called_so(trial: Trial) -> None:
    whole, order = trial
    run_of = [ordered.run for ordered in runs(whole, order)]
    for level in Level:
        for at, (words, _) in enumerate(prompts_of(whole, order, level)):
            if 0 < at < whole.size:
                ends = run_of[at - 1] == run_of[at] and (at + 1 == whole.size or run_of[at] != run_of[at + 1])
                assert ("last" in words.replace(", last", " last").split()) == ends, words


# No two next moves are heard alike.


def single(strings: Sequence[str], knots: Iterable[tuple[int, Knot]]) -> WholePiece:
    """A band of knots, each in a row of its own: the position of the pair's left string, and the kind."""
    rows = tuple(Row(left, (knot,)) for left, knot in knots)
    return whole_piece(design(Diagonal(tuple(strings), rows)), None, None)


def onward(left: int, knot: Knot, strings: int) -> int:
    """The left string of the next pair, if the same string makes the same knot once more; 0 where that is not there."""
    if not knot.swaps:
        return left
    following = left + (1 if knot.from_left else -1)
    return following if 1 <= following < strings else 0


@pytest.mark.parametrize("names", sorted(NAMINGS))
@pytest.mark.parametrize("happened", [Happened.TIED, Happened.RESUMED])
def test_no_two_next_knots_are_heard_alike(happened: Happened, names: str) -> None:
    chance = Random(13)
    for _ in range(12):
        strings = [chance.choice("abc") for _ in range(chance.randint(2, 7))]
        before = [(chance.randint(1, len(strings) - 1), chance.choice(list(Knot))) for _ in range(chance.randint(1, 6))]
        heard: dict[tuple[Level, str], tuple[int, Knot]] = {}
        for move in product(range(1, len(strings)), Knot):
            after = onward(*move, len(strings))
            for goes_on in range(2 if after else 1):
                whole = single(strings, [*before, move, *[(after, move[1])] * goes_on])
                order = by_rows(whole)
                progress = Progress.resume(whole, order, range(len(before)))
                for level in Level:
                    said = prompt(whole, progress, happened, [len(before) - 1], level, names=names)
                    assert heard.setdefault((level, by_ear(said)), move) == move, said
        assert len({words for level, words in heard if level is Level.SPARSE}) >= 4 * (len(strings) - 1)


def presses(strings: int) -> Iterable[tuple[tuple[int, Knot], ...]]:
    """What one press may count: up to three knots, of one string or side by side."""
    for count in (1, 2, 3):
        for kinds in product(Knot, repeat=count):
            for side in (2, -2):
                first = 1 if side > 0 else strings - 1
                yield tuple((first + side * at, knot) for at, knot in enumerate(kinds))
            at, found = 3, list[tuple[int, Knot]]()
            for knot in kinds:
                # One string throughout: `at` is its position.
                left = at if knot.from_left else at - 1
                if not 1 <= left < strings:
                    break
                found.append((left, knot))
                at += (1 if knot.from_left else -1) if knot.swaps else 0
            else:
                yield tuple(found)


@pytest.mark.parametrize("names", sorted(NAMINGS))
def test_no_two_presses_are_heard_alike(names: str) -> None:
    strings = "abcab" + "b"
    heard: dict[tuple[Level, str], tuple[tuple[int, Knot], ...]] = {}
    said_whole = 0
    for moves in presses(len(strings)):
        whole = single(strings, moves)
        progress, ahead = Progress(whole, by_rows(whole)), range(len(moves))
        for level in Level:
            if sayable(whole, progress, ahead, level, names) < len(moves):
                continue
            said = prompt(whole, progress, Happened.RESUMED, (), level, ahead=ahead, names=names)
            ear = Band(strings, NAMINGS[names])
            assert [(made.left, made.kind) for made in ear.hears(said)] == [(left, knot.value) for left, knot in moves]
            assert heard.setdefault((level, by_ear(said)), moves) == moves, said
            said_whole += 1
    assert said_whole > 300


@pytest.mark.parametrize("names", sorted(NAMINGS))
def test_forward_backward_is_never_forward_then_backward(names: str) -> None:
    one = single("abc", [(1, Knot.FORWARD_BACKWARD)])
    two = single("abc", [(1, Knot.FORWARD), (1, Knot.BACKWARD)])
    for level in Level:
        said = [
            by_ear(
                prompt(whole, Progress(whole, by_rows(whole)), Happened.RESUMED, (), level, ahead=ahead, names=names)
            )
            for whole, ahead in ((one, [0]), (two, [0, 1]))
        ]
        assert "then" not in said[0].split()
        assert "then" in said[1].split()
