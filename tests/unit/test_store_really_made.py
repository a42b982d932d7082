"""A piece remembers what was really made: after any presses it is what a simple replay of them says, reopened too."""

from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmate import piece_opening as openings
from benchmate.bench.step.view import view_of
from benchmate.bench.zones.view_values import NEUTRAL_FIELD
from benchmate.choosing.preview import PreviewSources, preview_of
from benchmate.choosing.shelves import Entry
from benchmate.craft.colours.terminal_colours import TRUE_COLOUR
from benchmate.craft.knots import Knot
from benchmate.craft.orders import by_rows
from benchmate.craft.progress import NotPossible, Progress
from benchmate.craft.start_band_finish import whole_piece
from benchmate.craft.thread.counts import Counts
from benchmate.craft.thread.length_to_cut import Length
from benchmate.craft.trouble.made_otherwise import EVERY_KIND, Made, MadeOtherwise, token
from benchmate.craft.trouble.string_outlook import BY_EYE
from benchmate.craft.wording import step_words
from benchmate.craft.wording.prompt_parts import Level
from benchmate.craft.wording.prompts import Happened, prompt
from benchmate.craft.wording.spoken_length import is_short_enough
from benchmate.families.diagonal.body import Diagonal, DiagonalKnot
from benchmate.piece_exchange import imported, rescued
from benchmate.piece_length import Lengths, NoSuchLength
from benchmate.piece_opening import Kept
from benchmate.piece_questions.band_pictures import layout_of
from benchmate.piece_questions.thread.cut_strings import CutStrings
from benchmate.settings import DEFAULTS
from benchmate.store.errors import Gone, NotSaved
from benchmate.store.inspection import in_memory
from benchmate.store.log import Event, read_log
from benchmate.store.open_piece import OpenPiece
from benchmate.store.pieces import Pieces, TakenOver
from benchmate.store.places import Home
from benchmate.store.safekeeping.rebuilding import IntactPart, intact_part
from benchmate.store.thread.cuts import Cut
from benchmate.store.thread.strings_left import measured_in
from tests.charts import design, random_chart, row, seeded, tie_by_hand, trace
from tests.homes import opened
from tests.running import WRITTEN

F, B, FB, BF = Knot


def written_out(chance: Random, strings: int, rows: int) -> str:
    """A design file with a random chart."""
    names = [chance.choice("abc") for _ in range(strings)]
    body = random_chart(chance, strings, rows)
    lines = [" ".join("-" if knot is None else knot.value for knot in each.knots) for each in body.rows]
    rows_text = "".join(
        f'  - {{start: {each.start}, knots: "{line}"}}\n' for each, line in zip(body.rows, lines, strict=True)
    )
    return (
        "benchmate: 1\ntitle: Three lights\nfamily: diagonal\ncolours: {a: teal, b: maroon, c: gold}\n"
        f"strings: [{', '.join(names)}]\nrows:\n{rows_text}"
    )


class Replay:
    """A piece by the simplest rules: which knots are tied, how each was made, and where that leaves the strings."""

    def __init__(self, held: OpenPiece) -> None:
        body = held.charted.main.design.body
        assert isinstance(body, Diagonal)
        self.colours = list(body.strings)
        self.chart = [(each.row, each.left, each.token) for each in trace(body)]
        self.tied: list[int] = []
        self.made: dict[int, str] = {}
        self.plans: dict[int, tuple[str, set[int]]] = {}
        """Changes, done or not, each with the mistakes it is for; none: for whichever."""
        self.lately: list[int] = []
        """The mistakes told since a knot was tied or untied or a change planned."""
        self.planned = False

    def how(self, step: int) -> str:
        """How a step is made, or will be."""
        planned = self.plans[step][0] if step in self.plans else self.chart[step][2]
        return self.made.get(step, planned)

    @property
    def mistakes(self) -> dict[int, str]:
        """Knots made otherwise that were not planned so."""
        return {step: how for step, how in self.made.items() if how != self.chart[step][2]}

    def altered(self, *, tied: bool) -> dict[int, str]:
        """The tied steps, or the open ones, that are or will be made otherwise than charted."""
        steps = [step for step in {*self.made, *self.plans} if (step in self.tied) is tied]
        return {step: self.how(step) for step in steps if self.how(step) != self.chart[step][2]}

    def tie(self, steps: list[int]) -> None:
        self.tied += steps
        self.lately.clear()

    def below(self, step: int) -> set[int]:
        """Every knot that must be tied before this one."""
        found: set[int] = set()
        reach = {self.chart[step][1], self.chart[step][1] + 1}
        for other in range(step - 1, -1, -1):
            left = self.chart[other][1]
            if reach & {left, left + 1}:
                found.add(other)
                reach |= {left, left + 1}
        return found

    def ready(self) -> list[int]:
        tied = set(self.tied)
        return [step for step in range(len(self.chart)) if step not in tied and self.below(step) <= tied]

    def on_top(self, step: int) -> list[int]:
        return [other for other in self.tied if other == step or step in self.below(other)]

    def untie(self, step: int) -> None:
        self.tied.remove(step)
        self.lately.clear()
        if self.made.pop(step, None) is not None:
            self.drop(self.serving(step))

    def serving(self, step: int) -> list[int]:
        """The changes that are there because of a mistake."""
        return [
            other
            for other, (_, serves) in self.plans.items()
            if step in serves or (not serves and step not in self.plans)
        ]

    def drop(self, changes: list[int]) -> None:
        """Changes are no longer wanted; those that are done stay as they were made."""
        for other in changes:
            planned = self.plans.pop(other)[0]
            if other in self.tied:
                self.made.setdefault(other, planned)
            if self.made.get(other) == self.chart[other][2]:
                del self.made[other]

    def take_back(self, step: int) -> None:
        """A knot was made as charted after all: what was still to be made otherwise because of it is not."""
        dropped = [other for other in self.serving(step) if other not in self.tied] if step in self.made else []
        self.was_made({step: self.chart[step][2]})
        for other in dropped:
            del self.plans[other]

    def was_made(self, made: dict[int, str]) -> None:
        for step, how in sorted(made.items()):
            if how == self.how(step):
                continue
            self.made.pop(step, None)
            if how != self.how(step):
                self.marked(step, how)
            elif how == self.chart[step][2]:
                # It was no mistake: what was done to mend it is one.
                for other, (planned, serves) in sorted(self.plans.items()):
                    done = other in self.tied and other not in self.made
                    if done and (step in serves or not serves):
                        del self.plans[other]
                        self.marked(other, planned)

    def marked(self, step: int, how: str) -> None:
        self.made[step] = how
        self.lately = [step] if self.planned else [*self.lately, step]
        self.planned = False

    def leave(self, made: dict[int, str], changes: dict[int, str]) -> None:
        self.was_made(made)
        these = {step for step in made if step in self.made}
        if changes and these:
            self.planned = self.planned and set(self.lately) == these
            self.lately = sorted(these)
            for step in changes:
                serves = self.plans[step][1] if step in self.plans else set()
                for_others = bool(serves & these) and not serves <= these
                for_whichever = not serves and not these <= set(self.plans)
                if step in self.plans and (for_others or for_whichever):
                    del self.plans[step]
        self.will_be(changes)

    def will_be(self, changes: dict[int, str]) -> None:
        for step, how in sorted(changes.items()):
            if how == self.how(step):
                continue
            if how == self.chart[step][2]:
                del self.plans[step]
                continue
            serves = set(self.lately)
            if step in self.plans:
                known = self.plans[step][1]
                serves = known | serves if known and serves else set()
            self.plans[step] = how, serves
            self.planned = True

    def shown(self) -> tuple[list[int], list[str | None]]:
        """The strings as they hang, and the colour of every tied knot; None where it was left out."""
        hanging = list(range(1, len(self.colours) + 1))
        shows: list[str | None] = []
        for step in sorted(self.tied):
            left = self.chart[step][1]
            how = self.how(step)
            shows.append(None if how == "-" else self.colours[tie_by_hand(hanging, left, how)[0] - 1])
        return hanging, shows


def shown(held: OpenPiece) -> tuple[list[int], list[str | None]]:
    """The same of a piece."""
    colours, work = held.whole.main.design.strings, held.whole
    strings = [work.knotting(step) for step in sorted(held.progress.history)]
    return list(held.progress.hanging), [colours[string - 1] if string else None for string in strings]


def tokens(made: MadeOtherwise) -> dict[int, str]:
    return {step: token(how) for step, how in made.items()}


def agrees(held: OpenPiece, replay: Replay) -> None:
    tied = set(replay.tied)
    assert set(held.progress.history) == tied
    assert tokens(held.mistakes) == replay.mistakes
    assert tokens(held.made) == replay.altered(tied=True)
    assert tokens(held.changes) == replay.altered(tied=False)
    assert shown(held) == replay.shown()
    assert held.progress.ready() == replay.ready()


ACTS = ["next"] * 5 + ["made"] * 2 + ["ready", "run", "left", "leave", "drop", "out", "jump", "way", "back", "later"]


def press(chance: Random, held: OpenPiece, replay: Replay) -> None:
    """One random press of a maker, on the piece and in the replay."""
    open_steps = replay.ready()
    act = chance.choice(ACTS)
    if act in ("next", "ready", "run") and open_steps:
        if act == "ready":
            steps = [chance.choice(open_steps)]
        else:
            steps = held.steps_of_press("run" if act == "run" else "knot")
        held.tie(steps)
        replay.tie(steps)
    elif act == "left" and replay.tied:
        step = held.progress.last
        assert step is not None
        held.back()
        replay.untie(step)
    elif act in ("made", "leave") and replay.tied:
        made = {step: chance.choice(EVERY_KIND) for step in chance.sample(replay.tied, min(len(replay.tied), 2))}
        changes: dict[int, Made] = {}
        if act == "leave":
            later = [step for step in range(len(replay.chart)) if step not in replay.tied]
            for step in chance.sample(later, min(len(later), 2)):
                other = [way for way in EVERY_KIND if token(way) != replay.chart[step][2]]
                changes[step] = chance.choice(other)
        if act == "leave":
            held.leave(made, changes)
            replay.leave(tokens(made), tokens(changes))
        else:
            held.mark_made(made)
            replay.was_made(tokens(made))
    elif act == "later" and replay.made:
        left = chance.sample(sorted(replay.made), min(len(replay.made), chance.randint(1, 2)))
        later = [step for step in range(len(replay.chart)) if step not in replay.tied]
        changes = {}
        for step in chance.sample(later, min(len(later), 2)):
            changes[step] = chance.choice([way for way in EVERY_KIND if token(way) != replay.chart[step][2]])
        left_so = {step: held.whole.how_made(step) for step in left}
        held.leave(left_so, changes)
        replay.leave(tokens(left_so), tokens(changes))
    elif act == "back" and replay.made:
        step = chance.choice(sorted(replay.made))
        held.take_back(step)
        replay.take_back(step)
    elif act == "drop":
        held.drop_changes()
        replay.plans = {step: plan for step, plan in replay.plans.items() if step in replay.tied}
    elif act == "out" and replay.tied:
        made = {chance.choice(replay.tied): chance.choice(EVERY_KIND)}
        held.take_out(made)
        replay.was_made(tokens(made))
        (wrong,) = made
        out = held.must_come_out()
        assert sorted(out) == sorted(replay.on_top(wrong))
        for step in out:
            held.finish_step()
            replay.untie(step)
        assert held.wrong is None
    elif act == "jump":
        target = list(held.order.sequence[: chance.randint(0, len(replay.chart))])
        made = {chance.choice(target): chance.choice(EVERY_KIND)} if target else {}
        held.jump_to(target, made)
        for step in held_out(replay, target, held):
            replay.untie(step)
        new = [step for step in target if step not in replay.tied]
        if new:
            replay.tie(new)
        replay.was_made(tokens(made))
    elif act == "way":
        held.change_way(chance.choice(("rows", "segments")), from_right=chance.random() < 0.5)
    if held.needs_plan:
        assert held.use_plan(held.plan())


def held_out(replay: Replay, target: list[int], held: OpenPiece) -> list[int]:
    """What a jump unties, the last first."""
    return sorted(set(replay.tied) - set(target), key=lambda step: held.order.place[step], reverse=True)


def test_any_presses_are_what_a_simple_replay_says_and_so_is_the_piece_reopened(kept: Kept, tmp_path: Path) -> None:
    seen: set[str] = set()
    for seed in range(40):
        chance = Random(seed)
        file = tmp_path / f"{seed}.yaml"
        file.write_text(written_out(chance, chance.randint(3, 7), chance.randint(3, 7)))
        held = openings.follow(kept, str(file), openings.NO_OPTIONS, new=False).held
        replay = Replay(held)
        if not replay.chart:
            continue
        for number in range(30):
            press(chance, held, replay)
            agrees(held, replay)
            if number % 6 == 5 and held.piece is not None:
                again = openings.follow(kept, str(file), openings.NO_OPTIONS, new=False).held
                if again.piece is not None:
                    agrees(again, replay)
                    assert again.wrong == held.wrong
        seen |= {entry.act for entry in held.record().log}
    assert {"made", "change", "charted", "wrong", "jump-tie", "jump-untie"} <= seen


# A piece of four repeats of three knots, `f b` and `f`, in slate and rain.


@pytest.fixture
def held(kept: Kept, band: Path) -> OpenPiece:
    """Seven of twelve knots are tied."""
    held = openings.follow(kept, str(band), openings.NO_OPTIONS, new=False).held
    held.tie(range(7))
    return held


def reopened(held: OpenPiece) -> OpenPiece:
    """The piece as another window finds it."""
    assert held.piece is not None
    kept = Kept()
    try:
        return openings.resume(kept, kept.pieces.get(held.piece)).held
    finally:
        kept.close()


def known(held: OpenPiece) -> tuple[object, ...]:
    progress = held.progress
    return held.made, held.mistakes, held.changes, list(progress.history), list(progress.hanging), held.marked


def test_a_mistake_that_is_undone_takes_the_changes_that_were_to_mend_it_with_it(held: OpenPiece) -> None:
    held.leave({6: None}, {7: FB, 8: None})
    held.tie([7])
    assert (held.made, held.changes) == ({6: None, 7: FB}, {8: None})
    # A change that is undone stays planned: the mistake is still there.
    held.back()
    assert (held.made, held.changes) == ({6: None}, {7: FB, 8: None})
    held.tie([7])
    held.take_out({6: None})
    while held.wrong is not None:
        held.finish_step()
    # What was done of the changes does not rest on it, and is now a knot made otherwise like any other.
    assert (held.mistakes, held.changes, list(held.progress.history)) == ({7: FB}, {}, [*range(6), 7])
    assert known(held) == known(reopened(held))
    held.back()
    assert (held.altered.all, held.whole.instead_of) == ({}, {})
    assert known(held) == known(reopened(held))


def test_a_mend_stays_when_another_mistake_is_undone(held: OpenPiece) -> None:
    held.leave({4: None}, {11: FB})
    held.tie([7])
    held.leave({7: FB}, {10: None})
    held.take_out({7: FB})
    held.finish_step()
    assert (held.made, held.changes) == ({4: None}, {11: FB})
    assert known(held) == known(reopened(held))
    held.take_out({4: None})
    while held.wrong is not None:
        held.finish_step()
    assert (held.made, held.changes) == ({}, {})
    assert known(held) == known(reopened(held))


def test_a_mistake_that_is_none_after_all_takes_only_its_own_mend_with_it(held: OpenPiece) -> None:
    held.leave({4: None}, {11: FB})
    held.tie([7])
    held.leave({7: FB}, {10: None})
    held.take_back(7)
    assert (held.mistakes, held.changes) == ({4: None}, {11: FB})
    assert known(held) == known(reopened(held))
    held.take_back(4)
    assert (held.mistakes, held.changes) == ({}, {})
    assert known(held) == known(reopened(held))


def opened_again(kept: Kept, held: OpenPiece) -> OpenPiece:
    """The piece in a window that has taken it over."""
    assert held.piece is not None
    again = openings.resume(kept, kept.pieces.get(held.piece)).held
    again.hold(force=True)
    return again


def without_knots_between(_: OpenPiece) -> None:
    pass


@pytest.mark.parametrize("between", [without_knots_between, lambda held: held.tie([7])])
@pytest.mark.parametrize(("mended", "none_after_all"), [(4, 6), (6, 4)])
def test_a_mistake_mended_later_is_mended_alone(
    kept: Kept, held: OpenPiece, mended: int, none_after_all: int, between: Callable[[OpenPiece], None]
) -> None:
    held.leave({4: None}, {})
    held.leave({6: None}, {})
    between(held)
    held.leave({mended: None}, {11: FB})
    held = opened_again(kept, held)
    held.take_back(none_after_all)
    assert (held.mistakes, held.changes) == ({mended: None}, {11: FB})
    assert known(held) == known(reopened(held))
    held.take_back(mended)
    assert (held.mistakes, held.changes) == ({}, {})
    assert known(held) == known(reopened(held))


def test_a_mend_is_for_the_mistake_it_was_chosen_for_and_not_for_the_one_left_before(held: OpenPiece) -> None:
    held.leave({4: None}, {})
    held.leave({6: None}, {11: FB})
    held.take_back(4)
    assert (held.mistakes, held.changes) == ({6: None}, {11: FB})
    assert known(held) == known(reopened(held))


def test_a_mend_of_two_mistakes_is_for_both_of_them_and_for_no_third(kept: Kept, held: OpenPiece) -> None:
    held.leave({5: FB}, {})
    held.leave({4: None, 6: None}, {11: FB})
    held.take_back(5)
    assert held.changes == {11: FB}
    held = opened_again(kept, held)
    held.take_back(4)
    assert (held.mistakes, held.changes) == ({6: None}, {})


def test_a_mend_of_two_mistakes_that_is_chosen_again_for_one_is_for_that_one(held: OpenPiece) -> None:
    held.leave({4: None, 6: None}, {11: FB})
    held.leave({4: None}, {11: FB})
    held.take_back(6)
    assert (held.mistakes, held.changes) == ({4: None}, {11: FB})
    assert known(held) == known(reopened(held))


def test_a_change_that_was_not_done_is_mended_alone(held: OpenPiece) -> None:
    held.leave({6: None}, {7: FB})
    held.tie([7])
    held.mark_made({7: held.charted.how_made(7)})
    held.mark_made({3: FB})
    held.leave({7: held.charted.how_made(7)}, {11: FB})
    held.take_back(3)
    assert (held.altered.not_done, held.changes) == ({7}, {11: FB})
    assert known(held) == known(reopened(held))
    held.take_out({7: held.charted.how_made(7)})
    while held.wrong is not None:
        held.finish_step()
    assert held.changes == {7: FB}
    assert known(held) == known(reopened(held))


def test_what_changes_serve_in_logs_of_earlier_versions_stays_so() -> None:
    a, b, change, later = 2, 4, 5, 8
    entries = [
        ("tie", 0, 4),
        ("made", a, 4),
        ("change", change, 2),
        ("tie", change, change),
        ("charted", change, change),
        ("made", b, 4),
        ("made", change, 2),
        ("charted", change, change),
        ("change", later, 2),
        ("untie", b, b),
    ]
    state = read_log(Event(number, *entry) for number, entry in enumerate(entries, 1))
    assert state.altered.changes == {change: FB}, "the later change was for both that were told after the last knot"
    assert state.altered.not_done == {change}


@pytest.mark.parametrize("mark", ["marked", "taken out", "jumped to"])
def test_a_second_mark_is_the_only_one_in_every_window(held: OpenPiece, mark: str) -> None:
    held.leave({5: None}, {})
    held.mark_wrong(4, 3, 4, 3)
    assert [*held.marked] == [4, 3]
    assert known(held) == known(reopened(held))
    if mark == "marked":
        held.mark_wrong(5)
    elif mark == "taken out":
        held.take_out({5: None})
    else:
        held.jump_to(list(held.progress.history), wrong=[5])
    assert [*held.marked] == [5]
    assert known(held) == known(reopened(held))
    while held.wrong is not None:
        held.finish_step()
    assert known(held) == known(reopened(held))


def test_a_mend_that_is_done_is_a_knot_made_otherwise_when_the_mistake_is_none_after_all(held: OpenPiece) -> None:
    held.leave({6: None}, {7: FB, 8: None, 9: BF})
    held.tie([7, 8])
    held.mark_made({8: F})
    held.mark_wrong(6)
    hanging = list(held.progress.hanging)
    held.take_back(6)
    assert (held.mistakes, held.changes, held.wrong) == ({7: FB}, {}, None)
    assert held.progress.hanging != hanging
    assert known(held) == known(reopened(held))


def test_several_wrong_knots_are_led_out_in_one_go(held: OpenPiece) -> None:
    steps = range(held.progress.done)
    apart = next(
        (one, other)
        for one in steps
        for other in steps
        if one < other and other not in held.progress.must_come_out(one)
    )
    held.take_out(dict.fromkeys(apart, BF))
    out = held.must_come_out()
    assert {*out} == {step for wrong in apart for step in held.progress.must_come_out(wrong)}
    for left in range(len(out), 0, -1):
        assert held.wrong is not None
        assert len(held.must_come_out()) == left
        assert known(held) == known(reopened(held))
        held.finish_step()
    assert (held.wrong, held.mistakes) == (None, {})
    assert known(held) == known(reopened(held))


def test_a_wrong_knot_tied_again_on_the_way_to_another_comes_out_again(held: OpenPiece) -> None:
    last, *_, first = held.progress.must_come_out(0)
    held.mark_wrong(first, last)
    held.finish_step()
    held.back()
    assert held.must_come_out()[0] == last
    assert known(held) == known(reopened(held))


@pytest.mark.parametrize("instead", [None, "as charted"])
def test_a_knot_that_mends_is_still_to_be_made_so_when_it_was_made_wrong(held: OpenPiece, instead: str | None) -> None:
    held.leave({6: None}, {8: FB})
    held.tie([7, 8])
    made = held.charted.how_made(8) if instead else None
    held.take_out({8: made})
    # What is known now is that it was not made as planned.
    assert (held.whole.how_made(8), held.wrong) == (made, 8)
    assert known(held) == known(reopened(held))
    while held.wrong is not None:
        held.finish_step()
    assert (held.mistakes, held.changes) == ({6: None}, {8: FB})
    assert known(held) == known(reopened(held))
    held.mark_made({6: held.charted.how_made(6)})
    assert (held.mistakes, held.changes) == ({}, {8: FB})


def test_a_knot_that_is_kept_on_the_way_to_it_stays_as_it_was_made(held: OpenPiece) -> None:
    held.mark_made({5: None})
    held.untie(6)
    held.untie(5)
    held.take_out({0: BF})
    # On the way back the last one is tied again, and the mark is removed: the knot stays as it was made.
    held.finish_step()
    held.back()
    held.back()
    assert known(held)[1:] == ({0: BF}, {}, [*range(5)], held.progress.hanging, ())
    assert known(held) == known(reopened(held))


def test_a_knot_is_as_charted_again(held: OpenPiece) -> None:
    held.mark_made({3: None, 4: FB})
    held.mark_made({3: F})
    assert held.made == reopened(held).made == {4: FB}
    held.leave({}, {8: None, 9: FB})
    held.leave({}, {8: F})
    assert held.changes == reopened(held).changes == {9: FB}
    held.drop_changes()
    assert held.changes == reopened(held).changes == {}
    entries = len(held.record().log)
    # What is so already is not said again.
    held.drop_changes()
    held.mark_made({4: FB})
    assert len(held.record().log) == entries


def test_a_mistake_that_stays_is_no_longer_marked_wrong(held: OpenPiece) -> None:
    held.mark_wrong(4)
    held.leave({4: FB}, {})
    assert (held.wrong, held.made) == (None, {4: FB})
    assert known(held) == known(reopened(held))


def test_a_lost_place_is_set_with_the_knot_that_explains_it_in_one_press(kept: Kept, held: OpenPiece) -> None:
    held.leave({2: FB}, {9: None})
    held.jump_to(range(10), {7: BF})
    assert (held.made, held.progress.done) == ({2: FB, 7: BF, 9: None}, 10)
    assert known(held) == known(reopened(held))
    assert len({entry.at for entry in held.record().log[-2:]}) == 1
    held.jump_to(range(2))
    assert held.altered.all == reopened(held).altered.all == {}


def test_what_cannot_be(kept: Kept, held: OpenPiece, tmp_path: Path) -> None:
    before, refused = known(held), pytest.raises(NotPossible)
    changes: list[Callable[[], None]] = [
        lambda: held.mark_made({7: FB}),
        lambda: held.mark_made({-1: FB}),
        lambda: held.mark_made({99: FB}),
        lambda: held.leave({2: FB}, {3: FB}),
        lambda: held.leave({2: FB}, {7: B}),
        lambda: held.leave({}, {99: None}),
        lambda: held.take_out({8: FB}),
        lambda: held.take_out({}),
        lambda: held.jump_to(range(3), {5: FB}),
        lambda: held.measure(5, 10),
        lambda: held.measure(0, 10),
        lambda: held.join(1, float("nan")),
        lambda: held.measure(1, -1),
    ]
    for change in changes:
        with refused:
            change()
        assert known(held) == before
    # Only the knots of the band itself, and only of a band of knots that can be made in several ways.
    change_copy(held, start=WRITTEN)
    with refused:
        held.mark_made({0: FB})
    held.mark_made({3: FB})
    picture = tmp_path / "gull.yaml"
    picture.write_text(
        "benchmate: 1\ntitle: Gull\nfamily: alpha\ncolours: {sea: teal, gull: white}\nbase: sea\n"
        'key: {".": sea, "#": gull}\nchart: |\n  .#.\n  ###\n'
    )
    other = openings.follow(kept, str(picture), openings.NO_OPTIONS, new=False).held
    other.tie([0, 1])
    with refused:
        other.mark_made({0: None})
    assert other.made == {}


def test_strings_that_were_measured(held: OpenPiece, kept: Kept, tmp_path: Path) -> None:
    held.measure(2, 415.5)
    held.tie([7])
    held.join(4, 900)
    seen = {string: measured[:3] for string, measured in reopened(held).measured.items()}
    assert seen == {2: (7, 415.5, False), 4: (8, 900.0, True)}
    held.measure(2, 300)
    assert reopened(held).measured[2][:3] == (8, 300.0, False)
    # A new piece begins with it: what was told is not lost when the window is closed before the first step.
    fresh = openings.follow(kept, held.file, openings.NO_OPTIONS, new=True).held
    fresh.measure(1, 700)
    assert reopened(fresh).measured[1][:3] == (0, 700.0, False)
    assert reopened(fresh).progress.done == 0
    fresh.tie([0])
    assert reopened(fresh).measured[1][:3] == (0, 700.0, False)


def test_a_new_string_is_kept_with_its_length_and_taken_back(held: OpenPiece) -> None:
    held.measure(4, 80)
    held.tie([7])
    held.join(4, 410, 500, done=7, thread=3)
    (new,) = reopened(held).new_strings
    assert (new.string, new.mm, new.thread) == (4, 500.0, 3)
    tied = held.progress.history[:7]
    assert new.after == max(step for step in tied if 4 in held.whole.takes(step))
    assert new.colour == held.whole.main.design.strings[3]
    assert reopened(held).measured[4][:3] == (7, 410.0, True)
    held.join(2, 300, 390)
    held.take_new_string_back(4)
    again = reopened(held)
    assert again.measured[4][:4] == (7, 80.0, False, False)
    assert [each.string for each in again.new_strings] == [2]
    held.take_new_string_back(2)
    assert set(reopened(held).measured) == {4}
    for string, mm, cut in ((4, 410.0, 0.0), (4, -1.0, 500.0), (99, 410.0, 500.0)):
        with pytest.raises(NotPossible):
            held.join(string, mm, cut)
    with pytest.raises(NotPossible):
        held.take_new_string_back(4)


def test_what_was_measured_after_a_new_string_holds_when_that_is_taken_back(held: OpenPiece) -> None:
    held.measure(4, 80)
    held.join(4, 410)
    held.tie([7])
    held.measure(4, 300)
    held.take_new_string_back(4)
    for each in held, reopened(held):
        assert each.measured[4][:3] == (8, 300.0, False)
        assert each.new_strings == []
    held.join(2, 410)
    held.join(2, 390)
    held.measure(2, 350)
    held.take_new_string_back(2)
    assert held.measured[2][1:3] == (350.0, True), "of the new string before"
    assert [each.mm for each in held.new_strings] == [410.0]


def test_a_new_string_is_not_taken_back_where_a_later_one_cannot_be_read(held: OpenPiece, kept: Kept) -> None:
    held.join(4, 800)
    held.join(4, 500)
    held.database.connection.execute("UPDATE new_string SET mm = 3 WHERE number = 1")
    again = openings.resume_listed(kept, kept.pieces.get(1)).held
    again.hold(force=True)
    assert [each.mm for each in again.new_strings] == [800.0]
    known = dict(again.measured)
    with pytest.raises(NotSaved, match="A later new string of this piece is damaged"):
        again.take_new_string_back(4)
    assert again.measured == known
    again.join(4, 600)
    again.take_new_string_back(4)
    assert [each.mm for each in reopened(again).new_strings] == [800.0]


def test_measuring_leaves_the_new_strings_as_they_are(held: OpenPiece, kept: Kept) -> None:
    held.join(4, 800)
    held.join(2, 500)
    rows = "SELECT * FROM new_string WHERE number = 0"
    held.database.connection.execute("UPDATE new_string SET mm = 3 WHERE number = 0")
    damaged = held.database.connection.execute(rows).fetchall()
    again = openings.resume_listed(kept, kept.pieces.get(1)).held
    again.hold(force=True)
    again.measure(1, 300)
    again.join(3, 700)
    assert held.database.connection.execute(rows).fetchall() == damaged, "a damaged one can still be looked at"
    assert [each.string for each in reopened(again).new_strings] == [2, 3]


@pytest.mark.parametrize("act", ["join", "take back", "tick"])
def test_what_is_not_saved_of_the_thread_is_not_so(held: OpenPiece, monkeypatch: pytest.MonkeyPatch, act: str) -> None:
    held.join(2, 300, 390)
    before = dict(held.measured), list(held.new_strings), list(held.ticked), held.was_cut
    acts = {
        "join": lambda: held.join(4, 410, 500),
        "take back": lambda: held.take_new_string_back(2),
        "tick": lambda: held.tick([Cut(Length("ink", (1,), 400.0))]),
    }
    with monkeypatch.context() as full:
        full.setattr(type(held._saved.pieces), "_count_as_change", _full)
        with pytest.raises(NotSaved):
            acts[act]()
    for each in held, reopened(held):
        assert (dict(each.measured), list(each.new_strings), list(each.ticked), each.was_cut) == before
    acts[act]()
    assert (dict(held.measured), list(held.new_strings), list(held.ticked), held.was_cut) != before


def _full(*_: object) -> None:
    raise NotSaved("The disk is full.")


def test_more_can_be_made_otherwise_of_what_is_already(held: OpenPiece) -> None:
    whole = held.whole.made_otherwise({0: FB, 1: None}).made_otherwise({1: F, 3: None}).made_otherwise({0: F})
    assert whole.instead_of == {1: B, 3: F}
    assert [whole.how_made(step) for step in range(4)] == [F, F, F, None]
    straight = held.charted.made_otherwise({1: F, 3: None})
    assert [whole.knotting(step) for step in range(12)] == [straight.knotting(step) for step in range(12)]


# Other windows.


def test_another_window_sees_what_was_really_made(held: OpenPiece) -> None:
    kept = Kept()
    try:
        assert held.piece is not None
        beside = openings.resume(kept, kept.pieces.get(held.piece)).held
        held.leave({5: FB}, {8: None})
        assert beside.refresh()
        assert known(beside) == known(held)
        held.measure(1, 500)
        assert beside.refresh()
        assert beside.measured == held.measured
        beside.hold(force=True)
        with pytest.raises(TakenOver):
            held.mark_made({3: None})
        beside.mark_made({3: None})
        assert beside.made == {3: None, 5: FB}
    finally:
        kept.close()


# Rescued and rebuilt.


def test_a_rescued_piece_has_what_was_really_made_and_measured(held: OpenPiece, home: Path, tmp_path: Path) -> None:
    held.leave({2: FB}, {8: None})
    # One by a ruler, one by eye, one typed as a whole number.
    for string, mm in enumerate((415.5, BY_EYE[0].mm, 300), 1):
        held.measure(string, mm)
    assert all(isinstance(each.mm, float) for each in held.measured.values())
    error = rescued(held, Gone("The database has gone."))
    assert "rescued-1.pieces" in str(error)
    there = Home(tmp_path / "there")
    assert [piece.done for piece in imported(there, str(home / "rescued-1.pieces"))] == [7]
    with closing(Pieces(there)) as pieces:
        assert pieces.altered_of(1) == {2: FB, 8: None}
        assert pieces.told_of(1).measured == held.measured


def test_what_was_really_made_and_measured_is_put_together_from_a_damaged_database(
    held: OpenPiece, kept: Kept, home: Path
) -> None:
    other = openings.follow(kept, held.file, openings.NO_OPTIONS, new=True).held
    other.tie([0])
    held.leave({2: FB}, {8: None})
    held.measure(1, 415.5)
    held.measure(2, 300)
    with opened(home / "pieces.db") as connection:
        connection.execute("UPDATE piece SET done = 2 WHERE piece = 2")
        connection.execute("UPDATE measured SET mm = 90 WHERE string = 2")
    part = intact_part(in_memory(home / "pieces.db"))
    assert isinstance(part, IntactPart)
    assert [damage.piece for damage in part.damages] == [2]
    with closing(part.connection) as connection:
        acts = connection.execute("SELECT act, first, last FROM event WHERE piece = 1").fetchall()
        assert acts == [("tie", 0, 6), ("made", 2, 2), ("change", 8, 4)]
        assert measured_in(connection, 1) == {1: held.measured[1]}
    assert reopened(held).measured == {1: held.measured[1]}


# A plan, a changed design, another length.


def test_a_plan_is_made_again_when_other_strings_make_the_knots(held: OpenPiece) -> None:
    held.change_way("segments", from_right=False)
    held.use_plan(held.plan())
    needed = [held.needs_plan]
    held.mark_made({6: B})
    needed.append(held.needs_plan)
    assert reopened(held).order.by == "rows"
    held.use_plan(held.plan())
    held.measure(1, 100)
    assert list(reopened(held).order.sequence) == list(held.order.sequence)
    needed.append(held.needs_plan)
    held.back()
    assert [*needed, held.needs_plan] == [False, True, False, True]


def change_copy(held: OpenPiece, start: str | None = None, repeats: int = 4, design: str | None = None) -> None:
    """Goes on with a copy that has this start, and as many repeats."""
    copy = held.copy._replace(start=start, repeats=repeats, design=design or held.copy.design)
    held.change_design(copy, openings.whole_of_copy(copy, held.way))


def test_what_was_really_made_goes_over_into_a_changed_design_by_its_new_numbers(held: OpenPiece) -> None:
    held.leave({2: FB, 4: None}, {7: FB, 9: None})
    held.tie([7])
    hanging, showing = shown(held)
    change_copy(held, start=WRITTEN)
    assert (held.mistakes, held.made) == ({5: FB, 7: None}, {5: FB, 7: None, 10: FB})
    assert held.changes == {12: None}
    assert held.progress.hanging == hanging
    assert shown(held)[1][-len(showing) :] == showing
    assert known(held) == known(reopened(held))
    # So it does back again, and with other repeats, where no number changes.
    change_copy(held)
    change_copy(held, repeats=6)
    assert (held.made, held.changes) == ({2: FB, 4: None, 7: FB}, {9: None})
    assert shown(held) == (hanging, showing)
    assert known(held) == known(reopened(held))


def test_a_design_without_a_knot_that_is_to_be_made_otherwise_is_refused(held: OpenPiece) -> None:
    held.leave({2: FB}, {10: None})
    before = known(held)
    shorter = held.copy._replace(repeats=3)
    assert held.carried_over(openings.whole_of_copy(shorter, held.way)) is None
    with pytest.raises(NotPossible):
        change_copy(held, repeats=3)
    assert known(held) == before
    lengths = Lengths(held)
    assert (lengths.fewest, lengths.first_end) == (7, 7)
    assert lengths.row == 5, "where the maker is, whatever is planned"
    with pytest.raises(NoSuchLength, match=r"^row 7 has a knot to be made otherwise than charted$"):
        lengths.steps(lengths.length(repeats=3))
    held.drop_changes()
    assert Lengths(held).fewest == 5
    held.change_design(shorter, openings.whole_of_copy(shorter, held.way))
    assert known(held) == known(reopened(held))


# How it is drawn and said.


def test_the_picture_of_a_piece_shows_what_was_really_made(held: OpenPiece, kept: Kept) -> None:
    held.tie(range(7, 12))
    charted = layout_of(held)
    held.mark_made({0: B, 4: None})
    layout = layout_of(held)
    assert charted is not None
    assert layout is not None
    assert (len(charted.knots), len(layout.knots)) == (12, 11)
    # Row by row and left to right, as the steps are numbered.
    colours = [each.colour for each in sorted(layout.knots, key=lambda each: (each.row, each.place))]
    assert colours == [colour for colour in shown(held)[1] if colour is not None]
    assert [(each.row, each.place) for each in layout.waits if each.row == 3] == [(3, 3), (3, 4)]
    names = held.whole.main.design.strings
    assert layout.last == tuple(names[string - 1] for string in held.progress.hanging)
    assert list(layout.last) != list(charted.last)
    # The preview in the list shows the same.
    assert held.piece is not None
    piece = kept.pieces.get(held.piece)
    sources = PreviewSources(kept.pieces, lambda: DEFAULTS)
    assert preview_of(sources.wanted(Entry(piece.title, piece), TRUE_COLOUR)).layout == layout


def test_a_gauge_learns_from_what_strings_really_did(held: OpenPiece, home: Path) -> None:
    held.tie(range(7, 12))
    charted = {string.called: string.counts for string in CutStrings(held).strings}
    lengths = [cut.length for cut in CutStrings(held).cuts]
    held.mark_made({1: BF, 4: None, 9: F if held.charted.how_made(9) is B else B})
    done = {string: [0, 0, 0] for string in range(1, 5)}
    for step in range(12):
        knot = held.whole.step(step)
        assert isinstance(knot, DiagonalKnot)
        if knot.knot is not None:
            left, right = knot.left_string, knot.right_string
            knotting, passive = (left, right) if knot.knot in (F, FB) else (right, left)
            done[knotting][0] += 1
            done[passive][1 if knot.knot in (F, B) else 2] += 1
    found = {string.length.strings: string.counts for string in CutStrings(held).strings}
    assert found == {(string,): Counts(*each)._replace(waited=8 - sum(each)) for string, each in done.items()}
    assert list(found.values()) != list(charted.values())
    # What was cut was cut for the chart.
    assert [cut.length for cut in CutStrings(held).cuts] == lengths


def test_a_knot_left_out_is_said_and_shown_as_such(held: OpenPiece) -> None:
    held.leave({0: FB}, {7: None, 8: BF})
    view = view_of(held)
    assert (view.word, view.know, view.field) == (
        "leave out",
        "Changed on purpose: left out instead of backward.",
        NEUTRAL_FIELD,
    )
    assert view.left is not None
    assert view.right is not None
    assert [(side.position, side.makes, side.ends) for side in (view.left, view.right)] == [
        (3, False, 3),
        (4, False, 4),
    ]
    assert next(step.short for step in view.coming) == "bf 3/2"
    line = step_words.line(held.whole, 8, 7)
    assert line.startswith("8/12 leave out this knot: string 3 and string 4, instead of backward, 3 ")
    assert line.endswith(", each stays on its side; row 5")
    assert held.steps_of_press("run") == [7]
    assert held.steps_of_press("row") == [7]
    said = [prompt(held.whole, held.progress, Happened.RESUMED, (), level) for level in Level]
    assert said == [
        "row 5 of 8, leave out this knot: string 3 and string 4, instead of backward",
        "leave out this knot, instead of backward, 3 and 4",
        "row 5, leave out 3 and 4",
    ]
    held.tie([7])
    assert view_of(held).know == "Changed on purpose: backward-forward instead of forward."
    assert step_words.line(held.whole, 9, 8).startswith("9/12 backward-forward, instead of forward, ")
    heard = prompt(held.whole, held.progress, Happened.RESUMED, (), Level.FULL)
    assert "backward-forward, instead of forward, " in heard
    # Marked wrong itself, it would not be said to be left out.
    below = next(step for step in held.progress.history if held.progress.must_come_out(step)[0] == 7 != step)
    held.mark_wrong(below)
    view = view_of(held)
    assert (view.mode, view.word) == ("undo", "undo leave out")
    assert view.note == f"No knot is here. {len(held.must_come_out())} to undo, this one first"
    said = [prompt(held.whole, held.progress, Happened.RESUMED, (), level, out=[7]) for level in Level]
    assert said[0] == "nothing to take out, string 3 and string 4 have no knot, the last one to take out"
    assert "nothing to take out" in step_words.prompt(held.whole, 7, comes_out=True)


def test_a_press_that_means_a_row_leaves_out_a_knot_in_its_place(kept: Kept, tmp_path: Path) -> None:
    file = tmp_path / "six.yaml"
    file.write_text(
        "benchmate: 1\ntitle: Six\nfamily: diagonal\ncolours: {a: teal, b: gold}\nstrings: [a, b, a, b, a, b, a, b]\n"
        'rows: ["f f f f", "f f f"]\nrepeats: 2\n'
    )
    held = openings.follow(kept, str(file), openings.NO_OPTIONS, new=False).held
    held.leave({}, {1: None})
    ahead = held.steps_of_press("row")
    assert ahead == [0, 1, 2, 3]
    said = prompt(held.whole, held.progress, Happened.RESUMED, (), Level.FULL, ahead=ahead)
    assert said == (
        "row 1 of 4, a, first from the left, forward, then leave out this knot: string 3 and string 4, "
        "then a, fourth from the right, pairs to the right, 2 forward"
    )
    assert view_of(held, press="row").this_press == ("f 1/2", "- 3/4", "f 5/6", "f 7/8")


@seeded
@given(st.data())
def test_prompts_stay_short_enough_when_knots_are_left_out(data: st.DataObject) -> None:
    """Spoken prompts of a level take as long as they may at most, whichever knots are made otherwise."""
    count = data.draw(st.sampled_from((4, 30, 121)))
    rows = (row(" ".join("f" for _ in range((count - at) // 2)), at + 1) for at in range(2))
    body = Diagonal(("a",) * count, tuple(rows))
    whole = whole_piece(design(body), None, None)
    numbers = data.draw(st.lists(st.integers(0, whole.size - 1), min_size=1, max_size=3, unique=True))
    whole = whole.made_otherwise({number: data.draw(st.sampled_from((None, BF))) for number in numbers})
    progress = Progress.resume(whole, by_rows(whole), range(numbers[0]))
    for level in Level:
        words = prompt(whole, progress, Happened.RESUMED, (), level)
        assert is_short_enough(words, level)
