"""What a press counts, when it is saved, and what is shown when it could not be saved."""

import sqlite3
from collections.abc import Callable, Iterable
from contextlib import closing
from typing import Any

import pytest

from benchmate.bench.step import step_screen as bench_screen
from benchmate.bench.zones.compose import compose as drawn
from benchmate.bench.zones.view_values import View
from benchmate.craft.pace import ENOUGH_KNOTS
from benchmate.display.cells import Line
from benchmate.display.palette import Palette
from benchmate.piece_opening import Kept, OpenedPiece, resume_listed
from benchmate.settings import DEFAULTS
from benchmate.store.errors import NotSaved
from benchmate.store.log import read_log
from benchmate.store.pieces import Pieces
from tests.homes import events_of
from tests.screen.benches import WRITTEN
from tests.screen.hands import sitting


async def test_one_press_is_one_knot_by_default(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        await hands.press("space")
        assert chevron.held.progress.done == 1
        assert "one press" not in hands.words


async def test_one_press_can_be_the_rest_of_the_row(kept: Kept, chevron: OpenedPiece) -> None:
    held = chevron.held
    async with sitting(kept, chevron) as hands:
        await hands.press("space", "m", "m")
        assert "One press now: the rest of the row." in hands.words
        assert "one press: 2" in hands.words
        await hands.press("space")
        assert held.progress.done == 3
        assert "one press: 2" in hands.words
        await hands.press("space")
        assert held.progress.done == 5
        assert "one press: 3" in hands.words
        await hands.press("left")
        assert held.progress.done == 4
        await hands.press("m")
        assert "One press now: a knot." in hands.words
        await hands.press("space")
        assert held.progress.done == 5


async def test_the_settings_say_what_a_press_means(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron, settings=DEFAULTS._replace(press="row")) as hands:
        assert "one press: 3" in hands.words
        await hands.press(*["space"] * 12)
        assert chevron.held.progress.finished


async def test_undoing_is_always_knot_by_knot(kept: Kept, chevron: OpenedPiece) -> None:
    chevron.held.jump(8)
    chevron.held.mark_wrong(1)
    async with sitting(kept, chevron, settings=DEFAULTS._replace(press="row")) as hands:
        await hands.press("space")
        assert chevron.held.progress.done == 7


async def test_every_press_is_saved_before_it_is_shown(
    kept: Kept, chevron: OpenedPiece, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown: list[tuple[int, int]] = []

    def compose(view: View, width: int, height: int, palette: Palette, *rest: Any) -> list[Line]:
        shown.append((view.done, saved_now()))
        return drawn(view, width, height, palette, *rest)

    def saved_now() -> int:
        with closing(sqlite3.connect(f"file:{kept.home.database}?mode=ro", uri=True)) as connection:
            row = connection.execute("SELECT done FROM piece").fetchone()
        return 0 if row is None else int(row[0])

    monkeypatch.setattr(bench_screen, "compose", compose)
    async with sitting(kept, chevron) as hands:
        await hands.press("space", "space", "left", "m", "m", "space")
    assert {done for done, _ in shown} == {0, 1, 2, 3}
    assert all(done == kept_then for done, kept_then in shown)


async def test_an_unsaved_press_is_reported_and_not_counted(
    kept: Kept, chevron: OpenedPiece, monkeypatch: pytest.MonkeyPatch
) -> None:
    chevron.held.jump(4)

    def full(
        self: Pieces,
        piece: int,
        token: str,
        file: str,
        seen: int,
        events: Iterable[tuple[str, int, int]],
        done: int,
        *,
        replan: bool,
    ) -> int:
        raise NotSaved("The disk is full.")

    for size in ((80, 24), (40, 12)):
        chevron.held.hold()
        with monkeypatch.context() as patch:
            patch.setattr(Pieces, "add", full)
            async with sitting(kept, chevron, size=size) as hands:
                for key in ("space", "left"):
                    await hands.press(key)
                    assert "NOT SAVED, NOT COUNTED. The disk" in hands.words
                    assert "4/30" in hands.text
                await hands.press("u", "enter")
                assert "NOT SAVED, NOT COUNTED." in hands.words
                await hands.press("j", "e", "enter")
                assert "NOT SAVED, NOT COUNTED." in hands.words
                assert "4/30" in hands.text
                patch.undo()
                await hands.press("space", "left")
                assert "NOT SAVED" not in hands.words
                assert "4/30" in hands.text
    (piece,) = kept.pieces.all()
    assert len(read_log(events_of(kept.pieces, piece.piece))[0]) == piece.done == 4


async def test_an_unsaved_first_press_starts_no_piece(
    kept: Kept, chevron: OpenedPiece, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> tuple[int, int]:
        raise NotSaved("The disk is full.")

    monkeypatch.setattr(Pieces, "begin", full)
    async with sitting(kept, chevron) as hands:
        await hands.press("space")
        assert "NOT SAVED, NOT COUNTED. The disk is full." in hands.words
        assert "0/30" in hands.text
    assert kept.pieces.all() == []


async def test_a_piece_exists_from_its_first_finished_step(kept: Kept, chevron: OpenedPiece) -> None:
    async with sitting(kept, chevron) as hands:
        assert kept.pieces.all() == []
        await hands.press("space")
        assert [piece.done for piece in kept.pieces.all()] == [1]


async def test_back_after_the_last_step_makes_it_unfinished_again(kept: Kept, chevron: OpenedPiece) -> None:
    chevron.held.jump(29)
    async with sitting(kept, chevron) as hands:
        await hands.press("space")
        assert kept.pieces.all()[0].finished
        assert "30/30" in hands.text
        await hands.press("space", "enter")
        assert "30/30" in hands.text
        await hands.press("left")
        assert not kept.pieces.all()[0].finished
        assert "29/30" in hands.text
    (piece,) = kept.pieces.all()
    assert resume_listed(kept, piece).held.progress.done == 29


async def test_counted_steps_are_pressed_one_by_one(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    opening = begin(WRITTEN)
    async with sitting(kept, opening) as hands:
        assert "Leave a loop as wide as a button" in hands.legible
        for number, said in enumerate(("1 of 3", "2 of 3", "3 of 3"), 1):
            await hands.press("space")
            assert said in hands.legible
            assert opening.held.progress.done == number
        await hands.press("space")
        assert "4/4" in hands.text


async def test_the_time_left_goes_by_the_makers_own_pace(
    kept: Kept, chevron: OpenedPiece, monkeypatch: pytest.MonkeyPatch
) -> None:
    now = [1000.0]
    monkeypatch.setattr("benchmate.store.opened.held_piece.time.time", lambda: now[0])
    async with sitting(kept, chevron) as hands:
        for _ in range(ENOUGH_KNOTS + 1):
            assert "left" not in hands.lines[-1]
            await hands.press("space")
            now[0] += 120
        # 19 knots of two minutes each.
        assert "about 38 min left" in hands.lines[-1]
        # A pause of more than three minutes says nothing about the pace.
        now[0] += 3600
        await hands.press("space")
        assert "about 36 min left" in hands.lines[-1]
