"""The lengths to cut at the bench: one a step in large type and by voice, ticked off, and kept at once."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from benchmate import piece_opening as openings
from benchmate.bench.screens.lines_screen import LinesScreen
from benchmate.bench.step.laying_out_screen import LayingOutScreen
from benchmate.bench.step.step_screen import StepScreen
from benchmate.craft.colours.terminal_colours import ColourDepth
from benchmate.craft.thread.box_thread import BoxThread
from benchmate.craft.thread.length_to_cut import Length
from benchmate.craft.thread.packing.best import Search
from benchmate.craft.thread.packing.problem import Problem
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.settings import DEFAULTS, write_settings
from benchmate.store import places
from benchmate.store.database import Database
from benchmate.store.errors import NotSaved
from benchmate.store.thread.box import Box
from benchmate.store.thread.cuts import Cut, cuts_of
from tests.running import COMMAND, environment, wait_for_count
from tests.screen.benches import CHEVRON, PICTURE, WRITTEN, full, written_to
from tests.screen.hands import sitting
from tests.screen.test_laying_out import LEADING, begin_from_list, large
from tests.terminal import Terminal
from tests.voices import Recorder

Begin = Callable[..., OpenedPiece]
LENGTHS = [
    ("plum 33 cm", "for string 1; length 1 of 6"),
    ("plum 33 cm", "for string 6; length 2 of 6"),
    ("mossy green 33 cm", "for string 2; length 3 of 6"),
    ("mossy green 33 cm", "for string 5; length 4 of 6"),
    ("straw 33 cm", "for string 3; length 5 of 6"),
    ("straw 33 cm", "for string 4; length 6 of 6"),
]
"""The lengths of the chevron: all are equally busy."""
ALL = ["space"] * len(LENGTHS)
DOUBLED = CHEVRON.replace("repeats: 3", "repeats: 3\nstart: lead")


def kept_cut(kept: Kept) -> tuple[str, list[Cut]] | None:
    """What was cut for the only piece."""
    (piece,) = kept.pieces.all()
    return cuts_of(kept.pieces.database, piece.piece)


async def test_one_length_a_step_in_large_type(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("l")
        for number, (word, note) in enumerate(LENGTHS, 1):
            assert f"cut {number} of 6" in hands.lines[0]
            assert large(hands, word.replace(" cm", "\u00a0cm")) >= 4
            assert note in hands.legible
            await hands.press(["space", "pagedown", "right", "enter"][number % 4])
        assert "lay out 1 of 5" in hands.lines[0], "hanging follows"
        assert "0/30" in hands.lines[0]
        await hands.press("left", "left")
        assert "cut 5 of 6" in hands.lines[0]
        (piece,) = kept.pieces.all()
        assert piece.done == 0, "begun, because its thread is being cut"


async def test_the_key_skips_to_what_hangs_and_then_all(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("l", "space", "l")
        assert "lay out 1 of 5" in hands.lines[0]
        await hands.press("left")
        assert "cut 6 of 6" in hands.lines[0], "back to the lengths"
        await hands.press("l", "l")
        assert isinstance(hands.app.screen, StepScreen)
        assert "l: lay out the strings first" in hands.text
        await hands.press("space")
    assert kept_cut(kept) is None, "skipped"


async def test_its_place_is_kept_while_the_piece_is_open(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("l", "space", "space", "question_mark", "escape")
        assert "cut 3 of 6" in hands.lines[0]
        await hands.press("escape")
        assert isinstance(hands.app.screen, StepScreen)
        assert "l: cut and lay out the strings first" in hands.text
        await hands.press("l")
        assert "cut 3 of 6" in hands.lines[0]
        await hands.press("space", "space", "space", "space", "space", "space", "l", "l")
        assert "lay out 3 of 5" in hands.lines[0]


async def test_what_was_cut_is_kept_before_the_first_step(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("l", *ALL[1:])
        assert kept_cut(kept) is None, "not all are cut"
        await hands.press("space")
        lengths = [("plum", 1), ("moss", 2), ("straw", 3), ("straw", 4), ("moss", 5), ("plum", 6)]
        assert kept_cut(kept) == ("floss", [Cut(Length(colour, (string,), 330.0)) for colour, string in lengths])


@pytest.mark.parametrize("fails_at", ["_log", "_put_told"])
async def test_a_length_that_cannot_be_saved_is_not_ticked_off(
    kept: Kept, chevron: OpenedPiece, monkeypatch: pytest.MonkeyPatch, fails_at: str
) -> None:
    def fails(*_: object) -> None:
        raise NotSaved("The disk is full.")

    async with sitting(kept, chevron) as hands:
        await hands.press("l")
        with monkeypatch.context() as full:
            full.setattr(kept.pieces, fails_at, fails)
            await hands.press("space")
        assert "NOT SAVED, NOT COUNTED. The disk is full." in hands.legible
        assert "cut 1 of 6" in hands.lines[0]
        ticked = Database(kept.home).connection.execute("SELECT count(*) FROM ticked").fetchone()
        assert ticked == (0,)
        await hands.press(*ALL[1:])
        assert "cut 6 of 6" in hands.lines[0]
        with monkeypatch.context() as full:
            full.setattr(kept.pieces, "_put_told", fails)
            await hands.press("left")
        assert "cut 6 of 6" in hands.lines[0]
        await hands.press("space")
        assert kept_cut(kept) is not None


async def test_what_was_ticked_off_is_not_asked_again_after_leaving(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("l", "space", "space", "q")
    held = chevron.held
    held.let_go()
    again = openings.resume_listed(kept, kept.pieces.all()[0])
    again.held.hold()
    async with sitting(kept, again) as hands:
        assert "cut 3 of 6" in hands.lines[0], "unasked: the maker is in the middle of it"
        assert "2 of 6 lengths cut." in hands.legible
        await hands.press("escape")
        assert "l: cut and lay out the strings first" in hands.text
        await hands.press("l")
        assert "cut 3 of 6" in hands.lines[0]
        await hands.press(*ALL[2:])
        assert "lay out 1 of 5" in hands.lines[0]
        await hands.press("q")
    again.held.let_go()
    third = openings.resume_listed(kept, kept.pieces.all()[0])
    third.held.hold()
    async with sitting(kept, third) as hands:
        assert "l: lay out the strings first" in hands.text, "all are cut"
        await hands.press("l")
        assert "lay out 1 of 5" in hands.lines[0]
        await hands.press("left", "left")
        assert "cut 5 of 6" in hands.lines[0], "and can be corrected"
        assert kept_cut(kept) is None
        assert len(third.held.ticked) == 4


async def test_a_piece_in_the_middle_of_its_cutting_is_mirrored_and_goes_on(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("l", "space", "space", "escape", "w")
        assert "mirror the design" in hands.words
        await hands.press("m")
        assert "Heather on the moor, mirrored" in hands.lines[0]
        assert "cut 3 of 6" in hands.lines[0], "both plum strings, at the edges"
        await hands.press("escape", "w", "m")
        assert "mirrored" not in hands.lines[0]
        await hands.press("escape", "space", "w")
        assert "mirror the design" not in hands.words, "a knot is tied"
    (piece,) = kept.pieces.all()
    assert (piece.way.mirrored, piece.done) == (False, 1)
    assert len(kept.pieces.told_of(piece.piece).ticked) == 2


async def test_a_piece_that_another_window_has_taken_is_not_mirrored(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("l", "space", "escape", "w")
        (piece,) = kept.pieces.all()
        kept.pieces.hold(piece.piece, "another", force=True)
        await hands.press("m")
        assert not chevron.held.holding
    (piece,) = kept.pieces.all()
    assert not piece.way.mirrored


async def test_a_length_that_is_to_be_longer_by_now_is_cut_again(kept: Kept, chevron: OpenedPiece) -> None:
    held = chevron.held
    held.tick([Cut(Length("plum", (1,), 330.0), 7), Cut(Length("plum", (6,), 320.0))])
    async with sitting(kept, chevron) as hands:
        assert "for string 6; length 2 of 6" in hands.legible, "unasked"
        await hands.press(*ALL[1:])
    cut = kept_cut(kept)
    assert cut is not None
    assert [(each.length.cut_mm, each.thread) for each in cut[1]] == [(330.0, 7), *[(330.0, None)] * 5]


async def test_another_window_that_has_the_piece_is_told_while_lengths_are_cut(
    kept: Kept, chevron: OpenedPiece
) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("l", "space")
        (piece,) = kept.pieces.all()
        kept.pieces.hold(piece.piece, "another", force=True)
        await hands.press("space")
        assert isinstance(hands.app.screen, StepScreen)
        assert not chevron.held.holding
        assert len(kept.pieces.told_of(piece.piece).ticked) == 1


async def test_lengths_cut_for_a_piece_begun_before_are_kept_at_once(kept: Kept, begin: Begin) -> None:
    opening = begin(CHEVRON, done=1)
    async with sitting(kept, opening) as hands:
        await hands.press("left", "l", *ALL[1:])
        assert kept_cut(kept) is None
        assert opening.held.record().told.was_cut is None
        await hands.press("space")
        cut = kept_cut(kept)
        assert cut is not None
        # What this window knows of the piece is what it would write elsewhere.
        assert opening.held.record().told.was_cut == ("floss", [Cut(each.length) for each in cut[1]])


async def test_a_start_has_its_lengths_cut_before_and_hangs_later(kept: Kept, begin: Begin, tmp_path: Path) -> None:
    written_to(tmp_path, LEADING, "lead.yaml")
    async with sitting(kept, begin(DOUBLED)) as hands:
        assert "Fold 1 length of plum (66 cm), 1 of mossy green (66 cm) and 1 of straw (66 cm)" in hands.legible
        await hands.press("l")
        assert "folded: strings 1 and 6; length 1 of 3" in hands.legible
        assert "THE LAST ONE" not in hands.text
        await hands.press("space", "space")
        assert "cut 3 of 3" in hands.lines[0]
        assert "THE LAST ONE" in hands.text
        await hands.press("space")
        assert isinstance(hands.app.screen, StepScreen), "the strings are not there to be sorted yet"
        assert "All 3 lengths cut. space: next step." in hands.legible
        await hands.press("space")
        assert kept_cut(kept) is not None
        assert "l: sort the strings first" in hands.legible
        await hands.press("l")
        assert "sort 1 of 5" in hands.lines[0]


async def test_a_new_piece_with_a_start_begins_with_its_lengths(kept: Kept, voice: Callable[[], Recorder]) -> None:
    async with sitting(kept, None, settings=DEFAULTS._replace(voice="on")) as hands:
        await begin_from_list(hands, "bead-rail")
        assert "cut 1 of 3" in hands.lines[0]
        assert voice().last == "cut the lengths: rail, 2 metres 20, folded, strings 1 and 4, length 1 of 3"
        await hands.press("space", "space", "space")
        assert isinstance(hands.app.screen, StepScreen)
        assert voice().last.startswith("all 3 lengths cut, start step 1 of")
        await hands.press("space", "left")
        assert isinstance(hands.app.screen, StepScreen), "it opens unasked once"


@pytest.mark.parametrize(
    ("level", "said"),
    [
        (
            "full",
            [
                "cut the lengths: plum, 33 centimetres, for string 1, length 1 of 6",
                "plum, 33 centimetres, for string 6, length 2 of 6",
            ],
        ),
        (
            "short",
            [
                "plum, 33 centimetres, for string 1",
                "plum, 33 centimetres, for string 6",
            ],
        ),
        (
            "sparse",
            [
                "plum, 33 centimetres",
                "plum, 33 centimetres",
            ],
        ),
    ],
)
async def test_it_is_spoken_as_the_level_has_it(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder], level: str, said: list[str]
) -> None:
    async with sitting(kept, chevron, settings=DEFAULTS._replace(voice="on", level=level)) as hands:
        await hands.press("l", "space", "l")
        assert voice().words[1:-1] == said
        assert voice().last.startswith("lay out the strings: plum at 1, 1 string at the left edge; ")
        await hands.press("left", "r")
        assert voice().last == "straw, 33 centimetres, for string 4, length 6 of 6", "again is in full"


async def test_a_press_is_heard_where_sounds_are_on(
    kept: Kept, chevron: OpenedPiece, voice: Callable[[], Recorder]
) -> None:
    async with sitting(kept, chevron, settings=DEFAULTS._replace(sounds="on")) as hands:
        await hands.press("l", "space", "left")
        assert [said.heard for said in voice().said] == [["done"], ["undone"]]


async def test_a_tap_ticks_off_a_length(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("l")
        hands.app.heard_tap(hands.now + 2)
        await hands.catch_up()
        assert "cut 2 of 6" in hands.lines[0]
        await hands.press("question_mark")
        hands.app.heard_tap(hands.now + 2)
        await hands.catch_up()
        await hands.press("escape")
        assert "cut 2 of 6" in hands.lines[0], "only where lengths are cut"


@pytest.mark.parametrize("thread", ["metallic", "glitter"])
async def test_a_slippery_thread_has_its_caution_once(kept: Kept, begin: Begin, thread: str) -> None:
    async with sitting(kept, begin(CHEVRON.replace("repeats: 3", f"repeats: 3\nthread: {thread}"))) as hands:
        await hands.press("l")
        assert "Knots slip in this thread" in hands.words
        await hands.press("space")
        assert "slip" not in hands.words


async def test_in_inches(kept: Kept, begin: Begin) -> None:
    settings = DEFAULTS._replace(units="inches")
    write_settings(places.settings_file(), settings)
    async with sitting(kept, begin(CHEVRON), settings=settings) as hands:
        await hands.press("l")
        assert large(hands, "plum 13\u00a0in") >= 5
        assert "for string 1; length 1 of 6" in hands.legible


async def test_from_which_thread_of_the_box(kept: Kept, begin: Begin) -> None:
    box = Box(kept.pieces.database)
    box.add(
        [
            BoxThread(0, "old plum", "#5d1a4a", "floss", 700.0, whole=False),
            BoxThread(0, "new straw", "#e8d48b", "floss", 8000.0, whole=True),
        ]
    )
    async with sitting(kept, begin(CHEVRON)) as hands:
        await hands.press("l")
        seen = []
        for _ in range(6):
            seen.append(re.search(r"from [^;]+", hands.legible))
            await hands.press("space")
        assert [found and found[0].strip() for found in seen] == [
            "from offcut old plum",
            "from offcut old plum",
            "from a new skein of mossy green",
            "from a new skein of mossy green",
            "from skein new straw",
            "from skein new straw",
        ]
        await hands.press("l", "space")
    found = kept_cut(kept)
    assert found is not None
    numbers = {thread.name: thread.number for thread in box.threads()}
    assert sorted(cut.thread for cut in found[1] if cut.thread is not None) == sorted(
        [*[numbers["old plum"]] * 2, *[numbers["new straw"]] * 2]
    )


async def test_lessons_and_written_steps_have_nothing_to_cut(kept: Kept, begin: Begin) -> None:
    # Their own first step says what to cut.
    async with sitting(kept, None) as hands:
        await begin_from_list(hands, "lesson-1-half-hitches")
        assert "lay out 1 of" in hands.lines[0] or isinstance(hands.app.screen, StepScreen)
        assert "cut 1 of" not in hands.text
    async with sitting(kept, begin(WRITTEN)) as hands:
        assert "l: cut" not in hands.text


LONG = CHEVRON.replace("say: mossy green", "say: mossy green of the hills to the north of the moor").replace(
    "straw: ", "straw: {css: wheat, say: пшеница}, old: "
)


@pytest.mark.parametrize("size", [(40, 12), (47, 15), (80, 24), (200, 60)])
async def test_the_length_stands_large_at_every_size(kept: Kept, begin: Begin, size: tuple[int, int]) -> None:
    async with sitting(kept, begin(LONG), size=size) as hands:
        await hands.press("l")
        for number in range(6):
            assert [len(line) for line in hands.lines] == [size[0]] * size[1]
            words = [
                f"{colour}33\u00a0cm" for colour in ("plum ", "mossy green of the hills to the north of the moor ", "")
            ]
            assert max(large(hands, word) for word in words) >= 2, number
            if size[1] < 20:
                assert "l skip" in hands.lines[-1]
            await hands.press("space")


@pytest.mark.parametrize("colours", [16])
async def test_few_colours(kept: Kept, chevron: OpenedPiece, monkeypatch: pytest.MonkeyPatch, colours: int) -> None:
    monkeypatch.setattr(LinesScreen, "depth", ColourDepth(colours))
    async with sitting(kept, chevron) as hands:
        await hands.press("l")
        assert isinstance(hands.app.screen, LayingOutScreen)
        assert large(hands, "plum 33\u00a0cm") >= 5, "its name stands there, whatever the colour"


async def test_a_picture_has_base_and_leading_strings(kept: Kept, begin: Begin) -> None:
    async with sitting(kept, begin(PICTURE)) as hands:
        await hands.press("l")
        assert "for leading string 1, first used in row 1; length 1 of 8" in hands.legible
        await hands.press("space")
        assert "for base string 1; length 2 of 8" in hands.legible


def test_in_a_terminal_without_colours(home: Path, tmp_path: Path) -> None:
    file = written_to(tmp_path, CHEVRON)
    env = environment(home, {"NO_COLOR": "1"})
    with Terminal([*COMMAND, "follow", str(file)], columns=40, rows=12, env=env) as terminal:
        wait_for_count(terminal, 0)
        assert "l: cut" in terminal.lines[0]
        terminal.press("l")
        terminal.wait_for("cut 1/6")
        assert "for string 1; length 1 of 6" in terminal.text
        terminal.press("space")
        terminal.wait_for("cut 2/6")
        # Two presses of one key in a moment are a held key.
        terminal.pump(0.2)
        terminal.press("l")
        terminal.wait_for("lay out 1/5")
        terminal.press("q")
        assert terminal.exit_code == 0


async def test_a_box_that_cannot_be_read_is_told_once(
    kept: Kept, chevron: OpenedPiece, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("benchmate.store.thread.box.threads_in", full)
    async with sitting(kept, chevron) as hands:
        await hands.press("l")
        assert "cut 1 of 6" in hands.lines[0]
        assert "Your box cannot be read, so it is not said from what to cut. The disk is full." in hands.words
        await hands.press("space")
        assert "Your box" not in hands.words
        await hands.press("escape", "l")
        assert "cut 2 of 6" in hands.lines[0]
        assert "Your box" not in hands.words


async def test_a_length_that_no_thread_holds_is_told(kept: Kept, begin: Begin) -> None:
    Box(kept.pieces.database).add([BoxThread(0, "dusk", "#5d1a4a", "floss", 8000.0, True)])
    async with sitting(kept, begin(CHEVRON.replace("repeats: 3", "repeats: 300"))) as hands:
        await hands.press("l")
        assert re.search(r"plum \d+ m( \d+ cm)? is longer than a skein and any thread in your box, so", hands.words)


async def test_at_the_bench_no_proof_is_waited_for(
    kept: Kept, chevron: OpenedPiece, monkeypatch: pytest.MonkeyPatch
) -> None:
    searches: list[bool] = []

    class Watched(Search):
        def __init__(self, problem: Problem, told: Callable[[], None], *, quick: bool) -> None:
            searches.append(quick)
            super().__init__(problem, told, quick=quick)

    monkeypatch.setattr("benchmate.craft.thread.cutting.Search", Watched)
    Box(kept.pieces.database).add([BoxThread(0, "dusk", "#5d1a4a", "floss", 930.5, False)])
    async with sitting(kept, chevron) as hands:
        await hands.press("l")
        assert "offcut dusk" in hands.words
    assert searches == [True] * 3, "once for each colour"


async def test_a_longer_band_says_which_strings_were_cut_too_short(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("l", *ALL, "l", "space", "e", "down", *"40")
        assert "Some strings may run short: one was cut 33 cm, and needs " in hands.words
        await hands.press("escape", "e", "down", "1")
        assert "run short" not in hands.words


async def test_nothing_is_said_of_strings_that_were_not_cut_from_the_list(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("space", "e", "down", *"40")
        assert "40 repeats" in hands.words
        assert "run short" not in hands.words
