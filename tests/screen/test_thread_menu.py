"""Thread from the first screen: gauges, a swatch, a thread of the maker's own, the measurements, the box."""

from collections.abc import Callable

import pytest

from benchmate.bench.screens.home import HomeScreen
from benchmate.bench.screens.thread.box_screen import BoxScreen
from benchmate.piece_opening import Kept
from benchmate.settings import DEFAULTS
from benchmate.store.thread.box import Box
from benchmate.store.thread.gauges import estimate_of, own_thread
from tests.screen.benches import full
from tests.screen.hands import Hands, sitting
from tests.voices import Recorder

SPOKEN = DEFAULTS._replace(voice="on", level="short")


async def typed(hands: Hands, *answers: str) -> None:
    """Types numbers, each with enter."""
    for each in answers:
        await hands.press(*("full_stop" if sign == "." else "space" if sign == " " else sign for sign in each), "enter")


def made(kept: Kept, name: str = "floss") -> float:
    found = estimate_of(kept.home, name)
    assert found is not None
    return found.gauge.made_mm


async def test_a_swatch_is_measured_kept_and_taken_back(kept: Kept, monkeypatch: pytest.MonkeyPatch) -> None:
    async with sitting(kept, None) as hands:
        await hands.press("tab", "h", "down", "enter")
        assert "Of which thread? > floss" in hands.words
        await hands.press("enter", "enter")
        assert "Hang 6 strings. Knot with the first one only" in hands.words
        await hands.press("enter")
        assert "20" in hands.legible
        await typed(hands, "", "220")
        assert "2 m 20 cm? The thread of 20 knots is usually 15 cm to 29.5 cm. Enter again takes it." in hands.words
        await hands.press("backspace", "enter")
        await hands.press("escape", "escape")
        assert "a knot made: 10.5 mm → " in hands.words
        assert "correct how wide: skipped" in hands.words
        assert made(kept) == 10.5, "nothing is kept before the person says so"
        with monkeypatch.context() as broken:
            broken.setattr("benchmate.store.thread.gauges.record", full)
            await hands.press("down", "down", "enter")
            await typed(hands, "23")
            await hands.press("enter")
        assert "The disk is full." in hands.words
        assert made(kept) == 10.5
        # Again, from the page of the gauge.
        await hands.press("enter", "enter", "enter", "enter", "enter", "enter")
        await typed(hands, "22", "12 mm", "7.6 mm")
        await hands.press("enter")
        assert "Kept. floss: from 1 string you measured." in hands.words
        assert made(kept) > 10.5
        await hands.press("down", "down", "enter")
        assert "3 measurements of a swatch or call" in hands.words
        await hands.press("enter", "enter")
        assert made(kept) > 10.5, "no is chosen at first"
        await hands.press("enter", "up", "enter")
        assert "Taken back: 3 measurements of floss." in hands.words
        assert made(kept) == 10.5
        await hands.press("escape")
        assert isinstance(hands.app.screen, HomeScreen)


async def test_gauges_and_a_thread_of_ones_own(kept: Kept) -> None:
    async with sitting(kept, None, size=(40, 12)) as hands:
        await hands.press("tab", "h", "enter", *["down"] * 3, "enter")
        assert "metallic: metallic thread; estimated" in hands.words
        for _ in range(14):
            await hands.press("down")
        assert "Knots slip in this thread" in hands.words
        await hands.press("escape", "end", "enter", *"floss", "enter")
        assert "floss comes with benchmate. Give your thread another name." in hands.words
        await hands.press(*"sisal", "enter", "enter")
        await typed(hands, "90000")
        assert "90000 tex? The thread would be 11.19 mm thick; floss is 0.72 mm." in hands.words
        await hands.press("escape", "end", "enter", *"sisal", "enter", "down", "enter")
        await typed(hands, "20", "24 mm")
        await hands.press("down", "enter")
        assert "Kept: sisal, 1.20 mm thick." in hands.words
        own = own_thread(kept.home, "sisal")
        assert own is not None
        assert own.slippery
        assert own.thickness_mm == pytest.approx(1.2)
        assert made(kept, "sisal") == pytest.approx(10.5 * 1.2 / 0.72)
        await hands.press("end", "enter", *"sisal", "enter")
        assert "You have sisal: 1.20 mm thick, knots slip. Replace that?" in hands.words
        await hands.press("enter")
        assert "glitter: " in hands.words, "no is chosen at first"
        assert own_thread(kept.home, "sisal") == own


async def test_it_is_heard_and_the_box_is_there(kept: Kept, voice: Callable[[], Recorder]) -> None:
    async with sitting(kept, None, settings=SPOKEN) as hands:
        await hands.press("tab", "h")
        assert voice().last.startswith("Thread. gauges: what knots take of each thread. up or down")
        await hands.press("down")
        assert voice().last == "measure a swatch, for better cut lists"
        await hands.press("enter", "enter", "down", "enter")
        assert "Hang 4 strings" in hands.words
        await hands.press("down")
        assert voice().last.startswith("Hang 4 strings, the first in a colour of its own. ")
        await hands.press("escape", "escape", "up", "enter", "end", "enter")
        assert voice().last.startswith("Own thread. Type what you call this thread. enter: keep this name, ")
        await hands.press(*"cord")
        assert voice().last == "cord"
        await hands.press("escape", "escape", "end", "enter")
        assert type(hands.app.screen) is BoxScreen
        await hands.press("escape", "escape")
        assert "type to find a title" in hands.words


async def test_a_box_that_cannot_be_read_says_so_and_leads_back(kept: Kept, monkeypatch: pytest.MonkeyPatch) -> None:
    async with sitting(kept, None) as hands:
        monkeypatch.setattr(Box, "threads", full)
        await hands.press("tab", "h", "end", "enter")
        assert "The disk is full." in hands.words
        await hands.press("enter")
        assert "metallic: " in hands.words, "the rest of the menu goes on"


async def test_every_key_of_a_swatch_is_shown_in_a_small_window(kept: Kept) -> None:
    async with sitting(kept, None, size=(40, 12)) as hands:
        await hands.press("tab", "h", "down", "enter", "enter", "enter", "enter")
        assert "escape: keep 20" in hands.words
        assert "tab: leave the swatch" in hands.words
