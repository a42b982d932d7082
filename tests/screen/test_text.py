"""Text from files is never markup: it is on the screen exactly as in the file."""

from collections.abc import Callable

import pytest

from benchmate.bench.step.step_screen import StepScreen
from benchmate.piece_opening import Kept, OpenedPiece
from tests.screen.hands import sitting

MARKUP = ["[@click=app.exit]x[/]", "[/foo]", "[bold red]x[/]", "\\[z]", "[A]", "$x @y {z}", ":smile: &amp; <b>"]
"""Each would act, vanish or crash if it were read as markup."""


def quoted(text: str) -> str:
    """The text in single quotes, as YAML has it."""
    return "'" + text.replace("'", "''") + "'"


def band_called(title: str, say: str) -> str:
    """A design with this title and this name of a colour."""
    return (
        f"benchmate: 1\ntitle: {quoted(title)}\nfamily: diagonal\n"
        f"colours: {{one: {{css: '#14213d', say: {quoted(say)}}}, two: '#e5d3b3'}}\n"
        "strings: [one, two, two, one]\nrows: ['f b', 'f', 'f b', 'b', 'f b', 'f']\n"
    )


@pytest.mark.parametrize("text", MARKUP)
async def test_titles_and_colours_stand_as_they_are(kept: Kept, begin: Callable[..., OpenedPiece], text: str) -> None:
    opening = begin(band_called(text, text), done=4)
    async with sitting(kept, opening, size=(100, 24)) as hands:
        assert text in hands.lines[0]
        assert text in "".join(hands.lines[-5:])
        await hands.press("u")
        assert text in hands.text
        await hands.press("escape", "j", "3")
        assert text in hands.text
        await hands.press("escape", "space")
        assert isinstance(hands.app.screen, StepScreen)
        assert opening.held.progress.done == 5


@pytest.mark.parametrize("text", MARKUP)
async def test_instructions_stand_as_they_are(kept: Kept, begin: Callable[..., OpenedPiece], text: str) -> None:
    steps = (
        f"benchmate: 1\ntitle: T\nfamily: steps\ncolours: {{a: red}}\nsteps:\n  - do: {quoted('é ' + text)}\n"
        f"    hint: {quoted('hint ' + text)}\n  - do: {quoted('then ' + text)}\n"
    )
    async with sitting(kept, begin(steps)) as hands:
        assert f"é {text}" in hands.text
        assert f"hint {text}" in hands.text
        assert f"then {text}" in hands.text


@pytest.mark.parametrize("text", MARKUP)
async def test_they_stand_as_they_are_on_the_list_and_in_questions(
    kept: Kept, begin: Callable[..., OpenedPiece], text: str
) -> None:
    opening = begin(band_called(text, "x"), done=1)
    opening.held.let_go()
    other = Kept()
    (piece,) = kept.pieces.all()
    other.pieces.hold(piece.piece, other.holder.token, force=False)
    async with sitting(kept, None, size=(100, 24)) as hands:
        assert f"> {text}" in hands.text
        await hands.press("enter")
        assert f"{text} is open in another window." in hands.text
    other.close()


async def test_a_click_on_a_title_does_nothing(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    opening = begin(band_called("[@click=app.exit]leave[/]", "x"))
    async with sitting(kept, opening) as hands:
        for x in range(1, 30):
            await hands.pilot.click(offset=(x, 0))
        assert hands.app.is_running
        await hands.press("space")
        assert opening.held.progress.done == 1


async def test_wide_characters_keep_everything_in_its_place(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    opening = begin(band_called("梅の花の帯", "濃い藍色"), done=2)
    for size in ((40, 12), (80, 24), (120, 36)):
        opening.held.hold()
        async with sitting(kept, opening, size=size) as hands:
            assert "梅の花の帯" in hands.lines[0]
            assert "濃い藍色" in hands.text
            assert "2/9" in hands.lines[0]


async def test_a_title_too_long_for_the_line_leaves_room_for_what_is_done(
    kept: Kept, begin: Callable[..., OpenedPiece]
) -> None:
    opening = begin(band_called("Very long " * 49, "so long a name " * 33), done=2)
    for size in ((40, 12), (80, 24), (300, 100)):
        opening.held.hold()
        async with sitting(kept, opening, size=size) as hands:
            assert hands.lines[0].strip().startswith("Very long")
            assert ".." in hands.lines[0]
            assert "2/9" in hands.lines[0]


def test_the_designs_made_here_hold_what_they_should(begin: Callable[..., OpenedPiece]) -> None:
    for text in MARKUP:
        opening = begin(band_called(text, text))
        assert opening.held.title == text
        assert opening.held.whole.main.design.say("one") == text
