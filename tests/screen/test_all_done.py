"""What the bench offers once every step is done: going on, a finish, a picture, the next lesson."""

import os
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

from benchmate import piece_opening as openings
from benchmate.bench.screens.ending.all_done import AllDone, Offer, all_done
from benchmate.bench.screens.ending.band_picture import PictureScreen
from benchmate.bench.screens.ending.finish import FinishScreen
from benchmate.bench.step.step_screen import StepScreen
from benchmate.design_files.load import load
from benchmate.design_files.shelf import path_of
from benchmate.display.palette import DARK
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.piece_questions import band_pictures
from benchmate.settings import DEFAULTS
from tests.running import CHART, WRITTEN
from tests.screen.benches import CHEVRON, ROPE, begun, read, text_of, written_to
from tests.screen.hands import sitting


@pytest.fixture
def done(begin: Callable[..., OpenedPiece]) -> OpenedPiece:
    """A band with all its 12 knots tied."""
    return begin(CHART, done=12)


@pytest.fixture(autouse=True)
def working_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of its own for what is saved."""
    folder = tmp_path / "here"
    folder.mkdir()
    monkeypatch.chdir(folder)
    return folder


@pytest.mark.parametrize("size", [(40, 12), (80, 24), (120, 36), (200, 60)])
async def test_it_says_so_in_large_type_and_what_it_took(kept: Kept, done: OpenedPiece, size: tuple[int, int]) -> None:
    async with sitting(kept, done, size=size) as hands:
        large = {each.text: each.cells for each in read(hands.drawn, hands.lines)[0]}
        assert large["all done"] >= size[1] // 4
        assert hands.lines[0].split() == ["Rain", "on", "slate", "12/12"]
        said = ["12 knots, under a minute at work, nothing undone", "go on: more rows or repeats", "add a finish"]
        for text in (*said, "see the band, save a picture"):
            assert text in hands.legible
        assert size != (200, 60) or all(text in large for text in said)
        assert all(len(line) == size[0] for line in hands.lines)


@pytest.mark.parametrize("size", [(40, 12), (80, 24), (200, 60)])
async def test_a_knot_left_wrong_is_recalled(kept: Kept, done: OpenedPiece, size: tuple[int, int]) -> None:
    async with sitting(kept, done, size=size) as hands:
        assert "left wrong" not in hands.legible
        done.held.mark_made({4: None})
        await hands.press("d")
        assert "1 knot left wrong: u, k." in hands.legible
        large = {each.text: each.cells for each in read(hands.drawn, hands.lines)[0]}
        assert large["all done"] >= size[1] // 4
        for text in ("12 knots, under a minute at work", "add a finish", "see the band, save a picture"):
            assert text in hands.legible


async def test_stray_presses_do_nothing_and_back_undoes_the_last_step(kept: Kept, done: OpenedPiece) -> None:
    async with sitting(kept, done) as hands:
        await hands.press("space", "enter", "right", "pagedown", "x", "y")
        assert isinstance(hands.app.screen, StepScreen)
        assert "12/12" in hands.text
        await hands.press("left")
        assert "11/12" in hands.text
        # The keys of the end mean nothing before it.
        await hands.press("f", "b")
        assert isinstance(hands.app.screen, StepScreen)
        await hands.press("space")
        assert "12 knots, under a minute at work, 1 undone" in hands.words
    assert [(piece.done, piece.size) for piece in kept.pieces.all()] == [(12, 12)]


async def test_a_key_of_the_settings_goes_first(kept: Kept, done: OpenedPiece) -> None:
    keys = {**DEFAULTS.keys, "done": ("b",), "length": ()}
    async with sitting(kept, done, settings=DEFAULTS._replace(keys=keys)) as hands:
        assert "see the band" not in hands.words
        await hands.press("b", "e")
        assert isinstance(hands.app.screen, StepScreen)
        await hands.press("f")
        assert isinstance(hands.app.screen, FinishScreen)


async def test_a_finish_is_added_and_kept(kept: Kept, done: OpenedPiece, tmp_path: Path) -> None:
    async with sitting(kept, done) as hands:
        await hands.press("f")
        assert "Which finish?" in hands.words
        await hands.press("down", "up", "escape")
        assert "12/12" in hands.text
        await hands.press("f", "enter")
        held = hands.app.open_piece
        assert held is not None
        size = held.whole.size
        assert size > 12
        assert f"12/{size}" in hands.text
        await hands.press("space", "left", "left")
        assert f"11/{size}" in hands.text
    again = openings.follow(kept, str(tmp_path / "band.yaml"), openings.NO_OPTIONS, new=False)
    assert (again.changed, again.held.whole.size) == ((), size)
    async with sitting(kept, again) as hands:
        await hands.press("space", "space", "space", "e")
        await hands.press(*["down"] * 5)
        assert "> without the added finish" in hands.words
        assert "Undo 2 steps of the finish first" in hands.words
        await hands.press("enter")
        assert "12/12" in hands.text
        await hands.press("f", "enter", "left")
    again = openings.follow(kept, str(tmp_path / "band.yaml"), openings.NO_OPTIONS, new=False)
    assert (again.changed, again.held.whole.size) == ((), size)
    # A change of the file leaves the finish.
    written_to(tmp_path, CHART.replace("Rain", "Hail"))
    again = openings.follow(kept, str(tmp_path / "band.yaml"), openings.NO_OPTIONS, new=False)
    assert again.changed == ("the title is now Hail on slate",)
    assert again.updated is not None
    assert again.updated.whole.size == size
    # Unless the design names one now.
    written_to(tmp_path, WRITTEN, "end.yaml")
    written_to(tmp_path, CHART + "finish: end\n")
    again = openings.follow(kept, str(tmp_path / "band.yaml"), openings.NO_OPTIONS, new=False)
    assert again.updated is not None
    assert again.updated.whole.size == 15


async def test_a_design_with_a_finish_and_written_steps_get_none(kept: Kept, tmp_path: Path) -> None:
    written_to(tmp_path, WRITTEN, "end.yaml")
    for text, steps in ((CHART + "finish: end\n", 15), (WRITTEN, 3)):
        async with sitting(kept, begun(kept, written_to(tmp_path, text), done=steps)) as hands:
            assert "finish" not in hands.legible
            assert "undone" in hands.legible
            await hands.press("f")
            assert isinstance(hands.app.screen, StepScreen)


@pytest.mark.parametrize("text", [CHEVRON, ROPE])
async def test_the_band_is_shown_and_a_picture_saved(
    kept: Kept, begin: Callable[..., OpenedPiece], text: str, working_folder: Path
) -> None:
    (working_folder / "benchmate-piece-1.png").write_text("mine")
    async with sitting(kept, begin(text, done=128 if text is ROPE else 30), size=(80, 14)) as hands:
        await hands.press("b")
        assert isinstance(hands.app.screen, PictureScreen)
        assert "▀" in hands.text
        shown = hands.text
        await hands.press("end")
        assert hands.text != shown
        await hands.press("pageup", "home")
        assert hands.text == shown
        await hands.press("s", "s", "s")
        await hands.wait_for(lambda: "Saved: " in hands.text)
        await hands.press("s")
        assert "benchmate-piece-1-2.png" in hands.words
        await hands.press("escape")
        assert isinstance(hands.app.screen, StepScreen)
    assert sorted(os.listdir(working_folder)) == ["benchmate-piece-1-2.png", "benchmate-piece-1.png"]
    assert (working_folder / "benchmate-piece-1.png").read_text() == "mine"
    with Image.open(working_folder / "benchmate-piece-1-2.png") as image:
        assert image.format == "PNG"
        assert min(image.size) > 50


async def test_a_picture_that_cannot_be_saved_is_reported(
    kept: Kept, done: OpenedPiece, working_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with sitting(kept, done) as hands:
        await hands.press("b")
        working_folder.rmdir()
        await hands.press("s")
        await hands.wait_for(lambda: "Not saved: " in hands.text)
        working_folder.mkdir()
        os.chdir(working_folder)
        await hands.press("s")
        await hands.wait_for(lambda: "Saved: " in hands.text)
        monkeypatch.undo()


async def test_nothing_in_a_design_names_the_file(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    opening = begin(CHART.replace("Rain on slate", "../../up; rm"), done=12)
    layout = band_pictures.layout_of(opening.held)
    assert layout is not None
    said = band_pictures.saved(layout, 12, lambda _: b"picture")
    assert said == f"Saved: benchmate-piece-12.png in {os.getcwd()}"
    assert band_pictures.saved(layout, 12, lambda _: b"picture").startswith("Saved: benchmate-piece-12-2.png in ")


async def test_going_on_from_the_end(kept: Kept, done: OpenedPiece) -> None:
    async with sitting(kept, done) as hands:
        await hands.press("e", "enter")
        assert "12/15" in hands.text
        await hands.press("b")
        assert isinstance(hands.app.screen, StepScreen)


async def test_the_next_lesson_opens(kept: Kept) -> None:
    file = path_of("lesson-2-forward")
    size = openings.begin(kept, load(file), openings.NO_OPTIONS, None).held.whole.size
    opening = begun(kept, Path(file), done=size)
    async with sitting(kept, opening) as hands:
        assert "space Lesson 3: the backward knot" in hands.words
        await hands.press("space")
        assert "Lesson 3" in hands.text
        assert "0/" in hands.lines[0]
        await hands.press("space")
    assert {os.path.basename(piece.file) for piece in kept.pieces.all()} == {
        "lesson-2-forward.yaml",
        "lesson-3-backward.yaml",
    }


async def test_a_read_only_window_offers_the_picture_alone(kept: Kept, done: OpenedPiece) -> None:
    done.held.holding = False
    async with sitting(kept, done) as hands:
        hands.app.screen.held.holding = False  # type: ignore[attr-defined]
        hands.app.screen.show()  # type: ignore[attr-defined]
        await hands.catch_up()
        assert "go on" not in hands.words
        assert "add a finish" not in hands.words
        assert "see the band" in hands.words


async def test_without_colour_the_band_is_shown_in_signs(
    kept: Kept, done: OpenedPiece, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    async with sitting(kept, done) as hands:
        await hands.press("b")
        assert "▀" not in hands.text
        assert "\\" in hands.text


def test_the_time_counts_work_and_no_pauses(kept: Kept, tmp_path: Path) -> None:
    held = begun(kept, written_to(tmp_path, CHART), done=2).held
    before = time.time()
    took = held.took()
    assert took.undone == 0
    assert 0 <= took.seconds < 60
    held.back()
    held.tie([1])
    held.jump(5)
    held.jump(2)
    assert held.took().undone == 1
    assert held.took().seconds <= time.time() - before + 60


@pytest.mark.parametrize("lines", [11, 12, 24])
def test_every_offer_stays_while_a_long_notice_stands(lines: int) -> None:
    offers = [Offer(letter, f"offer number {letter}", lambda: None) for letter in "abcdefg"]
    shown = AllDone("Rain", "12/12", "ALL DONE", ["12 knots"], "a long notice of many words " * 9, offers, ["q: leave"])
    text = text_of(all_done(shown, 40, lines, DARK, None))
    assert all(offer.says in text for offer in offers)
    assert "a long notice" in text
