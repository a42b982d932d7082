"""The questions about a piece: another way of working asked for, a changed design, another window."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from benchmate import bench
from benchmate import piece_opening as openings
from benchmate.bench.screens import question
from benchmate.bench.screens.question import Question
from benchmate.bench.step.step_screen import StepScreen
from benchmate.craft.knots import Knot
from benchmate.craft.ways import Way
from benchmate.families.diagonal.body import DiagonalKnot
from benchmate.piece_opening import Kept, OpenedPiece
from tests.screen.benches import CHEVRON, begun, written_to
from tests.screen.hands import Hands, sitting


@pytest.fixture
def file(kept: Kept, tmp_path: Path) -> Path:
    """A design with a piece of seven tied knots, which no window holds."""
    found = written_to(tmp_path, CHEVRON)
    begun(kept, found, done=7).held.let_go()
    return found


@pytest.fixture
def other(home: Path, kept: Kept) -> Iterator[Kept]:
    """The storage as another window opens it."""
    found = Kept()
    yield found
    found.close()


def followed(kept: Kept, file: Path, repeats: int | None = None) -> OpenedPiece:
    """The piece that following the design opens."""
    return openings.follow(kept, str(file), openings.WorkingOptions(repeats=repeats), new=False)


def asked(hands: Hands) -> bool:
    """True while a question is on the screen."""
    return isinstance(hands.app.screen, Question)


async def test_a_piece_opens_without_a_question(kept: Kept, file: Path) -> None:
    async with sitting(kept, followed(kept, file)) as hands:
        assert isinstance(hands.app.screen, StepScreen)
        assert "7/30" in hands.text


# Asked for in another way than the piece has


async def test_other_repeats_than_the_piece_has_ask_first(kept: Kept, file: Path) -> None:
    async with sitting(kept, followed(kept, file, 5)) as hands:
        assert asked(hands)
        assert "Your unfinished piece is worked with 3 repeats, not 5." in hands.words
        await hands.press("space", "x", "escape")
        assert asked(hands)
        await hands.press("c")
        assert "7/30" in hands.text
        await hands.press("space")
    assert [(piece.done, piece.size) for piece in kept.pieces.all()] == [(8, 30)]


async def test_continuing_with_the_repeats_asked_for(kept: Kept, file: Path) -> None:
    async with sitting(kept, followed(kept, file, 5)) as hands:
        assert "m continue it with 5 repeats; what is tied stays tied" in hands.words
        await hands.press("m")
        assert "7/50" in hands.text
        await hands.press("space")
    assert [(piece.done, piece.size) for piece in kept.pieces.all()] == [(8, 50)]


async def test_fewer_repeats_than_are_tied_are_not_offered(kept: Kept, file: Path) -> None:
    followed(kept, file).held.hold()
    opening = followed(kept, file, 1)
    opening.held.hold(force=True)
    opening.held.jump(12)
    opening.held.let_go()
    async with sitting(kept, followed(kept, file, 1)) as hands:
        assert asked(hands)
        assert "continue it with 1 repeat" not in hands.words


async def test_a_new_piece_with_the_repeats_asked_for(kept: Kept, file: Path) -> None:
    async with sitting(kept, followed(kept, file, 5)) as hands:
        await hands.press("n")
        assert "0/50" in hands.text
        await hands.press("space")
    assert sorted((piece.done, piece.size) for piece in kept.pieces.all()) == [(1, 50), (7, 30)]


async def test_q_at_the_question_leaves(kept: Kept, file: Path) -> None:
    async with sitting(kept, followed(kept, file, 5)) as hands:
        await hands.press("q")
        await hands.wait_for(lambda: not hands.app.is_running)
    assert hands.app.return_value == 0
    assert [(piece.done, piece.size) for piece in kept.pieces.all()] == [(7, 30)]


# A design that has changed since


def change(file: Path, old: str, new: str) -> None:
    """Changes the design in its file."""
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new), encoding="utf-8")


async def test_a_changed_design_is_reported_and_the_copy_kept(kept: Kept, file: Path) -> None:
    change(file, "  - f b\nrepeats", "  - b f\nrepeats")
    async with sitting(kept, followed(kept, file)) as hands:
        assert "Design file changed (c: review)" in hands.text
        assert "7/30" in hands.text
        await hands.press("c")
        assert asked(hands)
        assert "continue with this piece's own copy" in hands.words
        await hands.press("c")
        assert isinstance(hands.app.screen, StepScreen)
        assert "changed" not in hands.text
        await hands.press("space")
        assert "8/30" in hands.text
        await hands.press("space")
        # By its own copy, row 4 begins with a forward knot.
        step = followed(kept, file).held.whole.step(8)
        assert isinstance(step, DiagonalKnot)
        assert step.knot is Knot.FORWARD


async def test_continuing_with_the_changed_design(kept: Kept, file: Path) -> None:
    change(file, "repeats: 3", "repeats: 4")
    opening = followed(kept, file)
    async with sitting(kept, opening) as hands:
        await hands.press("c")
        assert "continue with the changed design; every tied knot is the same in it" in hands.words
        await hands.press("d")
        assert "7/40" in hands.text
        await hands.press("space", "c")
        assert "8/40" in hands.text
        assert not asked(hands)
    assert [(piece.done, piece.size) for piece in kept.pieces.all()] == [(8, 40)]
    again = followed(kept, file)
    assert not again.changed


async def test_a_design_changed_under_tied_knots_cannot_be_continued(kept: Kept, file: Path) -> None:
    change(file, "  - f f b\n  - f b\n  - f f b", "  - b f b\n  - f b\n  - f f b")
    async with sitting(kept, followed(kept, file)) as hands:
        await hands.press("c")
        assert asked(hands)
        assert "continue with the changed design" not in hands.words
        await hands.press("d")
        assert asked(hands)
        await hands.press("n")
        assert "0/30" in hands.text
        await hands.press("space")
    assert sorted(piece.done for piece in kept.pieces.all()) == [1, 7]


async def test_the_first_step_of_a_new_piece_started_beside_another_is_saved(kept: Kept, file: Path) -> None:
    change(file, "Heather on the moor", "Heather at dusk")
    async with sitting(kept, followed(kept, file)) as hands:
        assert "Heather on the moor" in hands.lines[0]
        await hands.press("c", "n")
        assert "Heather at dusk" in hands.lines[0]
        await hands.press("space", "space")
        assert "2/30" in hands.text


async def test_c_with_nothing_changed_says_so(kept: Kept, file: Path) -> None:
    async with sitting(kept, followed(kept, file)) as hands:
        await hands.press("c")
        assert isinstance(hands.app.screen, StepScreen)
        assert "has not changed" in hands.text


async def test_escape_keeps_the_copy(kept: Kept, file: Path) -> None:
    change(file, "repeats: 3", "repeats: 4")
    async with sitting(kept, followed(kept, file)) as hands:
        await hands.press("c", "escape")
        assert isinstance(hands.app.screen, StepScreen)
        assert "7/30" in hands.text


async def test_a_broken_design_file_is_reported(kept: Kept, file: Path) -> None:
    file.write_text("benchmate: 1\n", encoding="utf-8")
    async with sitting(kept, followed(kept, file), size=(160, 24)) as hands:
        assert "The design file can't be used now" in hands.text
        assert "this piece keeps its own copy" in hands.text
        assert "7/30" in hands.text


@pytest.mark.parametrize("size", [(40, 12), (80, 24)])
async def test_every_answer_is_in_sight(kept: Kept, file: Path, size: tuple[int, int]) -> None:
    change(file, "repeats: 3", "repeats: 4")
    async with sitting(kept, followed(kept, file), size=size) as hands:
        await hands.press("c")
        for said in (
            "c continue with this piece's own copy",
            "d continue with the changed design",
            "n begin a new piece on the changed design",
            "keep this one",
            "press one of: c d n",
        ):
            assert said in hands.words


# Another window


async def test_read_only_and_then_taking_over(kept: Kept, other: Kept, file: Path) -> None:
    theirs = followed(other, file)
    theirs.held.hold()
    async with sitting(kept, followed(kept, file)) as hands:
        assert "Heather on the moor is open in another window." in hands.words
        await hands.press("l")
        assert "Read-only: open in another window" in hands.words
        await hands.press("space", "left", "u", "j", "c")
        assert isinstance(hands.app.screen, StepScreen)
        assert "7/30" in hands.text
        theirs.held.tie([7])
        await hands.wait_for(lambda: "8/30" in hands.text)
        await hands.press("t")
        assert "Taken over from the other window." in hands.text
        await hands.press("space")
        assert "9/30" in hands.text
    assert not theirs.held.still_holds()


async def test_taking_over_at_once_or_leaving(kept: Kept, other: Kept, file: Path) -> None:
    followed(other, file).held.hold()
    async with sitting(kept, followed(kept, file)) as hands:
        await hands.press("q")
        await hands.wait_for(lambda: not hands.app.is_running)
    async with sitting(kept, followed(kept, file)) as hands:
        await hands.press("t", "space")
        assert "8/30" in hands.text


async def test_a_window_that_lost_its_piece_says_so(kept: Kept, other: Kept, file: Path) -> None:
    async with sitting(kept, followed(kept, file)) as hands:
        await hands.press("space")
        theirs = followed(other, file)
        theirs.held.hold(force=True)
        theirs.held.tie([8])
        await hands.press("space")
        assert "Read-only: open in another window" in hands.words
        assert "9/30" in hands.text
        await hands.press("space")
        assert "9/30" in hands.text


async def test_two_windows_start_the_same_design(kept: Kept, other: Kept, tmp_path: Path) -> None:
    fresh = written_to(tmp_path, CHEVRON)
    mine, theirs = followed(kept, fresh), followed(other, fresh)
    theirs.held.hold()
    async with sitting(kept, mine) as hands:
        theirs.held.tie([0])
        await hands.press("space")
        assert asked(hands)
        assert "is open in another window" in hands.words
        await hands.press("t")
        assert "1/30" in hands.text
        await hands.press("space")
        assert "2/30" in hands.text
    assert [piece.done for piece in kept.pieces.all()] == [2]


# Answers that come in a bunch, as over a slow line


BUNCHES = ("wkk", "wkkk", "wrr", "whh", "wkr", "oee", "??", "???")


@pytest.mark.parametrize("keys", BUNCHES)
async def test_of_several_answers_at_once_only_the_first_counts(kept: Kept, file: Path, keys: str) -> None:
    async with sitting(kept, followed(kept, file)) as hands:
        for key in keys:
            hands.send("question_mark" if key == "?" else key, 0.3)
        await hands.catch_up()
        await hands.press("escape")
        assert isinstance(hands.app.screen, StepScreen)
        await hands.press("space")
        assert "8/30" in hands.text


@pytest.mark.parametrize(
    ("keys", "count"),
    [(("j", "5", "enter", "enter", "enter"), "10/30"), (("j", "5", "escape", "escape", "escape"), "7/30")],
)
async def test_a_jump_answers_once(kept: Kept, file: Path, keys: tuple[str, ...], count: str) -> None:
    async with sitting(kept, followed(kept, file)) as hands:
        for key in keys:
            hands.send(key, 0.3)
        await hands.catch_up()
        assert isinstance(hands.app.screen, StepScreen)
        assert "row " in hands.lines[0]
        # Keys typed while the other screen was open do not count as presses.
        assert count in hands.lines[0]


@pytest.mark.parametrize("answer", ["c", "n", "q"])
async def test_the_first_question_answers_once(kept: Kept, file: Path, answer: str) -> None:
    async with sitting(kept, followed(kept, file, 5)) as hands:
        for _ in range(3):
            hands.send(answer, 0.3)
        if answer == "q":
            await hands.wait_for(lambda: not hands.app.is_running)
        else:
            await hands.wait_for(lambda: isinstance(hands.app.screen, StepScreen))
            await hands.press("space")
            assert ("8/30" if answer == "c" else "1/50") in hands.text


# Another way of working


async def test_the_question_can_change_the_way_of_working(kept: Kept, file: Path) -> None:
    opening = openings.follow(kept, str(file), openings.WorkingOptions("segments", from_right=True), new=False)
    async with sitting(kept, opening) as hands:
        assert "worked by rows, not by segments and worked from the left" in hands.words
        assert "continue it by segments, from the right" in hands.words
        await hands.press("o")
        assert "7/30" in hands.text
        assert "THEN" in hands.text
    assert kept.pieces.all()[0].way == Way("segments", from_right=True)


async def test_the_question_cannot_mirror_a_piece_under_way(kept: Kept, file: Path) -> None:
    opening = openings.follow(kept, str(file), openings.WorkingOptions(mirrored=True), new=False)
    async with sitting(kept, opening) as hands:
        assert "press one of: c n q" in hands.words
        await hands.press("o")
        assert asked(hands)


async def test_a_new_piece_on_the_changed_design_keeps_the_way_of_working(kept: Kept, file: Path) -> None:
    opening = openings.follow(
        kept, str(file), openings.WorkingOptions("segments", from_right=True, mirrored=True), new=True
    )
    async with sitting(kept, opening) as hands:
        await hands.press("space")
        change(file, "- f f b", "- b f b")
        await hands.press("c", "n")
        assert "0/30" in hands.text
        await hands.press("space")
    assert kept.pieces.all()[0].way == Way("segments", True, True)


async def test_a_missing_design_file_is_reported(kept: Kept, file: Path) -> None:
    async with sitting(kept, followed(kept, file)) as hands:
        await hands.press("c")
        assert "The design file has not changed since you began this piece." in hands.words
        file.unlink()
        await hands.press("c")
        assert "The design file is gone; this piece keeps its own copy." in hands.words


# The keys of the answers

SAME = {
    question.CONTINUE: ("continue it as it is", "continue as it is", "the key is free, continue", "continue with this"),
    question.NEW: ("begin a new piece", "begin another piece"),
    question.LEAVE: ("leave the bench", "write it to a new file, and leave"),
    question.LOOK_ON: ("open it here read-only",),
    question.TAKE_OVER: ("take over here",),
}
"""What an answer with each of these keys says."""


def test_the_same_answer_has_the_same_key_at_every_question() -> None:
    answers = []
    for file in Path(bench.__file__).parent.rglob("*.py"):
        if file.name == "piece_menu.py":
            # What can be done with a piece in the list is no question about one that is open.
            continue
        said = ""
        pattern = r'says = f?"([^"]+)"|Answer(?:\[\w+\])?\((\w+|"\w"), (?:f?"([^"]+)"|says)'
        for says, key, words in re.findall(pattern, file.read_text(encoding="utf-8")):
            said = says or said
            if key:
                answers.append((getattr(question, key) if key.isupper() else key.strip('"'), words or said))
    assert len(answers) >= 12
    for key, words in answers:
        for same, beginnings in SAME.items():
            if words.startswith(beginnings):
                assert key == same, words
            # Nor does another answer take that key at a question that may have both.
            elif key == same:
                assert words.startswith(("leave", "continue")), words
