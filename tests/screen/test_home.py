"""The first screen: what to continue, learn and begin, on shelves; finding a title; the keys that move and open."""

import re
from collections.abc import Sequence
from pathlib import Path
from threading import Event

import pytest

from benchmate.bench.screens.first_screen import previews
from benchmate.bench.screens.help import HelpScreen
from benchmate.bench.screens.home import HomeScreen
from benchmate.bench.screens.question import Question
from benchmate.bench.step.step_screen import StepScreen
from benchmate.choosing.preview import Preview, Wanted, preview_of
from benchmate.design_files import load as designs
from benchmate.design_files.shelf import easy_to_hard, shipped
from benchmate.piece_opening import Kept
from benchmate.settings import DEFAULTS
from benchmate.store.pieces import Pieces
from tests.screen.benches import CHEVRON, FOUR_KNOTS, begun, written_to
from tests.screen.hands import Hands, sitting
from tests.terminal import PATIENCE

SIZES = [(40, 12), (120, 36)]
WORDS = ("easy", "steady", "demanding")


def chosen(hands: Hands) -> str:
    """The line under the cursor, without what is beside the list."""
    (found,) = (line for line in hands.lines if re.match(r" > ", line))
    return re.split(r" {3,}", found.removeprefix(" > "))[0].strip()


def titles(hands: Hands) -> list[str]:
    """The titles on the part of the list that shows."""
    width = len(hands.lines[0])
    wide = width if width < 72 else min(64, width // 2)
    found = [re.match(r" [> ] (\S.*?)(?: {2,}|$)", line[:wide].rstrip()) for line in hands.lines[1:]]
    return [each[1] for each in found if each is not None]


async def through(hands: Hands) -> list[str]:
    """All titles of the list, page after page."""
    found: list[str] = []
    seen = ""
    while hands.text != seen:
        seen = hands.text
        found += [title for title in titles(hands) if title not in found]
        await hands.press("pagedown")
    return found


def many(kept: Kept, folder: Path, count: int) -> None:
    """So many pieces, each a step along."""
    for number in range(count):
        text = CHEVRON.replace("Heather on the moor", f"Heather, number {number}")
        begun(kept, written_to(folder, text, f"{number}.yaml"), done=1).held.let_go()


async def test_the_designs_that_ship_stand_by_family_easy_to_hard(kept: Kept) -> None:
    found = [(designs.load(file).design, file) for file in shipped()]
    async with sitting(kept, None, size=(70, 60)) as hands:
        listed = await through(hands)
    assert listed[0] == "Never made a knot? Begin here"
    families = ["diagonal", "alpha", "braid"]
    bands = sorted(easy_to_hard(found), key=lambda each: (each.design.family.name not in families, each.effort))
    bands = [each for each in bands if each.design.family.name in families]
    bands.sort(key=lambda each: families.index(each.design.family.name))
    # No start, finish or lesson is a piece to begin.
    assert listed[1:] == [each.design.title for each in bands]


async def test_the_designs_can_stand_by_how_hard_they_are(kept: Kept) -> None:
    async with sitting(kept, None, size=(70, 60)) as hands:
        by_family = await through(hands)
        await hands.press("home", "tab", "o")
        by_difficulty = await through(hands)
        assert sorted(by_family) == sorted(by_difficulty)
        await hands.press("home")
        await hands.pilot.resize_terminal(70, 14)
        await hands.wait_for(lambda: len(hands.lines) == 14)
        headings = []
        for _ in range(4):
            headings.append(hands.lines[1].strip())
            await hands.press("right")
        assert headings == ["LEARN", "BEGIN: EASY", "BEGIN: STEADY", "BEGIN: DEMANDING"]
        found = {word for line in hands.lines for word in WORDS if line.rstrip().endswith(word)}
        assert found == {"demanding"}
        await hands.press("tab", "o", "home")
        assert await through(hands) == by_family


async def test_left_and_right_walk_from_shelf_to_shelf(kept: Kept, tmp_path: Path) -> None:
    many(kept, tmp_path, 2)
    finished = begun(kept, written_to(tmp_path, FOUR_KNOTS))
    finished.held.jump(5)
    finished.held.let_go()
    async with sitting(kept, None) as hands:
        headings, lines = [], []
        for _ in range(6):
            headings.append(hands.lines[1][:40].strip())
            lines.append(chosen(hands))
            await hands.press("right")
        assert headings[:3] == ["CONTINUE", "LEARN", "BEGIN: DIAGONAL BANDS"]
        assert lines[-1] == "1 piece finished"
        await hands.press("left", "down", "left")
        assert chosen(hands) == lines[4]
        for _ in range(9):
            await hands.press("left")
        assert chosen(hands) == lines[0]


async def test_pieces_under_way_come_first_last_touched_first(
    kept: Kept, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    at = [0]

    def now() -> str:
        at[0] += 1
        return f"2026-03-04T10:00:00.{at[0]:03}Z"

    monkeypatch.setattr("benchmate.store.pieces.utc_now", now)
    one = begun(kept, written_to(tmp_path, CHEVRON, "one.yaml"), done=2)
    begun(kept, written_to(tmp_path, FOUR_KNOTS, "two.yaml"), done=1)
    finished = begun(kept, written_to(tmp_path, CHEVRON.replace("on the moor", "in winter"), "three.yaml"))
    finished.held.jump(30)
    one.held.tie([2])
    async with sitting(kept, None) as hands:
        assert "CONTINUE" in hands.lines[1]
        assert titles(hands)[:3] == ["Heather on the moor", "Each of the four", "Never made a knot? Begin here"]
        assert re.search(r"> Heather on the moor +3/30", hands.text)
        assert "in winter" not in hands.text
        await hands.press("end")
        assert chosen(hands) == "1 piece finished"
        await hands.press("enter")
        assert re.search(r"> Heather in winter +finished", hands.text)
        await hands.press("enter")
        assert isinstance(hands.app.screen, StepScreen)
        assert "ALL DONE" in hands.words or hands.app.screen.held.progress.finished


@pytest.mark.parametrize("typed", ["tidewater", ("t", "i", "d", "e", "w", "a", "t", "e", "r", "space", "c")])
async def test_one_key_begins_a_design_and_another_skips_to_its_first_step(kept: Kept, typed: Sequence[str]) -> None:
    async with sitting(kept, None) as hands:
        await hands.press(*typed)
        assert chosen(hands) == "Tidewater chevron"
        assert f"{'enter'}: begin" in hands.text
        await hands.press("enter", "l", "l")
        assert isinstance(hands.app.screen, StepScreen)
        assert "Tidewater chevron" in hands.lines[0]
        await hands.press("space")
    assert [(piece.title, piece.done) for piece in kept.pieces.all()] == [("Tidewater chevron", 1)]


async def test_a_design_that_is_begun_is_continued_and_another_piece_only_when_asked_for(kept: Kept) -> None:
    async with sitting(kept, None) as hands:
        await hands.press(*"tidewater", "enter", "l", "l", "space", "q")
        await hands.press(*"tidewater", "down")
        # It stands among the pieces, and on its shelf.
        assert titles(hands) == ["Tidewater chevron"] * 2
        assert hands.text.count("1/300") >= 2
        assert "enter: continue" in hands.text
        await hands.press("enter", "space", "q")
        assert [(piece.piece, piece.done) for piece in kept.pieces.all()] == [(1, 2)]
        await hands.press(*"tidewater", "down", "tab", "n", "l", "l", "space")
        assert sorted((piece.piece, piece.done) for piece in kept.pieces.all()) == [(1, 2), (2, 1)]


async def test_one_key_resumes(kept: Kept, tmp_path: Path) -> None:
    begun(kept, written_to(tmp_path, CHEVRON), done=7).held.let_go()
    async with sitting(kept, None) as hands:
        await hands.press("enter")
        assert "7/30" in hands.text
        await hands.press("space")
        assert "8/30" in hands.text


async def test_a_pedal_opens_the_line_under_the_cursor(kept: Kept, tmp_path: Path) -> None:
    begun(kept, written_to(tmp_path, CHEVRON), done=7).held.let_go()
    keys = {**DEFAULTS.keys, "done": ("z",), "leave": ("x",)}
    async with sitting(kept, None, settings=DEFAULTS._replace(keys=keys)) as hands:
        await hands.press("z")
        assert isinstance(hands.app.screen, StepScreen)
        await hands.press("z", "x")
        assert "8/30" in hands.text
        # Once something is typed, its letter is a letter.
        await hands.press("q", "u", "i", "n", "c", "e")
        assert chosen(hands) == "Framed quince"
        await hands.press("escape", *"copperz")
        assert "title: copperz" in hands.text
        await hands.press("escape", "x")
        await hands.wait_for(lambda: not hands.app.is_running)


async def test_q_leaves_the_bench_for_the_list_and_the_list_for_the_shell(kept: Kept, tmp_path: Path) -> None:
    begun(kept, written_to(tmp_path, CHEVRON), done=7).held.let_go()
    async with sitting(kept, None) as hands:
        await hands.press("enter", "space", "q")
        assert isinstance(hands.app.screen, HomeScreen)
        assert "8/30" in hands.text
        assert kept.pieces.all()[0].holder is None
        await hands.press("q")
        await hands.wait_for(lambda: not hands.app.is_running)
    assert hands.app.return_value == 0


async def test_escape_never_ends_the_program_unasked(kept: Kept) -> None:
    async with sitting(kept, None) as hands:
        await hands.press(*"tide", "escape")
        assert "title:" not in hands.text
        await hands.press("enter")
        assert "LESSONS" in hands.lines[0]
        await hands.press("escape")
        assert "BENCHMATE" in hands.lines[0]
        await hands.press("escape")
        assert "LEAVE?" in hands.text or isinstance(hands.app.screen, Question)
        await hands.press("escape")
        assert "BENCHMATE" in hands.lines[0]
        await hands.hold("escape", 20)
        assert hands.app.is_running
        await hands.press("escape", "c", "escape", "q")
        await hands.wait_for(lambda: not hands.app.is_running)
    assert hands.app.return_value == 0


async def test_back_from_the_bench_the_whole_list_is_there_and_the_cursor_where_it_was(kept: Kept) -> None:
    async with sitting(kept, None) as hands:
        await hands.press(*"tidewater", "enter", "l", "l", "q")
        assert chosen(hands) == "Tidewater chevron"
        assert len(titles(hands)) > 1
        assert "title:" not in hands.text


async def test_a_finished_piece_says_where_it_is(kept: Kept, tmp_path: Path) -> None:
    held = begun(kept, written_to(tmp_path, CHEVRON), done=29).held
    held.let_go()
    async with sitting(kept, None) as hands:
        await hands.press("enter", "space", "q")
        assert "Heather on the moor is finished: it is at the end of the list." in hands.words


async def test_typing_finds_titles_whatever_their_case_accents_and_spaces(kept: Kept, tmp_path: Path) -> None:
    for number, title in enumerate(("Étang, au matin", "In the étable")):
        begun(kept, written_to(tmp_path, CHEVRON.replace("Heather on the moor", title), f"{number}.yaml"), done=1)
    async with sitting(kept, None) as hands:
        await hands.press("E", "t", "a")
        assert "title: Eta" in hands.lines[0]
        assert titles(hands) == ["In the étable", "Étang, au matin"]
        await hands.press("b")
        assert titles(hands) == ["In the étable"]
        await hands.press("backspace", "n")
        assert titles(hands) == ["Étang, au matin"]
        await hands.press("x")
        assert "No title has that in it." in hands.text
        await hands.press("enter", "tab", "k")
        assert isinstance(hands.app.screen, HomeScreen)
        await hands.press("escape", *"lesson3")
        assert titles(hands) == ["Lesson 3: the backward knot"]
        # In the lessons, only lessons are looked for.
        await hands.press("escape", "home", "down", "down", "enter", *"tide")
        assert "No title" in hands.text


async def test_a_fast_typist_loses_no_letter_and_a_held_key_types_once(kept: Kept) -> None:
    async with sitting(kept, None) as hands:
        for key in "winterhedgediamonds":
            hands.send(key, 0.06)
        await hands.catch_up()
        assert chosen(hands) == "Winter hedge diamonds"
        await hands.press("escape")
        await hands.hold("b", 100)
        assert "title: b_" in hands.text
        assert kept.pieces.all() == []


async def test_home_end_and_pages(kept: Kept, tmp_path: Path) -> None:
    many(kept, tmp_path, 30)
    async with sitting(kept, None) as hands:
        first = titles(hands)
        await hands.press("pagedown")
        assert chosen(hands) not in first[:-1]
        await hands.press(*["pageup"] * 3)
        assert titles(hands) == first
        await hands.press("end")
        last = chosen(hands)
        count = re.search(r"(\d+) of (\d+)", hands.lines[0])
        assert count is not None
        assert count[1] == count[2]
        await hands.press(*["pagedown"] * 3, "down")
        assert chosen(hands) == last
        await hands.press("home")
        assert chosen(hands) == first[0]


@pytest.mark.parametrize("size", SIZES)
async def test_every_line_of_a_long_list_can_be_reached_under_its_heading(
    kept: Kept, tmp_path: Path, size: tuple[int, int]
) -> None:
    many(kept, tmp_path, 25)
    async with sitting(kept, None, size=size) as hands:
        seen = []
        for _ in range(26):
            seen.append(chosen(hands))
            assert hands.lines[1].strip().startswith(("CONTINUE", "LEARN"))
            await hands.press("down")
        assert seen == [f"Heather, number {number}" for number in reversed(range(25))] + [seen[-1]]
        await hands.press("home", "enter")
        assert isinstance(hands.app.screen, StepScreen)
        assert hands.app.screen.held.title == seen[0]


@pytest.mark.parametrize("key", ["end", "pagedown"])
async def test_a_change_of_size_leaves_no_line_empty(kept: Kept, tmp_path: Path, key: str) -> None:
    many(kept, tmp_path, 30)
    async with sitting(kept, None, size=(80, 12)) as hands:
        await hands.press(key)
        here = chosen(hands)
        for size in ((80, 40), (40, 12), (71, 50), (200, 60), (80, 24)):
            await hands.pilot.resize_terminal(*size)
            await hands.wait_for(lambda size=size: (len(hands.lines[0]), len(hands.lines)) == size)  # type: ignore[misc]
            assert chosen(hands) == here
            wide = size[0] if size[0] < 72 else min(64, size[0] // 2)
            foot = next(at for at, line in enumerate(hands.lines) if "enter: " in line)
            rows = [line[:wide] for line in hands.lines[1:foot]]
            assert all(row.strip() for row in rows), hands.text


async def test_keys_keep_their_meaning_when_the_list_scrolls(kept: Kept, tmp_path: Path) -> None:
    many(kept, tmp_path, 30)
    async with sitting(kept, None) as hands:
        await hands.press("pagedown", "pagedown", "b", "e", "n")
        assert chosen(hands) == "Bent quill"
        assert kept.pieces.all()[-1].holder is None


async def test_a_held_arrow_moves_through_the_list(kept: Kept) -> None:
    async with sitting(kept, None) as hands:
        await hands.hold("down", 4)
        assert chosen(hands) == titles(hands)[4]


async def test_of_keys_in_a_burst_only_the_first_opens(kept: Kept) -> None:
    async with sitting(kept, None) as hands:
        await hands.press("enter")
        assert "q: back" in hands.text
        await hands.press("enter", gap=0.05)
        assert isinstance(hands.app.screen, HomeScreen)
        await hands.press("enter")
        assert isinstance(hands.app.screen, StepScreen)


async def test_help_is_a_key_away_and_back(kept: Kept) -> None:
    async with sitting(kept, None) as hands:
        await hands.press("down", "down", "question_mark")
        assert isinstance(hands.app.screen, HelpScreen)
        await hands.press("escape")
        assert chosen(hands) == titles(hands)[2]


async def test_the_list_names_a_design_it_cannot_open(
    kept: Kept, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    good = written_to(tmp_path, CHEVRON, "good.yaml")
    bad = written_to(tmp_path, "benchmate: 1\n", "bad.yaml")
    monkeypatch.setattr("benchmate.choosing.shipped_designs.shipped", lambda: [str(bad), str(good)])
    async with sitting(kept, None) as hands:
        assert "bad.yaml" in hands.words.replace(" ", "")
        assert titles(hands)[-1] == "Heather on the moor"
        good.unlink()
        await hands.press("enter")
        assert isinstance(hands.app.screen, HomeScreen)
        assert "good.yaml" in hands.words.replace(" ", "")


async def test_a_piece_whose_file_is_gone_can_be_continued(kept: Kept, tmp_path: Path) -> None:
    file = written_to(tmp_path, CHEVRON)
    begun(kept, file, done=7).held.let_go()
    file.unlink()
    async with sitting(kept, None) as hands:
        await hands.press("enter", "space")
        assert "8/30" in hands.text


async def test_a_piece_open_in_another_window_asks_first(kept: Kept, tmp_path: Path) -> None:
    begun(kept, written_to(tmp_path, CHEVRON), done=7).held.let_go()
    other = Kept()
    (piece,) = kept.pieces.all()
    other.pieces.hold(piece.piece, other.holder.token, force=False)
    async with sitting(kept, None) as hands:
        await hands.press("enter")
        assert "is open in another window" in hands.words
        await hands.press("q")
        assert isinstance(hands.app.screen, HomeScreen)
        await hands.press("enter", "t", "space")
        assert "8/30" in hands.text
    other.close()


async def test_the_list_reports_a_damaged_piece(kept: Kept, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    begun(kept, written_to(tmp_path, CHEVRON), done=7).held.let_go()

    def damaged(self: Pieces, piece: int) -> object:
        raise self.damage("its design is lost", piece)

    monkeypatch.setattr(Pieces, "copies_of", damaged)
    async with sitting(kept, None) as hands:
        await hands.press("enter")
        assert isinstance(hands.app.screen, HomeScreen)
        assert "Piece 1 in " in hands.words
        assert "pieces.db is damaged (its design is lost)." in hands.words


async def test_the_cursor_never_waits_for_a_preview(
    kept: Kept, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    many(kept, tmp_path, 3)
    may_go_on, real = Event(), preview_of

    def slow(wanted: Wanted) -> Preview:
        assert may_go_on.wait(PATIENCE)
        return real(wanted)

    monkeypatch.setattr(previews, "preview_of", slow)
    async with sitting(kept, None) as hands:
        # The first preview has begun to be made.
        await hands.pilot.pause(0.2)
        await hands.press("down", "down")
        assert chosen(hands) == "Heather, number 0"
        assert "30 knots" not in hands.text
        await hands.pilot.pause(0.2)
        may_go_on.set()
        await hands.wait_for(lambda: "30 knots" in hands.text)
        assert "mossy green" in hands.text
        assert "1 of 30 steps" in hands.text


async def test_a_design_that_cannot_be_drawn_can_be_worked(
    kept: Kept, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    many(kept, tmp_path, 1)

    def fails(wanted: Wanted) -> Preview:
        raise ZeroDivisionError("drawn badly")

    monkeypatch.setattr(previews, "preview_of", fails)
    async with sitting(kept, None) as hands:
        await hands.wait_for(lambda: "could not be drawn" in hands.words)
        assert "Heather, number 0 could not be drawn (ZeroDivisionError: drawn badly" in hands.words
        await hands.press("enter", "space")
        assert kept.pieces.all()[0].done == 2
