"""Pictures and braids at the bench: the same keys, undo, wrong knots and jumps as for a diagonal band."""

from collections.abc import Callable

import pytest

from benchmate.bench.step.step_screen import StepScreen
from benchmate.bench.step.view import view_of
from benchmate.bench.zones.view_values import COMING
from benchmate.craft.wording import step_words
from benchmate.families.braid.body import BraidMove
from benchmate.piece_opening import Kept, OpenedPiece, resume_listed
from benchmate.settings import DEFAULTS
from tests.screen.benches import PICTURE, ROPE, WRITTEN
from tests.screen.hands import sitting
from tests.voices import recorder

Begin = Callable[..., OpenedPiece]


async def test_rows_of_a_picture_alternate_direction(kept: Kept, begin: Begin) -> None:
    opening = begin(PICTURE)
    async with sitting(kept, opening) as hands:
        assert "0/30" in hands.text
        assert "row 1 of 6" in hands.text
        assert "FIRST begin a new deep, leave a 9 cm tail" in hands.words
        # What to know before the first knot stands below it.
        assert "3 leading strings in all, up to 3 hanging at once; 6 ends to hide." in hands.words
        assert "leads: knot 1 of 1" in hands.legible
        assert "base string" in hands.legible
        await hands.press("space")
        assert "FIRST begin a new foam, leave a 9 cm tail" in hands.words
        assert "to hide" not in hands.words
        assert "leads: knot 1 of 2" in hands.legible
        await hands.press("space")
        assert "leads: knot 2 of 2" in hands.legible
        assert "THEN ██ pick up deep" in hands.words
        await hands.press("space")
        assert "FIRST bring deep across the back from column 1 (2 knots)" in hands.words
        await hands.press("space", "space")
        assert "row 2 of 6" in hands.text
        assert "FIRST bring deep across the back from column 4 (1 knot)" in hands.words
        await hands.press("left")
        assert "4/30" in hands.text
        assert "FIRST begin a new rust, leave a 9 cm tail" in hands.words
    assert kept.pieces.all()[0].done == 4


async def test_a_run_of_one_colour_ends_with_its_row(kept: Kept, begin: Begin) -> None:
    opening = begin(PICTURE, done=9)
    async with sitting(kept, opening, settings=DEFAULTS._replace(press="run")) as hands:
        assert opening.held.progress.rest_of_run() == [9]
        await hands.press("space", "space")
        assert opening.held.progress.done == 12
        assert "FIRST bring rust from column 5 in row 1 (3 knots)" in hands.words


async def test_a_row_with_one_press(kept: Kept, begin: Begin) -> None:
    opening = begin(PICTURE)
    async with sitting(kept, opening, settings=DEFAULTS._replace(press="row")) as hands:
        # Before the row, all that has to be picked up in it is listed.
        pick_ups = "begin a new deep; begin a new foam; bring deep from column 1 (2 knots)"
        assert pick_ups in hands.words
        await hands.press("space")
        assert "5/30" in hands.text
        assert "NOW deep 1, foam 1, deep 2, foam 1" in hands.words


async def test_where_a_string_comes_from_is_never_cut_off(kept: Kept, begin: Begin) -> None:
    opening = begin(PICTURE)
    whole = opening.held.whole
    async with sitting(kept, opening, size=(40, 12)) as hands:
        for number in range(whole.size):
            words = step_words.pick_up(whole, number, tails=False)
            if words:
                brief = step_words.pick_up_in_brief(whole, number)
                said = (step_words.pick_up(whole, number), words, brief)
                assert any(f"FIRST {each}" in hands.words for each in said)
                assert "cut" in brief or "cut" not in words
            hands.send("space", 0.3)
            await hands.catch_up()
    assert opening.held.progress.finished


async def test_a_wrong_knot_in_a_picture(kept: Kept, begin: Begin) -> None:
    opening = begin(PICTURE, done=10)
    async with sitting(kept, opening) as hands:
        await hands.press("u", "up", "right", "right", "right")
        assert "Which is wrong? row 1, knot 4" in hands.words
        assert "deep over 4" in hands.words
        await hands.press("enter")
        out = opening.held.must_come_out()
        # The knots that share a column or a leading colour with it, and those that rest on them.
        assert out == [9, 8, 7, 6, 5, 3]
        await hands.press(*["space"] * 6)
        assert "ALL UNDONE" in hands.words
        assert opening.held.progress.done == 4
        assert opening.held.progress.next == 3


async def test_out_of_turn_and_to_a_row_in_a_picture(kept: Kept, begin: Begin) -> None:
    opening = begin(PICTURE)
    async with sitting(kept, opening) as hands:
        await hands.press("o")
        assert "row 1, forward, deep over 1, next in order" in hands.words
        assert "row 1, forward, foam over 2" in hands.words
        assert "row 1, forward, rust over 5" in hands.words
        await hands.press("down", "enter")
        assert list(opening.held.progress.history) == [1]
        await hands.press("j", "3")
        assert "There: knot 11, start" not in hands.words
        assert "There: knot 11, forward, foam over 1; row 3, column 1." in hands.words
        await hands.press("enter")
        assert "10/30" in hands.text
        await hands.press("w")
        assert "This design has one way of working." in hands.words


async def test_a_braid_is_moved_from_slot_to_slot(kept: Kept, begin: Begin) -> None:
    opening = begin(ROPE)
    async with sitting(kept, opening, size=(100, 30)) as hands:
        assert "0/128" in hands.text
        assert "repeat 1 of 32" in hands.text
        assert view_of(opening.held).note == "deep: lift it out of slot 1 and lay it in slot 15"
        assert "deep: lift it out of slot 1" in hands.legible
        assert ">1<" in hands.text
        assert "[15]" in hands.text
        await hands.press("space")
        assert ">17<" in hands.text
        assert "17 to 31" not in hands.text, "it stands in large type"
        assert "9 to 23, foam" in hands.words
        # Said once: from the second move on the strand's colour is enough.
        assert "slot" not in hands.words
        await hands.press("space", "space", "space")
        assert "repeat 2 of 32" in hands.text
        await hands.press("left")
        assert ">25<" in hands.text
        await hands.press("u", "left", "left", "enter")
        assert opening.held.must_come_out() == [0]
        # Nobody knows what was done in its place: the slots are shown as they lay before it.
        assert "undo the wrong move" in hands.legible
        note = view_of(opening.held).note
        assert note == "Lay all as before that move; in the chart 1 to 15. This is the last to undo"
        assert ">" not in hands.text
        await hands.press("space", "space")
        assert list(opening.held.progress.history) == [1, 2, 0]
        await hands.press("j", "1", "2", "8", "enter")
        assert "127/128" in hands.text
        await hands.press("space")
        assert opening.held.progress.finished
        assert opening.held.progress.hanging == opening.held.whole.at_start()


@pytest.mark.parametrize("size", [(40, 12), (60, 20), (80, 24), (200, 60)])
@pytest.mark.parametrize("text", [PICTURE, ROPE], ids=["picture", "rope"])
async def test_every_step_in_every_window(kept: Kept, begin: Begin, text: str, size: tuple[int, int]) -> None:
    opening = begin(text)
    whole = opening.held.whole
    async with sitting(kept, opening, size=size) as hands:
        for done in range(1, 31):
            hands.send("space", 0.3)
            if done % 5 == 0:
                await hands.catch_up()
                assert f"{done}/{whole.size}" in hands.text
    assert opening.held.progress.done == 30


async def test_a_knot_with_a_new_thread_has_no_timer(kept: Kept, begin: Begin, monkeypatch: pytest.MonkeyPatch) -> None:
    recorder(monkeypatch)
    async with sitting(kept, begin(PICTURE)) as hands:
        await hands.press("p")
        assert "No timer for this step; press space when done." in hands.words
        await hands.press("space", "space", "p")
        assert "DONE IN" in hands.text


async def test_a_piece_resumes_at_its_place(kept: Kept, begin: Begin) -> None:
    for text in (PICTURE, ROPE):
        opening = begin(text, done=7)
        opening.held.let_go()
        (piece,) = [piece for piece in kept.pieces.all() if piece.title == opening.held.title]
        again = resume_listed(kept, piece)
        assert again.held.progress.hanging == opening.held.progress.hanging
        async with sitting(kept, again) as hands:
            assert isinstance(hands.app.screen, StepScreen)
            assert f"7/{opening.held.whole.size}" in hands.text


async def test_they_are_spoken(kept: Kept, begin: Begin, monkeypatch: pytest.MonkeyPatch) -> None:
    voice = recorder(monkeypatch)
    async with sitting(kept, begin(PICTURE, done=4), settings=DEFAULTS._replace(voice="on")) as hands:
        await hands.press("space", "left")
    assert voice().words == [
        "row 1 of 6, begin a new rust, leave a 9 cm tail, forward",
        "row 1 done, turn, bring deep across the back, second from the right, 1 knot away, backward",
        "undo forward, rust, first from the right",
    ]
    async with sitting(kept, begin(PICTURE), settings=DEFAULTS._replace(voice="on")):
        pass
    assert voice().words == [
        "row 1 of 6, 3 leading strings in all, up to 3 hanging at once; 6 ends to hide. Floats pass behind up to "
        "3 columns and 1 row; catch a long one under a knot on its way, "
        "begin a new deep, leave a 9 cm tail, forward"
    ]
    async with sitting(kept, begin(ROPE, done=3), settings=DEFAULTS._replace(voice="on", level="short")) as hands:
        await hands.press("space", "left")
    assert voice().words == ["repeat 1, 25 to 7", "repeat 1 done, 32 to 14", "undo 25 to 7, foam"]


async def test_a_move_is_undone_the_way_the_strand_goes_back(kept: Kept, begin: Begin) -> None:
    opening = begin(ROPE, done=3)
    async with sitting(kept, opening, size=(100, 30)) as hands:
        opening.held.jump(60)
        opening.held.mark_wrong(3)
        await hands.press("d")
        out = [opening.held.whole.step(number) for number in opening.held.must_come_out()]
        back = [f"{each.target}>{each.source}" for each in out if isinstance(each, BraidMove)]
        assert len(back) > 2
        assert f"undo {back[0].replace('>', ' → ')}" in hands.legible
        assert [each.short for each in view_of(opening.held).coming] == back[1:][:COMING]


async def test_written_steps_are_counted_one_by_one_whatever_a_press_counts(kept: Kept, begin: Begin) -> None:
    opening = begin(WRITTEN)
    async with sitting(kept, opening) as hands:
        for done, press in enumerate(("knot", "run", "row")):
            assert hands.app.press == press
            await hands.press("space")
            assert opening.held.progress.done == done + 1
            await hands.press("m")
