"""Laying out at the bench: offered on the first step, led through in large type, never counted."""

from collections.abc import Callable
from pathlib import Path

import pytest

from benchmate.bench.screens.home import HomeScreen
from benchmate.bench.screens.lines_screen import LinesScreen
from benchmate.bench.step.laying_out_screen import LayingOutScreen
from benchmate.bench.step.step_screen import StepScreen
from benchmate.craft.colours.terminal_colours import ColourDepth
from benchmate.display.palette import DARK
from benchmate.families.registry import zone_of
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.settings import DEFAULTS
from tests.screen.benches import CHEVRON, PICTURE, ROPE, WRITTEN, read, spans, written_to
from tests.screen.hands import Hands, sitting
from tests.voices import Recorder

OFFER = "l: cut and lay out the strings first"
THEN_OFFER = "l: lay out the strings first, one colour at a time"
LEADING = """\
benchmate: 1
title: A start to lead in
family: steps
colours: {ink: "#14213d"}
doubled: true
steps:
  - do: Cut the lengths
  - do: Sort the strings
    lay_out: true
  - do: Breathe
"""
Begin = Callable[..., OpenedPiece]


def large(hands: Hands, text: str) -> int:
    """The height in cells of the capitals in which a text stands on the screen; 0 when it does not."""
    return max((each.cells for each in read(hands.drawn, hands.lines)[0] if each.text == text), default=0)


async def test_the_first_step_offers_it_in_one_line_and_opens_on_the_step(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        assert isinstance(hands.app.screen, StepScreen)
        assert OFFER in hands.text
        await hands.press("space")
        assert OFFER not in hands.text
        await hands.press("left")
        assert OFFER in hands.text
        await hands.press("space", "l")
        assert "Laying out is possible only before the first knot." in hands.legible


@pytest.mark.parametrize("size", [(40, 12), (47, 15), (80, 24), (120, 36), (200, 60)])
async def test_it_is_offered_at_every_size_whatever_a_press_counts(
    kept: Kept, chevron: OpenedPiece, size: tuple[int, int]
) -> None:
    async with sitting(kept, chevron, size=size) as hands:
        for _ in range(3):
            assert "l: cut" in hands.legible or "l cut" in hands.legible
            await hands.press("m")
        await hands.press("l", "l", "l")
        for _ in range(3):
            assert "l: lay out" in hands.legible or "l lay out" in hands.legible
            await hands.press("m")


async def test_one_colour_group_a_step_in_large_type_with_what_hangs(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("l", "l")
        steps = [
            ("plum at 1", ["pl"]),
            ("mossy green at 2", ["pl", "mo"]),
            ("straw at 3 and 4", ["pl", "mo", "st", "st"]),
        ]
        for number, (word, tags) in enumerate(steps, 1):
            assert f"lay out {number} of 5" in hands.lines[0]
            assert large(hands, word) >= 5
            assert any(line.split() == tags for line in hands.lines)
            await hands.press("space")
        await hands.press("left")
        assert "lay out 3 of 5" in hands.lines[0]
        await hands.press("pagedown", "right", "enter")
        assert isinstance(hands.app.screen, StepScreen)
        assert "0/30" in hands.lines[0]
        assert kept.pieces.all() == []


@pytest.mark.parametrize("key", ["l", "escape"])
async def test_one_key_skips_it(kept: Kept, chevron: OpenedPiece, key: str) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("l", "l", "space", key)
        assert isinstance(hands.app.screen, StepScreen)
        assert THEN_OFFER in hands.text
        await hands.press("space")
    assert chevron.held.progress.done == 1


async def test_other_keys_do_nothing_to_the_piece(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("l", "l", "u", "j", "o", "w", "m", "p", "c", "x", "z")
        assert isinstance(hands.app.screen, LayingOutScreen)
        await hands.press("d", "r")
        assert "Plum at 1, 1 string at the left edge; tape or clip them a hand's width below the ends." in hands.legible
        await hands.press("question_mark", "escape", "space")
        assert "lay out 2 of 5" in hands.lines[0]
    assert hands.app.press == "knot"


async def test_its_keys_are_those_of_the_settings(kept: Kept, chevron: OpenedPiece) -> None:
    keys = {**DEFAULTS.keys, "done": ("n",), "lay_out": ("f5",)}
    async with sitting(kept, chevron, settings=DEFAULTS._replace(keys=keys)) as hands:
        assert "f5: cut and lay out the strings first" in hands.legible
        await hands.press("f5", "f5", "n")
        assert "lay out 2 of 5" in hands.lines[0]
        await hands.press("space", "l")
        assert "lay out 2 of 5" in hands.lines[0]
        await hands.press("f5")
        assert isinstance(hands.app.screen, StepScreen)


async def test_without_a_key_it_is_not_offered(kept: Kept, chevron: OpenedPiece) -> None:
    # The settings of a maker who gave l to another action before there was laying out.
    keys = {**DEFAULTS.keys, "lay_out": (), "done": ("l",)}
    async with sitting(kept, chevron, settings=DEFAULTS._replace(keys=keys)) as hands:
        assert "lay out" not in hands.text
        assert "cut" not in hands.text
        await hands.press("l")
        assert "1/30" in hands.lines[0]


async def test_a_held_key_goes_on_once(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("l", "l")
        await hands.hold("space", 10)
        assert "lay out 2 of 5" in hands.lines[0]


async def test_it_is_spoken(kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]) -> None:
    async with sitting(kept, chevron, settings=DEFAULTS._replace(voice="on")) as hands:
        await hands.press("l", "l", "space", "r", "l")
    assert voice().words[2:] == [
        "lay out the strings: plum at 1, 1 string at the left edge; tape or clip them a hand's width below the ends",
        "mossy green at 2, 1 string to the right of plum",
        "mossy green at 2, 1 string to the right of plum",
        "row 1 of 12, plum, first from the left, forward over mossy green",
    ]


async def test_the_voice_can_be_turned_on_there(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("l", "l", "space", "v")
        assert "Voice on." in hands.legible
        assert voice().words == ["mossy green at 2, 1 string to the right of plum"]


async def test_a_disk_is_loaded_slot_by_slot(kept: Kept, begin: Begin) -> None:
    opening = begin(ROPE)
    async with sitting(kept, opening, size=(100, 30)) as hands:
        assert "l: cut the lengths, load the slots first" in hands.legible
        await hands.press("l", "l", "space")
        assert "load 2 of 8" in hands.lines[0]
        assert "slot 8, strand 2 of 8" in hands.legible
        assert ">8<" in hands.legible
        await hands.press(*["space"] * 7)
        assert isinstance(hands.app.screen, StepScreen)
        assert "0/128" in hands.lines[0]
    part = opening.held.whole.main
    zone = zone_of(part.design.family)
    assert zone is not None
    disk = zone.draw_laying_out(part, {1, 8}, [8], 100, 30, DARK)
    assert disk is not None
    colours = {colour.value for colour in part.design.colours.values()}
    assert [span.text.strip() for span in spans(disk) if span.ground in colours] == ["1", ">8<"]


async def test_a_picture_ends_with_its_first_leading_string(kept: Kept, begin: Begin) -> None:
    async with sitting(kept, begin(PICTURE)) as hands:
        await hands.press("l", "l", "space")
        assert "the first leading string; it makes its first knot over base string 1" in hands.legible
        await hands.press("space")
        assert isinstance(hands.app.screen, StepScreen)


async def test_written_steps_say_by_themselves_what_to_hang(kept: Kept, begin: Begin) -> None:
    async with sitting(kept, begin(WRITTEN)) as hands:
        assert "l: lay out" not in hands.text
        await hands.press("l")
        assert isinstance(hands.app.screen, LayingOutScreen)
    async with sitting(kept, begin(WRITTEN.replace("strings: [ink]\n", ""))) as hands:
        await hands.press("l")
        assert "This design has no strings to lay out." in hands.legible


async def test_a_start_leads_into_it_on_the_step_that_says_so(kept: Kept, begin: Begin, tmp_path: Path) -> None:
    written_to(tmp_path, LEADING, "lead.yaml")
    opening = begin(CHEVRON.replace("repeats: 3", "repeats: 3\nstart: lead"))
    async with sitting(kept, opening) as hands:
        assert "Fold 1 length of plum (" in hands.legible
        assert "l: cut the lengths first" in hands.legible
        await hands.press("space")
        assert "l: sort the strings first, one colour at a time" in hands.legible
        await hands.press("l")
        assert "sort 1 of 5" in hands.lines[0]
        await hands.press(*["space"] * 5)
        assert "1/33" in hands.lines[0]
        # What is done is not offered again, but the key is still there.
        assert "l: sort" not in hands.legible
        assert "l sort" in hands.lines[-1]
        await hands.press("space")
        assert "2/33" in hands.lines[0]
        assert "l: " not in hands.text


async def begin_from_list(hands: Hands, title: str) -> None:
    """Opens a new piece on a shipped design, as the list does for the line chosen."""
    home = hands.app.screen
    assert isinstance(home, HomeScreen)
    hands.app.open_choice(None, f"designs/{title}.yaml", 0)
    await hands.catch_up()


async def test_a_new_piece_from_the_list_begins_with_it(kept: Kept) -> None:
    async with sitting(kept, None) as hands:
        await begin_from_list(hands, "first-pointed-band")
        assert "cut 1 of " in hands.lines[0]
        await hands.press("l")
        assert "lay out 1 of 3" in hands.lines[0]
        assert kept.pieces.all() == []
        await hands.press(*["space"] * 3)
        assert isinstance(hands.app.screen, StepScreen)
        await hands.press("space", "left")
        assert isinstance(hands.app.screen, StepScreen), "it opens by itself once"
        await hands.press("q")
        assert isinstance(hands.app.screen, HomeScreen)


async def test_the_key_to_leave_leaves_the_piece(kept: Kept) -> None:
    async with sitting(kept, None) as hands:
        await begin_from_list(hands, "first-pointed-band")
        await hands.press("q")
        assert isinstance(hands.app.screen, HomeScreen)
        assert kept.pieces.all() == []


async def test_a_new_piece_with_a_start_comes_to_it_by_itself(kept: Kept, voice: Callable[[], Recorder]) -> None:
    async with sitting(kept, None, settings=DEFAULTS._replace(voice="on")) as hands:
        await begin_from_list(hands, "bead-rail")
        assert "cut 1 of 3" in hands.lines[0]
        await hands.press("l")
        assert isinstance(hands.app.screen, StepScreen)
        assert "Fold 1 length of rail (" in hands.legible
        assert hands.app.open_piece is not None
        at = hands.app.open_piece.whole.lays_out_at()
        assert at is not None
        await hands.press(*["space"] * at)
        assert "sort 1 of 4" in hands.lines[0]
        assert voice().words[-1] == "sort the strings: rail at 1, 1 string at the left edge"
        await hands.press("l", "space")
        assert isinstance(hands.app.screen, StepScreen)
        assert f"{at + 1}/" in hands.lines[0]


@pytest.mark.parametrize("size", [(40, 12), (80, 24), (120, 36), (200, 60), (300, 100), (20, 5), (5, 3)])
async def test_it_fills_every_size(kept: Kept, chevron: OpenedPiece, size: tuple[int, int]) -> None:
    async with sitting(kept, chevron, size=size) as hands:
        await hands.press("l", "l", "space")
        assert [len(line) for line in hands.lines] == [size[0]] * size[1]
        if size[0] >= 40:
            assert "0/30" in hands.lines[0]
            assert large(hands, "mossy green at 2") >= size[1] // 6


@pytest.mark.parametrize("colours", [16, 256])
async def test_threads_have_the_colours_of_the_screen(
    kept: Kept, chevron: OpenedPiece, monkeypatch: pytest.MonkeyPatch, colours: int
) -> None:
    depth = ColourDepth(colours)
    monkeypatch.setattr(LinesScreen, "depth", depth)
    shown = chevron.held.whole.on_screen(depth).main.design.colours
    true = chevron.held.whole.main.design.colours
    async with sitting(kept, chevron) as hands:
        await hands.press("l", "l", "space", "space")
        screen = hands.app.screen
        assert isinstance(screen, LayingOutScreen)
        seen = {colour for span in spans(screen.lines(80, 24)) for colour in (span.ink, span.ground)}
        assert {shown[name].value for name in ("plum", "moss", "straw")} <= seen
        assert not {true[name].value for name in ("plum", "moss", "straw")} & seen


async def test_a_key_that_is_not_for_now_says_so(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    async with sitting(kept, begin(CHEVRON)) as hands:
        await hands.press("l", "e")
        assert "Not before the strings hang; l skips this." in hands.legible
        await hands.press("space")
        assert "Not before" not in hands.legible
