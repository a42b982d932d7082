"""The box at the bench: threads are added, corrected, taken out, and every change is undone."""

from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from decimal import Decimal
from pathlib import Path

import pytest

from benchmate.bench.screens.thread.box_form_screen import BoxFormScreen
from benchmate.bench.screens.thread.box_screen import BoxScreen
from benchmate.craft.thread.box_thread import BoxThread
from benchmate.piece_opening import Kept
from benchmate.settings import DEFAULTS, Settings
from benchmate.store.thread import box as kept_box
from benchmate.store.thread.box import Box
from tests.screen.benches import full
from tests.screen.hands import Hands, sitting
from tests.voices import Recorder

KINDS = ["floss", "wool"]


@asynccontextmanager
async def at_the_box(kept: Kept, settings: Settings = DEFAULTS) -> AsyncIterator[Hands]:
    """The box, opened over the first screen."""
    async with sitting(kept, None, settings=settings) as hands:
        await hands.app.push_screen(BoxScreen(hands.app, Box(kept.pieces.database), KINDS))
        await hands.catch_up()
        yield hands


def in_box(kept: Kept) -> list[BoxThread]:
    return kept_box.threads_in(kept.home)


async def type_thread(hands: Hands, name: str, colour: str, length: str, price: str = "") -> None:
    """Fills in the form, from its first field, for a skein."""
    await hands.press("a", *name, "enter", *colour, "enter", "enter", "enter", *length, "enter", *price, "enter")


async def test_a_skein_is_added(kept: Kept) -> None:
    async with at_the_box(kept) as hands:
        assert "Your box is empty." in hands.words
        await type_thread(hands, "dusk", "navy", "8m", "1,2")
        assert "how many of these: 1_" in hands.words
        await hands.press("enter")
        assert in_box(kept) == [BoxThread(1, "dusk", "#000080", "floss", 8000.0, True, Decimal("1.2"))]
        assert "Added: dusk." in hands.words
        assert "dusk (navy): skein, 8 m, floss, 1.2 a skein" in hands.text


async def test_several_equal_skeins_and_an_offcut(kept: Kept) -> None:
    async with at_the_box(kept) as hands:
        await type_thread(hands, "dusk", "navy", "8m")
        await hands.press("backspace", "3", "enter")
        await hands.press("a", *"end", "enter", *"teal", "enter", "right", "enter", "right", "enter")
        await hands.press(*"42", "enter", "enter")
        assert [thread.name for thread in in_box(kept)] == ["dusk", "dusk", "dusk", "end"]
        assert in_box(kept)[-1] == BoxThread(4, "end", "#008080", "wool", 420.0, False)
        assert "3 skeins and 1 offcut" in hands.words


async def test_what_is_wrong_is_said_at_its_field(kept: Kept) -> None:
    async with at_the_box(kept) as hands:
        await hands.press("a", *"dusk", "enter", *"nivy", "enter")
        assert isinstance(hands.app.screen, BoxFormScreen)
        assert "`nivy` is not a CSS colour; did you mean `navy`?" in hands.words
        assert "> colour, such as teal or #0b3c5d: nivy_" in hands.text
        await hands.press(*["backspace"] * 4, *"navy", *["down"] * 4, *"x", "enter")
        assert "`x` is not a price: write a number such as 1.20." in hands.words
        await hands.press("backspace", "enter", "enter")
        assert len(in_box(kept)) == 1


async def test_faulty_fields_that_were_passed_by_are_found_at_the_end(kept: Kept) -> None:
    async with at_the_box(kept) as hands:
        await hands.press("a", *["down"] * 6, "enter")
        assert "A thread needs a name, such as harbour blue." in hands.words
        assert in_box(kept) == []


async def test_the_usual_length_gives_way_to_what_is_typed(kept: Kept) -> None:
    async with at_the_box(kept) as hands:
        await hands.press("a", *["down"] * 4)
        assert "> length: 8 m_" in hands.text
        await hands.press("9")
        assert "> length: 9_" in hands.text


@pytest.mark.parametrize(("typed", "mm"), [("8", 80.0), ("900m", 900_000.0)])
async def test_an_absurd_length_is_asked_about_once(kept: Kept, typed: str, mm: float) -> None:
    async with at_the_box(kept) as hands:
        await hands.press("a", *"dusk", "enter", *"navy", "enter", "enter", "enter", *typed, "enter")
        assert "A skein is usually 5 m to 12 m. Enter again takes it." in hands.words
        await hands.press("enter", "enter", "enter")
        assert [thread.mm for thread in in_box(kept)] == [mm]


async def test_a_thread_is_corrected_and_keeps_what_was_not_touched(kept: Kept) -> None:
    Box(kept.pieces.database).add([BoxThread(0, "dusk", "#000080", "floss", 1234.5, False)])
    async with at_the_box(kept) as hands:
        await hands.press("enter", *["backspace"] * 4, *"dawn", *["down"] * 5, "enter")
        assert in_box(kept) == [BoxThread(1, "dawn", "#000080", "floss", 1234.5, False)]
        assert "Corrected: dawn." in hands.words
        await hands.press("enter", *"xx", "escape")
        assert in_box(kept)[0].name == "dawn", "escape changes nothing"


async def test_a_thread_taken_out_comes_back(kept: Kept) -> None:
    Box(kept.pieces.database).add([BoxThread(0, name, "#000080", "floss", 500.0, False) for name in ("one", "two")])
    async with at_the_box(kept) as hands:
        await hands.press("down", "t")
        assert [thread.name for thread in in_box(kept)] == ["one"]
        await hands.press("u")
        assert [thread.name for thread in in_box(kept)] == ["one", "two"]
        await hands.press("u", "u")
        assert in_box(kept) == []
        assert "There is nothing to undo." in hands.words


async def test_the_box_goes_to_a_file_and_comes_back(
    kept: Kept, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Box(kept.pieces.database).add([BoxThread(0, "dusk", "#000080", "floss", 8000.0, True)])
    async with at_the_box(kept) as hands:
        await hands.press("x")
        assert "Saved: thread-box.csv in" in hands.words
        await hands.press("i", *"nothing", "enter")
        assert "nothing: " in hands.words
        await hands.press("i", *"thread-box", "full_stop", *"csv", "enter")
        assert "Read from a file: 1 thread." in hands.words
        assert [thread.name for thread in in_box(kept)] == ["dusk", "dusk"]


async def test_a_full_disk_changes_nothing_and_says_so(kept: Kept, monkeypatch: pytest.MonkeyPatch) -> None:
    Box(kept.pieces.database).add([BoxThread(0, "one", "#000080", "floss", 500.0, False)])
    async with at_the_box(kept) as hands:
        monkeypatch.setattr(Box, "take_out", full)
        await hands.press("t")
        assert "The disk is full." in hands.words
        assert len(in_box(kept)) == 1


async def test_the_box_is_heard(kept: Kept, voice: Callable[[], Recorder]) -> None:
    Box(kept.pieces.database).add([BoxThread(0, "dusk", "#000080", "floss", 8000.0, True)])
    async with at_the_box(kept, DEFAULTS._replace(voice="on", level="short")) as hands:
        assert "dusk (navy): skein, 8 metres, floss" in voice().last
        await hands.press("a")
        assert "your name for it" in voice().last
        await hands.press("down")
        assert voice().last == "colour, such as teal or #0b3c5d"
        await hands.press("escape", "t")
        assert voice().last.startswith("Taken out: dusk.")


@pytest.mark.parametrize("size", [(40, 12), (80, 24)])
async def test_it_fits_small_windows(kept: Kept, size: tuple[int, int]) -> None:
    Box(kept.pieces.database).add([BoxThread(0, f"thread {at}", "#f4f1de", "floss", 500.0, False) for at in range(30)])
    async with sitting(kept, None, size=size) as hands:
        await hands.app.push_screen(BoxScreen(hands.app, Box(kept.pieces.database), KINDS))
        await hands.catch_up()
        await hands.press(*["pagedown"] * 5)
        assert "> " in hands.text
        assert "thread 29 (beige): offcut" in hands.text
        await hands.press("a")
        assert "your name for it: _" in hands.text
