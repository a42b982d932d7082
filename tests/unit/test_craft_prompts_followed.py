"""Spoken prompts: a listener finds every knot from them, and they are short enough for quick hands."""

import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmate.craft.orders import Order, runs
from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import WholePiece, whole_piece
from benchmate.craft.ways import Way, order_of, worked_as
from benchmate.craft.wording.prompt_parts import Level
from benchmate.craft.wording.prompts import NOTHING, PIECE_DONE, Happened
from benchmate.design_files.load import load
from benchmate.design_files.shelf import shipped
from benchmate.families.diagonal.body import Diagonal
from benchmate.piece_opening import whole_of
from tests.charts import bodies, design, seeded, trace
from tests.listening import Listener, Made, at_each_level, count, followed, made_by

WAYS = [Way(by, right, mirror) for by in ("rows", "segments") for right in (False, True) for mirror in (False, True)]
FILES = {Path(path).stem: load(path) for path in shipped()}
DIAGONAL = [name for name, file in FILES.items() if file.design.family.name == "diagonal"]

QUICK_KNOT = 3.0
"""Seconds a quick hand takes for a knot, two half hitches of 1.5 seconds (from memory; most hands take longer)."""
SPEECH = (120, 150)
"""Words a minute."""
SPOKEN = 300
"""The most characters of a prompt that the voice speaks."""


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


@given(trials(), st.sampled_from(("knot", "run", "row")))
@seeded
def test_prompts_identify_every_knot(trial: Trial, press: str) -> None:
    whole, order = trial
    prompts = followed(whole, order, press)
    for level in Level:
        listener = Listener(whole.strings)
        found: list[Made] = []
        for said in prompts[:-1]:
            heard = listener.hears(said[level])
            found += heard
            for made in heard:
                listener.ties(made)
        assert found == [made_by(whole, number) for number in order.sequence]
        assert prompts[-1][level] == (PIECE_DONE[level] if whole.size else NOTHING)


@given(trials(), st.lists(st.integers(0, 199), max_size=24))
@seeded
def test_prompts_identify_every_knot_with_undos_and_repairs(trial: Trial, choices: list[int]) -> None:
    whole, order = trial
    for level in Level:
        progress, listener = Progress(whole, order), Listener(whole.strings)
        said = at_each_level(whole, progress, Happened.RESUMED)[level]
        for choice in choices:
            last = progress.last
            if choice % 4 == 0 and last is not None:
                progress.untie(last)
                words = at_each_level(whole, progress, Happened.UNDONE, [last])[level]
                said = listener.undoes(words)
            elif choice % 4 == 1 and last is not None:
                said = _repair(progress, whole, listener, progress.history[choice % progress.done], level)
            elif progress.next is not None:
                number = progress.next
                # Without more words, the maker ties the undone step again.
                made = listener.hears(said) if said else [listener.last]
                assert made == [made_by(whole, number)]
                listener.ties(made_by(whole, number))
                progress.tie(number)
                said = at_each_level(whole, progress, Happened.TIED, [number])[level]
            assert listener.hanging == progress.hanging


def _repair(progress: Progress, whole: WholePiece, listener: Listener, wrong: int, level: Level) -> str:
    """Marks a knot wrong and unties all steps on the way to it; returns the last prompt."""
    out = progress.must_come_out(wrong)
    said = at_each_level(whole, progress, Happened.RESUMED, out=out)[level]
    while out:
        number, out = out[0], out[1:]
        assert listener.takes_out(said) == (made_by(whole, number), len(out))
        progress.untie(number)
        said = at_each_level(whole, progress, Happened.OUT, [number], out=out)[level]
    return said


@given(trials().filter(lambda trial: trial.whole.size >= 2), st.data())
@seeded
def test_after_a_burst_of_presses_a_prompt_relies_on_nothing_unheard(trial: Trial, data: st.DataObject) -> None:
    whole, order = trial
    heard = data.draw(st.integers(0, whole.size - 2))
    here = data.draw(st.integers(heard + 1, whole.size - 1))
    progress = Progress.resume(whole, order, order.sequence[:here])
    said = at_each_level(whole, progress, Happened.TIED, order.sequence[heard:here])
    for level in Level:
        listener = Listener(whole.strings)
        for number in order.sequence[:here]:
            listener.ties(made_by(whole, number))
        # The listener sees the strings as they hang, but remembers only the knot that was heard.
        listener.last = made_by(whole, order.sequence[heard])
        assert listener.hears(said[level]) == [made_by(whole, order.sequence[here])]


@given(trials())
@seeded
def test_completed_rows_repeats_and_runs_are_announced(trial: Trial) -> None:
    whole, order = trial
    body = whole.main.design.body
    assert isinstance(body, Diagonal)
    in_repeat, repeats = len(body.rows), whole.rows // len(body.rows)
    rows = [knot.row for knot in trace(body, repeats)]
    run_of = [ordered.run for ordered in runs(whole, order)]
    open_steps = list(order.sequence)
    for at, said in enumerate(followed(whole, order)[1:-1], 1):
        row = rows[open_steps.pop(0)]
        repeat = (row - 1) // in_repeat
        row_ends = all(rows[number] != row for number in open_steps)
        repeat_ends = repeats > 1 and all((rows[number] - 1) // in_repeat != repeat for number in open_steps)
        full, short, sparse = said.values()
        assert (f"row {row} done, " in full) == row_ends
        assert (f"repeat {repeat + 1} of {repeats} done, " in full) == repeat_ends
        assert ("row done, " in short) == ("row done, " in sparse) == (row_ends and not repeat_ends)
        assert (f"repeat {repeat + 1} done, " in short) == ("repeat done, " in sparse) == repeat_ends
        run_ends = run_of[at - 1] == run_of[at] and (at + 1 == whole.size or run_of[at] != run_of[at + 1])
        assert bool(re.search(r"\blast\b", full)) == run_ends
        assert short.endswith(", last") == (sparse == "last" or sparse.endswith(", last")) == run_ends


@pytest.mark.parametrize("by", ["rows", "segments"])
def test_prompts_are_short_enough_for_quick_hands(by: str, capsys: pytest.CaptureFixture[str]) -> None:
    lines = [
        f"by {by:22} {'steps':>6} {'full':>6} {'short':>6} {'sparse':>6}   words a step       seconds a step, short"
    ]
    for name in DIAGONAL:
        file = FILES[name]
        whole = whole_of(file, file.design.repeats, Way(by))
        prompts = followed(whole, order_of(whole, Way(by)))
        assert longest(prompts) <= SPOKEN
        full, short, sparse = (sum(count(said[level]) for said in prompts) for level in Level)
        a_step = [words / len(prompts) for words in (full, short, sparse)]
        slow, quick = (60 / words * a_step[1] for words in SPEECH)
        means = " ".join(f"{words:5.2f}" for words in a_step)
        lines.append(f"{name:25} {whole.size:6} {full:6} {short:6} {sparse:6}  {means}   {quick:5.2f} to {slow:4.2f}")
        assert sparse < short < full
        # The seconds to speak a step must fit into the seconds a knot takes. Spoken slowly, `row done` in rows of one
        # or two knots takes longer.
        assert quick <= QUICK_KNOT
        assert slow <= QUICK_KNOT or len(whole.strings) <= 4
    with capsys.disabled():
        print("", *lines, sep="\n")


def longest(prompts: Sequence[Mapping[Level, str]]) -> int:
    """Characters of the longest prompt, at any level."""
    return max(len(said[level]) for said in prompts for level in Level)


@pytest.mark.parametrize("name", DIAGONAL)
def test_no_prompt_is_longer_than_the_voice_speaks(name: str) -> None:
    # With one press a knot, the words of whole pieces are checked above.
    file = FILES[name]
    for by in ("rows", "segments"):
        whole = whole_of(file, file.design.repeats, Way(by))
        order = order_of(whole, Way(by))
        for press in ("run", "row"):
            assert longest(followed(whole, order, press)) <= SPOKEN, press
