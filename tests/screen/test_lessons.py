"""The lessons: two keypresses away for beginners, each step with text and drawing."""

import re
from functools import cache
from pathlib import Path

import pytest

from benchmate.bench.screens.home import HomeScreen
from benchmate.bench.step.step_screen import StepScreen
from benchmate.bench.step.view import view_of
from benchmate.bench.zones import half_hitch_cells
from benchmate.design_files import load as designs
from benchmate.design_files.shelf import following, shipped
from benchmate.display.palette import DARK
from benchmate.families.steps.body import WrittenStep
from benchmate.piece_opening import NO_OPTIONS, Kept, OpenedPiece, begin
from benchmate.settings import DEFAULTS
from tests.screen.benches import CHEVRON, WRITTEN, begun, composed, spans, written_to
from tests.screen.hands import Hands, sitting
from tests.voices import recorder

LESSONS = [file for file in shipped() if Path(file).name.startswith("lesson-")]
SIZES = [(40, 12), (60, 40), (80, 24), (200, 60)]
AMBER, SKY = "#e8a33d", "#8fd0e6"
"""The two strings of a lesson."""
draw_once = cache(half_hitch_cells.draw)
"""The same drawing at the same size, which several lessons have, is drawn once; it takes longer than all around it."""
DRAWN = """
  - do: Lay it over
    hint: To the right
    draw: f 1 over
"""


def chosen(hands: Hands) -> str:
    """The chosen line of a list."""
    (found,) = (line for line in hands.lines if line.lstrip().startswith(">"))
    return found


def finished(kept: Kept, file: str) -> None:
    """Does a lesson to its end."""
    opening = begin(kept, designs.load(file), NO_OPTIONS, None)
    opening.held.hold()
    opening.held.jump(opening.held.whole.size)
    opening.held.let_go()


def lesson(kept: Kept, file: str) -> OpenedPiece:
    """A lesson that is about to start."""
    return begin(kept, designs.load(file), NO_OPTIONS, None)


@pytest.mark.parametrize("keys", [("enter", "enter"), ("space", "space"), ("enter", "space")])
async def test_two_keys_open_the_first_lesson(kept: Kept, keys: tuple[str, str]) -> None:
    async with sitting(kept, None) as hands:
        assert "Never made a knot?" in chosen(hands)
        await hands.press(*keys)
        assert isinstance(hands.app.screen, StepScreen)
        assert hands.app.screen.held.title == designs.load(LESSONS[0]).design.title


async def test_after_a_lesson_two_keys_open_the_next(kept: Kept) -> None:
    for number, file in enumerate(LESSONS):
        async with sitting(kept, None) as hands:
            assert (f"{number} of {len(LESSONS)} done" in chosen(hands)) == (number > 0)
            await hands.press("enter")
            assert designs.load(file).design.title in chosen(hands)
            assert len(re.findall(r"  done\b", hands.text)) == number
        finished(kept, file)


async def test_a_lesson_under_way_continues_where_it_was_left(kept: Kept) -> None:
    async with sitting(kept, None) as hands:
        await hands.press("enter", "down", "enter", "space", "space", "q")
        assert isinstance(hands.app.screen, HomeScreen)
        assert re.search(r"Lesson 2: .*  2/16", hands.text)
        await hands.press("home", "down", "enter")
        assert "2/16" in hands.lines[0]
        await hands.press("q", "q")
        await hands.press("home")
        assert "CONTINUE" in hands.lines[1]
        assert "Lesson 2" in chosen(hands)
        await hands.press("q")
        await hands.wait_for(lambda: not hands.app.is_running)


async def test_a_held_q_leaves_only_the_lessons(kept: Kept) -> None:
    async with sitting(kept, None) as hands:
        await hands.press("enter", "q")
        await hands.hold("q", 20)
        assert hands.app.is_running
        assert "Never made a knot?" in chosen(hands)


async def test_pieces_under_way_come_before_the_lessons(kept: Kept, tmp_path: Path) -> None:
    begun(kept, written_to(tmp_path, CHEVRON), done=7).held.let_go()
    async with sitting(kept, None) as hands:
        assert "CONTINUE" in hands.lines[1]
        assert "Heather on the moor" in chosen(hands)
        await hands.press("down")
        assert "Never made a knot?" in chosen(hands)


async def test_without_lessons_the_list_has_no_line_for_them(
    kept: Kept, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("benchmate.choosing.shipped_designs.shipped", lambda: [str(written_to(tmp_path, CHEVRON))])
    async with sitting(kept, None) as hands:
        assert "Heather on the moor" in chosen(hands)
        assert "LEARN" not in hands.text


@pytest.mark.parametrize("size", SIZES)
def test_every_step_has_its_text_and_drawing_in_every_window(
    kept: Kept, monkeypatch: pytest.MonkeyPatch, size: tuple[int, int]
) -> None:
    monkeypatch.setattr(half_hitch_cells, "draw", draw_once)
    for file in LESSONS:
        held = lesson(kept, file).held
        held.hold()
        while held.progress.next is not None:
            step = held.whole.step(held.progress.next)
            assert isinstance(step, WrittenStep)
            lines, large = composed(view_of(held), *size, DARK)
            shown = {each.text for each in large}
            read = " ".join("".join(span.text for span in spans(lines) if span.ground == DARK.field).split())
            in_large = [text.cells for text in large if text.text == step.do]
            assert in_large or step.do in read
            if size >= (80, 24):
                assert in_large, "read from a metre"
                assert max(in_large) >= 2
            # The hint is shown in full wherever the instruction is.
            assert any((step.hint or "") in text for text in (read, *shown))
            if step.draw is not None:
                assert {AMBER, SKY} <= {span.ink for span in spans(lines)}
                assert any("HOLD" in span.text for span in spans(lines)) or step.draw.phase in ("hold", "done")
            held.tie([held.progress.next])
        held.let_go()


async def test_a_step_without_a_knot_has_no_drawing(kept: Kept, tmp_path: Path) -> None:
    text = WRITTEN.replace("steps:\n", "steps:" + DRAWN)
    opening = begun(kept, written_to(tmp_path, text), done=0)
    async with sitting(kept, opening) as hands:
        assert "HOLD" in hands.text
        opening.held.tie([0])
        opening.held.mark_wrong(0)
        await hands.press("d")
        assert "UNDO" not in hands.text, "it stands in large type"
        assert "HOLD" not in hands.text


async def test_a_read_only_window_shows_no_drawing(kept: Kept, tmp_path: Path) -> None:
    text = WRITTEN.replace("steps:\n", "steps:" + DRAWN)
    opening = begun(kept, written_to(tmp_path, text), done=0)
    opening.held.holding = False
    async with sitting(kept, None) as hands:
        hands.app._show(opening)
        await hands.catch_up()
        assert "Lay it over. To the right" in hands.legible
        assert "HOLD" not in hands.text


async def test_a_step_is_spoken_as_it_is_written(kept: Kept, monkeypatch: pytest.MonkeyPatch) -> None:
    voice = recorder(monkeypatch)
    opening = lesson(kept, LESSONS[1])
    async with sitting(kept, opening, settings=DEFAULTS._replace(voice="on")) as hands:
        await hands.press("space", "space", "space")
    told = [opening.held.whole.step(number) for number in (1, 2, 3)]
    for said, step in zip(voice().words[-3:], told, strict=True):
        assert isinstance(step, WrittenStep)
        assert said.startswith(step.do)
        assert (step.hint or "") in said


def at_its_end(kept: Kept, file: str) -> OpenedPiece:
    """A lesson with its last step done."""
    opening = lesson(kept, file)
    opening.held.hold()
    opening.held.jump(opening.held.whole.size)
    return opening


async def test_space_goes_from_each_lesson_to_what_follows(kept: Kept) -> None:
    for number, file in enumerate(LESSONS):
        async with sitting(kept, at_its_end(kept, file)) as hands:
            await hands.press("space")
            now = hands.app.screen
            assert isinstance(now, StepScreen)
            follows = following(file)
            assert follows is not None
            assert now.held.file == follows.path
            assert (now.held.progress.done == 0) == (number < 5)


@pytest.mark.parametrize("number", [5, 6])
async def test_the_rows_of_a_lesson_are_counted_in_its_band(kept: Kept, number: int) -> None:
    async with sitting(kept, at_its_end(kept, LESSONS[number])) as hands:
        assert ", from row 3" in hands.words
        await hands.press("space")
        now = hands.app.screen
        assert isinstance(now, StepScreen)
        band, progress = now.held.whole.main, now.held.progress
        assert progress.done == band.first + band.work.span(3).first
        assert "row 3 of" in hands.text
        assert "The first 2 rows are those you made in the lesson." in hands.words
        assert kept.pieces.all()[0].done == progress.done
        await hands.press("j", "1", "enter")
        assert now.held.progress.done == band.first
        await hands.press("space", "q")
    # The band goes on where it was, however it is opened.
    async with sitting(kept, at_its_end(kept, LESSONS[number])) as hands:
        await hands.press("space")
        assert isinstance(hands.app.screen, StepScreen)
        assert hands.app.screen.held.progress.done == band.first + 1


async def test_lesson_six_also_leads_to_lesson_seven(kept: Kept) -> None:
    async with sitting(kept, at_its_end(kept, LESSONS[5])) as hands:
        await hands.press("n")
        assert "Lesson 7" in hands.text


async def test_space_at_the_end_of_a_band_changes_nothing(kept: Kept, tmp_path: Path) -> None:
    opening = begun(kept, written_to(tmp_path, CHEVRON), done=30)
    async with sitting(kept, opening) as hands:
        await hands.press("space", "space")
        assert isinstance(hands.app.screen, StepScreen)
        assert hands.app.screen.held is opening.held
        assert "30/30" in hands.text
