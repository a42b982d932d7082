"""The help pages at the bench: opened from the keys and from the list, readable to the end at any size."""

import pytest

from benchmate.actions import ACTIONS
from benchmate.bench.screens.help import HelpPageScreen, HelpScreen
from benchmate.bench.screens.home import HomeScreen
from benchmate.bench.screens.keys import KeysScreen
from benchmate.bench.step.step_screen import StepScreen
from benchmate.help.topics import TOPICS, page, summary
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.settings import DEFAULTS
from tests.screen.hands import Hands, sitting

SIZES = [(40, 12), (80, 24), (200, 60), (20, 6)]


async def read_through(hands: Hands) -> list[str]:
    """Every line of the open page, read by paging down."""
    lines: list[str] = []
    seen = ""
    while hands.text != seen:
        seen = hands.text
        body = [line.strip() for line in hands.lines]
        lines += [line for line in body if line not in lines]
        await hands.press("pagedown")
    return lines


async def open_page(hands: Hands, topic: str) -> None:
    """Opens the page of a topic from the list of topics."""
    await hands.press("home", *["down"] * TOPICS.index(topic), "enter")
    assert isinstance(hands.app.screen, HelpPageScreen)


async def test_from_the_keys_and_back_to_the_bench(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("question_mark")
        assert "h: help" in hands.words
        await hands.press("h")
        assert isinstance(hands.app.screen, HelpScreen)
        await hands.press("down", "enter")
        assert isinstance(hands.app.screen, HelpPageScreen)
        for screen in (HelpScreen, KeysScreen, StepScreen):
            await hands.press("escape")
            assert isinstance(hands.app.screen, screen)
        assert chevron.held.progress.done == 0
        await hands.press("space")
        assert chevron.held.progress.done == 1


async def test_from_the_list_of_pieces_and_back(kept: Kept) -> None:
    async with sitting(kept, None) as hands:
        assert "?: help" in hands.words
        await hands.press("question_mark")
        assert isinstance(hands.app.screen, HelpScreen)
        await hands.press("escape")
        assert isinstance(hands.app.screen, HomeScreen)
        await hands.press("enter")
        assert "Lesson 1" in hands.words


@pytest.mark.parametrize("size", SIZES)
async def test_every_topic_is_listed(kept: Kept, size: tuple[int, int]) -> None:
    async with sitting(kept, None, size=size) as hands:
        await hands.press("question_mark")
        seen = hands.words
        for _ in TOPICS:
            await hands.press("down")
            seen += " " + hands.words
        shown = "".join(seen.split())
        for topic in TOPICS:
            assert topic in shown
            assert "".join(summary(topic).split()[:2]) in shown


@pytest.mark.parametrize("size", SIZES[:2])
async def test_every_page_can_be_read_to_its_end(kept: Kept, size: tuple[int, int]) -> None:
    async with sitting(kept, None, size=size) as hands:
        await hands.press("question_mark")
        for topic in TOPICS:
            await hands.press("enter")
            assert isinstance(hands.app.screen, HelpPageScreen)
            assert hands.lines[0].strip().startswith(f"{topic.upper()}: ")
            lines = await read_through(hands)
            for line in page(topic, size[0] - 4):
                assert line.strip() in lines
            await hands.press("pageup", "home")
            assert hands.lines[1].strip() == page(topic, size[0] - 4)[0].strip()
            await hands.press("escape", "down")


async def test_columns_of_a_table_stay_in_line(kept: Kept) -> None:
    async with sitting(kept, None) as hands:
        await hands.press("question_mark")
        await open_page(hands, "data")
        rows = [line for line in hands.lines if line.startswith(("     pieces.db", "     copies", "     settings"))]
        assert len(rows) == 3
        assert {len(line) - len(line[5:].partition("  ")[2].lstrip()) for line in rows} == {23}


async def test_a_page_says_when_there_is_more_and_down_goes_line_by_line(kept: Kept) -> None:
    async with sitting(kept, None, size=(40, 12)) as hands:
        await hands.press("question_mark")
        await open_page(hands, "cautions")
        assert "page down: more" in hands.words
        second = hands.lines[2]
        await hands.press("down")
        assert hands.lines[1] == second
        await hands.press("up", "up")
        assert hands.lines[2] == second
        await hands.press("end")
        assert "page down: more" not in hands.words
        end = hands.text
        await hands.press("down", "pagedown")
        assert hands.text == end
        await hands.press("home")
        assert hands.lines[2] == second


async def test_the_keys_page_has_the_keys_of_the_person(kept: Kept, chevron: OpenedPiece) -> None:
    keys = dict(DEFAULTS.keys) | {"done": ("x",), "voice": ()}
    async with sitting(kept, chevron, settings=DEFAULTS._replace(keys=keys)) as hands:
        await hands.press("question_mark", "h")
        await open_page(hands, "keys")
        lines = await read_through(hands)
        assert any(line.startswith("x ") and line.endswith("(done)") for line in lines)
        assert any(line.startswith("no key ") for line in lines)
        assert not any("space, enter" in line for line in lines)
        shown = " ".join(lines)
        assert all(f"({action.name})" in shown for action in ACTIONS)
