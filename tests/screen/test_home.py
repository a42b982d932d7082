"""The list: pieces under way, last touched first, the lessons, and the designs that ship."""

import re
from pathlib import Path

import pytest

from benchmate.bench.screens.home import HomeScreen
from benchmate.bench.step.step_screen import StepScreen
from benchmate.design_files import load as designs
from benchmate.design_files.shelf import easy_to_hard, shipped
from benchmate.piece_opening import Kept
from benchmate.store.pieces import Pieces
from tests.screen.benches import CHEVRON, FOUR_KNOTS, begun, written_to
from tests.screen.hands import Hands, sitting


def entries(hands: Hands) -> list[str]:
    """The lines that continue a piece or start a design, each after its letter."""
    offer = r"(?:continue|start): .*?|\S.*?  \d+/\d+.*?"
    found = [re.fullmatch(rf"[> ]+ ([a-z])  ({offer}) *", line) for line in hands.lines]
    return [f"{entry[1]} {entry[2]}" for entry in found if entry is not None]


async def through(hands: Hands) -> list[str]:
    """All such lines of the list, page after page, without letters."""
    found: list[str] = []
    seen = ""
    while hands.text != seen:
        seen = hands.text
        found += [entry[2:] for entry in entries(hands) if entry[2:] not in found]
        await hands.press("pagedown")
    return found


async def letter_of(hands: Hands, title: str) -> str:
    """Scrolls the list to a line, and returns its letter."""
    for _ in range(100):
        for entry in entries(hands):
            if title in entry:
                return entry[0]
        await hands.press("down")
    raise AssertionError(title)


async def test_the_designs_that_ship(kept: Kept) -> None:
    files = [file for file in shipped() if not Path(file).name.startswith("lesson-")]
    found = [designs.load(file).design for file in files]
    async with sitting(kept, None) as hands:
        assert isinstance(hands.app.screen, HomeScreen)
        listed = [line.removeprefix("start: ").partition("  ")[0] for line in await through(hands)]
    assert sorted(listed) == sorted(design.title for design in found)
    # As `designs` lists them, but written steps come last.
    shelved = [each.design for each in easy_to_hard(zip(found, files, strict=True))]
    shelved.sort(key=lambda design: design.family.name == "steps")
    assert listed == [design.title for design in shelved]
    bands = [design for design in found if design.family.name != "steps"]
    # From easy to hard; starts, finishes and other written steps come last.
    easy_first = sorted(bands, key=lambda design: design.effort.number)
    assert [design.effort.number for design in easy_first] == [
        next(design for design in bands if design.title == title).effort.number for title in listed[: len(bands)]
    ]


async def test_a_list_too_long_for_the_screen_shows_its_count(kept: Kept) -> None:
    async with sitting(kept, None, size=(80, 12)) as hands:
        count = 1 + len(await through(hands))
        assert re.search(rf"\d+ to {count} of {count}, page up/down", hands.text)
        await hands.press(*["pageup"] * 20)
        assert re.search(rf"1 to \d+ of {count}, page up/down", hands.text)
        await hands.pilot.resize_terminal(80, 200)
        await hands.catch_up()
        assert ("page up/down" in hands.text) == (count > 25)


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
        assert [entry for entry in entries(hands) if "continue" in entry] == [
            "a continue: Heather on the moor  3/30, last 2026-03-04",
            "b continue: Each of the four  1/5, last 2026-03-04",
        ]
        assert "in winter" not in hands.text


async def test_one_key_starts_a_design_and_the_next_counts_a_step(kept: Kept) -> None:
    async with sitting(kept, None) as hands:
        await hands.press(await letter_of(hands, "Tidewater chevron"))
        assert isinstance(hands.app.screen, StepScreen)
        assert "Tidewater chevron" in hands.lines[0]
        await hands.press("space")
    assert [(piece.title, piece.done) for piece in kept.pieces.all()] == [("Tidewater chevron", 1)]


async def test_one_key_resumes(kept: Kept, tmp_path: Path) -> None:
    begun(kept, written_to(tmp_path, CHEVRON), done=7).held.let_go()
    async with sitting(kept, None) as hands:
        await hands.press("a")
        assert "7/30" in hands.text
        await hands.press("space")
        assert "8/30" in hands.text


async def test_arrows_and_enter_open_too(kept: Kept, tmp_path: Path) -> None:
    begun(kept, written_to(tmp_path, CHEVRON), done=7).held.let_go()
    async with sitting(kept, None) as hands:
        await hands.press("down", "up", "enter")
        assert "7/30" in hands.text
        await hands.press("q")
        assert isinstance(hands.app.screen, HomeScreen)
        await hands.press("down", "down")
        second = next(line for line in hands.lines if line.lstrip().startswith(">"))
        await hands.press("space")
        assert isinstance(hands.app.screen, StepScreen)
        assert hands.app.screen.held.title in second


async def test_q_leaves_the_bench_for_the_list_and_the_list_for_the_shell(kept: Kept, tmp_path: Path) -> None:
    begun(kept, written_to(tmp_path, CHEVRON), done=7).held.let_go()
    async with sitting(kept, None) as hands:
        await hands.press("a", "space", "q")
        assert isinstance(hands.app.screen, HomeScreen)
        assert "8/30" in hands.text
        assert kept.pieces.all()[0].holder is None
        await hands.press("q")
        await hands.wait_for(lambda: not hands.app.is_running)
    assert hands.app.return_value == 0


@pytest.mark.parametrize("size", [(40, 12), (80, 24), (120, 36), (300, 100)])
async def test_every_line_of_a_long_list_can_be_reached(kept: Kept, tmp_path: Path, size: tuple[int, int]) -> None:
    for number in range(40):
        text = CHEVRON.replace("Heather on the moor", f"Heather, number {number}")
        begun(kept, written_to(tmp_path, text, f"{number}.yaml"), done=1).held.let_go()
    async with sitting(kept, None, size=size) as hands:
        seen: list[str] = []
        for _ in range(40):
            chosen = next(line for line in hands.lines if line.lstrip().startswith(">"))
            seen.append(chosen)
            await hands.press("down")
        assert {number for number in range(40) for line in seen if f"number {number} " in line} == set(range(40))
        # The letter before a line opens that line, however far the list is scrolled.
        entry = next(entry for entry in entries(hands) if "number" in entry)
        await hands.press(entry[0])
        assert isinstance(hands.app.screen, StepScreen)
        assert hands.app.screen.held.title in entry


async def test_page_down_and_page_up_go_a_page(kept: Kept, tmp_path: Path) -> None:
    for number in range(30):
        text = CHEVRON.replace("Heather on the moor", f"Heather, number {number}")
        begun(kept, written_to(tmp_path, text, f"{number}.yaml"), done=1).held.let_go()
    async with sitting(kept, None) as hands:
        first = entries(hands)
        await hands.press("pagedown")
        assert entries(hands)[-1][2:] not in [entry[2:] for entry in first]
        await hands.press(*["pageup"] * 5)
        assert entries(hands) == first
        await hands.press(*["pagedown"] * 50, "down")
        assert entries(hands)


async def test_a_held_arrow_moves_through_the_list(kept: Kept) -> None:
    async with sitting(kept, None) as hands:
        await hands.hold("down", 4)
        assert [line.lstrip()[0] == ">" for line in hands.lines if re.match(r"[> ]+ [a-z]  ", line)].index(True) == 4


async def test_something_lying_on_the_keys_opens_one_thing_at_most(kept: Kept) -> None:
    async with sitting(kept, None) as hands:
        await hands.hold("b", 100)
        await hands.press("x", "z")
        assert kept.pieces.all() == []
        assert hands.app.is_running


async def test_of_several_letters_at_once_only_the_first_opens(kept: Kept) -> None:
    async with sitting(kept, None) as hands:
        for key in ("b", "c", "d"):
            hands.send(key, 0.3)
        await hands.catch_up()
        assert [type(screen) for screen in hands.app.screen_stack[1:]] == [HomeScreen, StepScreen]


async def test_of_keys_in_a_burst_only_the_first_opens(kept: Kept) -> None:
    async with sitting(kept, None) as hands:
        await hands.press("a")
        assert "q: back" in hands.text
        await hands.press("b", gap=0.05)
        assert isinstance(hands.app.screen, HomeScreen)
        await hands.press("b")
        assert isinstance(hands.app.screen, StepScreen)


async def test_the_list_names_a_design_it_cannot_open(
    kept: Kept, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    good = written_to(tmp_path, CHEVRON, "good.yaml")
    bad = written_to(tmp_path, "benchmate: 1\n", "bad.yaml")
    monkeypatch.setattr("benchmate.bench.screens.home.shipped", lambda: [str(bad), str(good)])
    async with sitting(kept, None) as hands:
        assert "bad.yaml" in hands.words.replace(" ", "")
        assert [entry[2:] for entry in entries(hands)] == ["start: Heather on the moor  6 strings"]
        good.unlink()
        await hands.press("a")
        assert isinstance(hands.app.screen, HomeScreen)
        assert "good.yaml" in hands.words.replace(" ", "")


async def test_a_piece_whose_file_is_gone_can_be_continued(kept: Kept, tmp_path: Path) -> None:
    file = written_to(tmp_path, CHEVRON)
    begun(kept, file, done=7).held.let_go()
    file.unlink()
    async with sitting(kept, None) as hands:
        await hands.press("a", "space")
        assert "8/30" in hands.text


async def test_a_piece_open_in_another_window_asks_first(kept: Kept, tmp_path: Path) -> None:
    begun(kept, written_to(tmp_path, CHEVRON), done=7).held.let_go()
    other = Kept()
    (piece,) = kept.pieces.all()
    other.pieces.hold(piece.piece, other.holder.token, force=False)
    async with sitting(kept, None) as hands:
        await hands.press("a")
        assert "is open in another window" in hands.words
        await hands.press("q")
        assert isinstance(hands.app.screen, HomeScreen)
        await hands.press("a", "t", "space")
        assert "8/30" in hands.text
    other.close()


async def test_the_list_reports_a_damaged_piece(kept: Kept, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    begun(kept, written_to(tmp_path, CHEVRON), done=7).held.let_go()

    def damaged(self: Pieces, piece: int) -> object:
        raise self.damage("its design is lost", piece)

    monkeypatch.setattr(Pieces, "copies_of", damaged)
    async with sitting(kept, None) as hands:
        await hands.press("a")
        assert isinstance(hands.app.screen, HomeScreen)
        assert "Piece 1 in " in hands.words
        assert "pieces.db is damaged (its design is lost)." in hands.words
