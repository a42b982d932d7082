"""What was left of the strings, told at the end of a piece: asked, shown, corrected, kept for the gauge, taken back."""

from collections.abc import Callable

import pytest

from benchmate.bench.screens.thread.choice_screen import ChoiceScreen
from benchmate.bench.screens.thread.number_screen import NumberScreen
from benchmate.bench.step.step_screen import StepScreen
from benchmate.craft.thread.box_thread import BoxThread
from benchmate.craft.thread.cut_list import Length
from benchmate.piece_opening import Kept, OpenedPiece, resume_listed
from benchmate.piece_questions.thread.cut_strings import CutStrings
from benchmate.settings import DEFAULTS
from benchmate.store.thread.box import Box, threads_in
from benchmate.store.thread.cuts import Cut
from benchmate.store.thread.gauges import estimate_of
from benchmate.store.thread.measurements_kept import measured_lately
from tests.homes import keep_cut
from tests.screen.benches import CHEVRON, PICTURE, ROPE, full, read
from tests.screen.hands import Hands, sitting
from tests.voices import Recorder

SPOKEN = DEFAULTS._replace(voice="on", level="short")
HOOP = CHEVRON.replace("title: Heather on the moor", "title: Heather in a hoop\nfinish: braided-tie")
FOLDED = CHEVRON.replace("title: Heather on the moor", "title: Heather on a pin\nstart: fold-over-a-pin")


@pytest.fixture
def done(begin: Callable[..., OpenedPiece]) -> OpenedPiece:
    """A band of six strings with all its 30 knots tied: each made 5 knots and was carried in 5, in 12 rows."""
    return begin(CHEVRON, done=30)


def opened_again(kept: Kept, piece: OpenedPiece) -> OpenedPiece:
    """The same piece, opened anew."""
    number = piece.held.piece
    assert number is not None
    piece.held.let_go()
    again = resume_listed(kept, kept.pieces.get(number))
    again.held.hold()
    return again


def seen(kept: Kept) -> int:
    """How many strings the gauge of floss rests on."""
    found = estimate_of(kept.home, "floss")
    assert found is not None
    return found.gauge.seen


def rows(kept: Kept) -> list[tuple[str, int, int, int, int, float]]:
    """All that was recorded and not taken back."""
    query = (
        "SELECT what, made, carried, stayed, waited, mm FROM seen JOIN session USING (session) WHERE NOT taken_back"
        " ORDER BY session, number"
    )
    return list(kept.pieces.database.connection.execute(query))


def keep_cut_of(kept: Kept, piece: OpenedPiece, mm: float = 400.0, threads: dict[str, int] | None = None) -> None:
    """Keeps that every string of a piece was cut so long, each colour from a thread of the box if it is named."""
    design, number = piece.held.whole.main.design, piece.held.piece
    assert number is not None
    cuts = [
        Cut(Length(colour, (string,), mm), (threads or {}).get(colour))
        for string, colour in enumerate(design.strings, 1)
    ]
    keep_cut(kept.pieces.database, number, "floss", cuts)


async def answer(hands: Hands, *answers: str) -> None:
    """Types numbers, each with enter."""
    for each in answers:
        for sign in each:
            await hands.press("full_stop" if sign == "." else sign)
        await hands.press("enter")


async def test_the_whole_way(kept: Kept, done: OpenedPiece) -> None:
    keep_cut_of(kept, done)
    async with sitting(kept, done) as hands:
        assert "a tell what was left, for cut lists" in hands.words
        await hands.press("a")
        assert hands.lines[0].split() == ["LEFT", "OVER", "1", "of", "7,", "40", "cm", "cut"]
        assert "plum, string 1" in hands.legible
        assert "It hangs first from the left now. Measure from the last knot to the end." in hands.words
        assert "? cm" in hands.legible, "what a number alone is in"
        await answer(hands, "23.5", "23", "24", "22.5", "23", "23.5", "1.5")
        # 40 cm were cut; the start took 10 cm; there is no finish.
        assert "plum, string 1: used 6.5 cm, expected 6.5 cm" in hands.words
        assert seen(kept) == 0, "nothing is kept before the person says so"
        await hands.press("enter")
        assert isinstance(hands.app.screen, StepScreen)
        assert "Kept. floss: from 6 strings you measured. plum, string 1: next time cut " in hands.words
        assert "take back what you told" in hands.words
    assert rows(kept) == [
        *(("string", 5, 5, 0, 2, float(mm)) for mm in (65, 70, 60, 75, 70, 65)),
        ("rows", 12, 0, 0, 0, 15.0),
    ]


async def test_the_unit_is_read_before_and_after_a_number_is_typed(kept: Kept, done: OpenedPiece) -> None:
    settings = DEFAULTS._replace(units="inches")
    async with sitting(kept, done, settings=settings, size=(40, 12)) as hands:
        await hands.press("a")
        assert "? inches" in hands.legible
        await hands.press("1", "2")
        assert "That is 12 in." in hands.words
        assert "It hangs first from the left now." in hands.words


async def test_nothing_is_kept_of_what_is_skipped_left_or_thrown_away(kept: Kept, done: OpenedPiece) -> None:
    async with sitting(kept, done) as hands:
        await hands.press("a", *["escape"] * 7)
        assert isinstance(hands.app.screen, StepScreen)
        assert "Nothing was kept." in hands.words
        await hands.press("a", "tab", "escape")
        assert isinstance(hands.app.screen, StepScreen)
        # A key that is held types once, and takes once.
        await hands.press("a", "1")
        await hands.hold("5", 8)
        assert "That is 15 cm." in hands.words
        await hands.hold("enter", 6)
        assert "LEFT OVER 2 of 7" in hands.lines[0]
        await hands.press("tab", "escape", "escape")
        assert "Not kept yet. The answers stay until you leave this piece." in hands.words
        await hands.press("a")
        assert "plum, string 1: used " in hands.words
        await hands.press("end", "enter", "a")
        assert "LEFT OVER 1 of 7" in hands.lines[0]
    assert rows(kept) == []


async def test_what_was_cut_is_not_known_and_is_corrected(kept: Kept, done: OpenedPiece) -> None:
    async with sitting(kept, done) as hands:
        await hands.press("a")
        assert "The length is by today's cut list: what was cut was not kept." in hands.words
        await hands.press("down")
        assert "How long was it cut?" in hands.words
        await answer(hands, "50")
        assert "LEFT OVER 1 of 7, 50 cm cut" in hands.lines[0]
        await answer(hands, "33")
        await hands.press("tab", "escape")
        assert "plum, string 1: used 7 cm" in hands.words
        await hands.press("enter")
    assert rows(kept) == [("string", 5, 5, 0, 2, 70.0)]


async def test_going_back_corrects_an_answer(kept: Kept, done: OpenedPiece) -> None:
    keep_cut_of(kept, done)
    async with sitting(kept, done) as hands:
        await hands.press("a")
        await answer(hands, "20")
        await hands.press("up")
        assert "20 cm" in hands.legible, "the answer stands there"
        await answer(hands, "23")
        await hands.press("tab", "escape")
        # From all answers, too.
        await hands.press("down", "enter")
        await answer(hands, "24")
        assert isinstance(hands.app.screen, ChoiceScreen)
        await hands.press("enter")
    assert rows(kept) == [("string", 5, 5, 0, 2, 60.0)]


async def test_an_absurd_number_is_asked_about_once(kept: Kept, done: OpenedPiece) -> None:
    keep_cut_of(kept, done)
    async with sitting(kept, done) as hands:
        await hands.press("a")
        await answer(hands, "400")
        assert "4 m cannot be left: 40 cm was cut. If more was cut, correct that first." in hands.words
        await hands.press("enter")
        assert "LEFT OVER 1 of 7" in hands.lines[0], "enter again does not take it"
        await hands.press("escape")
        assert "LEFT OVER 2 of 7" in hands.lines[0]
        await answer(hands, "35")
        assert "35 cm? That leaves nothing for the knots. Enter again takes it." in hands.words
        await hands.press("backspace", "backspace", "enter")
        assert "Type a length, such as 16.5; a number alone is in cm." in hands.words
        await hands.press("escape", "tab", "escape")
        await hands.press("up", "up", "enter")
        assert "Nothing was kept." in hands.words
    assert rows(kept) == []


async def test_a_string_that_is_far_off_is_asked_about_in_the_end(kept: Kept, done: OpenedPiece) -> None:
    keep_cut_of(kept, done)
    async with sitting(kept, done) as hands:
        await hands.press("a")
        await answer(hands, "23", "10", "24")
        await hands.press("tab", "escape")
        assert "> mossy green, string 2: used 20 cm, expected 6.5 cm. This one is far off: is it right?" in hands.words
        await hands.press("up")
        assert "> keep it without what is far off" in hands.words
        await hands.press("enter")
    assert [row[-1] for row in rows(kept)] == [70.0, 60.0]


async def test_a_full_disk_keeps_nothing_and_the_answers_stay(
    kept: Kept, done: OpenedPiece, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with sitting(kept, done) as hands:
        await hands.press("a")
        await answer(hands, "15")
        await hands.press("tab", "escape")
        with monkeypatch.context() as broken:
            broken.setattr("benchmate.piece_questions.thread.left_over.record", full)
            await hands.press("enter")
        assert "Nothing was kept. The disk is full." in hands.words
        await hands.press("a", "enter")
        assert seen(kept) == 1
        # It is taken back, and told again.
        await hands.press("a")
        assert "Taken back: 1 measurement of floss." in hands.words
        assert seen(kept) == 0
        await hands.press("a")
        assert "LEFT OVER 1 of 7" in hands.lines[0]


async def test_after_a_finish_only_its_ends_are_left(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    piece = begin(HOOP)
    held = piece.held
    for number in held.order.sequence:
        held.tie([number])
    keep_cut_of(kept, piece, 500.0)
    async with sitting(kept, piece) as hands:
        await hands.press("a")
        assert "It hung first from the left. What was left? Measure the end cut off after the finish." in hands.words
        await answer(hands, "18.5")
        await hands.press("tab", "escape", "enter")
    start, finish = 100.0, held.whole.parts[-1].design
    uses = finish.family.uses_mm(finish.body) or 150.0
    assert rows(kept) == [("string", 5, 5, 0, 2, 500.0 - 185.0 - start - uses)]


async def test_a_folded_length_is_asked_about_once(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    piece = begin(FOLDED)
    piece.held.tie([piece.held.order.sequence[0]])
    for step in piece.held.order.sequence[1:]:
        piece.held.tie([step])
    number = piece.held.piece
    assert number is not None
    (skein,) = Box(kept.pieces.database).add([BoxThread(0, "dusk", "#5d1a4a", "floss", 8000.0, True)])
    keep_cut(kept.pieces.database, number, "floss", [Cut(Length("plum", (1, 6), 1900.0), skein)])
    async with sitting(kept, piece) as hands:
        await hands.press("a")
        assert "LEFT OVER 1 of 2, 1 m 90 cm cut" in hands.lines[0]
        assert "plum, strings 1 and 6" in hands.legible
        assert "Both ends together." in hands.words
        await answer(hands, "150")
        await hands.press("tab", "escape", "home", "enter")
        # Each end is 75 cm long, of which a finish takes 15.
        assert hands.words.count("offcut dusk: 60 cm back") == 2
    starts = piece.held.whole.parts[0].design
    uses = starts.family.uses_mm(starts.body) or 100.0
    assert rows(kept) == [("string", 10, 10, 0, 4, 1900.0 - 1500.0 - 2 * uses)]


async def test_a_band_that_ends_within_a_repeat_is_reckoned_to_its_last_row(
    kept: Kept, begin: Callable[..., OpenedPiece]
) -> None:
    async with sitting(kept, begin(CHEVRON, done=25)) as hands:
        await hands.press("e")
        while not any(line.strip().startswith("> rows in all") for line in hands.lines):
            await hands.press("down")
        await hands.press("left", "left", "left", "enter")
        assert "Now 10 rows." in hands.words
        piece = hands.app.screen.held if isinstance(hands.app.screen, StepScreen) else None
        assert piece is not None
        assert piece.progress.finished
        assert piece.copy.repeats == -10
        assert piece.piece is not None
        keep_cut(kept.pieces.database, piece.piece, "wool", [Cut(Length("plum", (1,), 900.0))])
        was = CutStrings(piece)
        assert was.gauge == "wool"
        assert sum(each.counts.made for each in was.listed.strings) == 25


async def test_a_picture_asks_about_its_hardest_working_strings(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    piece = begin(PICTURE, done=30)
    async with sitting(kept, piece) as hands:
        await hands.press("a")
        count = len(piece.held.whole.main.design.strings)
        assert count == 5
        told = []
        while isinstance(hands.app.screen, NumberScreen):
            told.append(hands.legible)
            await answer(hands, "0.5" if "BAND" in hands.lines[0] else "3")
            if "Enter again" in hands.words:
                await hands.press("enter")
        asked = [text for text in told if "LEFT OVER" in text]
        assert 2 <= len(asked) <= 6
        assert "leading string" in asked[0]
        assert "Measure the end beyond its tail of 9 cm." in asked[0]
        assert sum("base string" in text for text in asked) == 1, "they all do the same"
        assert "tell about 4 more strings" in hands.words
        await hands.press("home", "enter")
        kinds = {row[0] for row in rows(kept)}
        assert kinds <= {"string", "base", "alpha rows"}
        assert {"string", "base"} <= kinds


async def test_a_braid_asks_nothing_without_a_box(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    async with sitting(kept, begin(ROPE, done=128)) as hands:
        assert "go on" in hands.words or "do it all again" in hands.words
        assert "tell what was left" not in hands.words
        assert "box" not in hands.words


async def test_offcuts_of_a_braid_go_back_to_the_box(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    Box(kept.pieces.database).add([BoxThread(0, "foam", "#f4f1de", "floss", 8000.0, True)])
    piece = begin(ROPE, done=128)
    async with sitting(kept, piece) as hands:
        assert "a tell what was left, for your box" in hands.words
        await hands.press("a")
        assert "LEFT OVER 1 of 6" in hands.lines[0]
        assert "What is left? Measure from the braid to the end." in hands.words
        assert "slot " in hands.legible
        while "foam, slot" not in hands.legible:
            await hands.press("escape")
        await hands.press("down")
        await answer(hands, "200")
        await answer(hands, "55")
        await hands.press("tab")
        assert "> keep it, for your box" in hands.words
        assert "length of the band" not in hands.words
        await hands.press("enter")
        assert "What was cut was not kept, so this is by today's cut list." in hands.words
        # A finish of 15 cm is still to come.
        assert "offcut foam: 40 cm back" in hands.words
        await hands.press("enter")
        assert 400.0 in [thread.mm for thread in threads_in(kept.home)]
        await hands.press("x", "a")
        assert "Taken back: what was left." in hands.words
        assert "a tell what was left, for your box" in hands.words
    assert rows(kept) == [], "nothing is learned of it"
    assert seen(kept) == 0
    assert measured_lately(kept.home) == []


async def test_what_is_asked_and_typed_is_heard(kept: Kept, done: OpenedPiece, voice: Callable[[], Recorder]) -> None:
    keep_cut_of(kept, done)
    async with sitting(kept, done, settings=SPOKEN) as hands:
        await hands.press("a")
        assert voice().last == (
            "Left over 1 of 7, 40 cm cut. plum, string 1. It hangs first from the left now. "
            "Measure from the last knot to the end. In centimetres. "
            "digits, then enter, escape: skip, tab: skip the rest, up: back, down: other length cut"
        )
        await hands.press("2", "3")
        assert voice().last == "23 centimetres"
        await answer(hands, "")
        assert voice().last.startswith("Left over 2 of 7, 40 cm cut. mossy green, string 2. ")
        await answer(hands, "90")
        assert voice().last == "90 cm cannot be left: 40 cm was cut. If more was cut, correct that first"
        await hands.press("escape", "tab", "escape")
        assert voice().last.startswith("Left over. Right? Enter on a line corrects it. keep it, for floss. up or down")


@pytest.mark.parametrize("size", [(40, 12), (200, 60)])
async def test_question_and_number_are_large(kept: Kept, done: OpenedPiece, size: tuple[int, int]) -> None:
    async with sitting(kept, done, size=size) as hands:
        await hands.press("a", "2", "7", "full_stop", "5")
        large = {each.text for each in read(hands.drawn, hands.lines)[0]}
        assert {"plum, string 1", "27.5"} <= large
        assert all(len(line) == size[0] for line in hands.lines)
        assert "digits, then enter escape: skip tab: skip the rest" in hands.words


# The box


def put_in_box(kept: Kept) -> dict[str, int]:
    """A skein of each colour of the band, and their numbers."""
    colours = {"plum": "#5d1a4a", "straw": "#e8d48b", "moss": "#43602f"}
    threads = [BoxThread(0, name, colour, "floss", 8000.0, True) for name, colour in colours.items()]
    return dict(zip(colours, Box(kept.pieces.database).add(threads), strict=True))


async def test_what_was_used_is_taken_from_the_box(kept: Kept, done: OpenedPiece) -> None:
    keep_cut_of(kept, done, 900.0, put_in_box(kept))
    before = threads_in(kept.home)
    async with sitting(kept, done) as hands:
        await hands.press("a")
        # 90 cm were cut; with a finish of 15 cm still to come, 57 and 10 cm of these ends are offcuts.
        await answer(hands, "72", "25", "72")
        await hands.press("tab", "escape", "home", "enter")
        assert "Take what was used from the box and put the offcuts back?" in hands.words
        assert "skein plum: 8 m → 6 m 20 cm" in hands.words
        assert "offcut plum: 57 cm back" in hands.words
        assert "ends shorter than 30 cm are not kept: 1" in hands.words
        assert threads_in(kept.home) == before, "nothing is booked before the person says so"
        await hands.press("enter")
        assert "Booked. Your box is up to date." in hands.words
        assert [(thread.name, thread.mm, thread.whole) for thread in threads_in(kept.home)] == [
            ("plum", 6200.0, False),
            ("straw", 6200.0, False),
            ("moss", 6200.0, False),
            ("plum", 570.0, False),
            ("straw", 570.0, False),
        ]
        assert "x undo the booking in your box" in hands.words
        await hands.press("x")
        assert "Your box is as before this piece." in hands.words
        assert threads_in(kept.home) == before


async def test_a_piece_is_booked_once_even_after_a_restart(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    piece = begin(CHEVRON, done=30)
    keep_cut_of(kept, piece, 900.0, put_in_box(kept))
    async with sitting(kept, piece) as hands:
        assert "x take the thread used from your box" in hands.words
        await hands.press("x", "down", "enter")
        assert "The box is as it was." in hands.words
        await hands.press("x", "enter")
        once = threads_in(kept.home)
    async with sitting(kept, piece) as hands:
        assert "take the thread used" not in hands.words
        await hands.press("x", "x", "enter")
        assert [thread.mm for thread in threads_in(kept.home)] == [thread.mm for thread in once]


async def test_what_was_told_is_booked_in_a_later_session(kept: Kept, begin: Callable[..., OpenedPiece]) -> None:
    piece = begin(CHEVRON, done=30)
    keep_cut_of(kept, piece, 900.0, put_in_box(kept))
    async with sitting(kept, piece) as hands:
        await hands.press("a", "down")
        await answer(hands, "100", "82")
        await hands.press("tab", "escape", "home", "enter", "escape")
        assert "The box is as it was." in hands.words
    again = opened_again(kept, piece)
    async with sitting(kept, again) as hands:
        await hands.press("x")
        assert "skein plum: 8 m → 6 m 10 cm" in hands.words, "one was cut 10 cm longer than was kept"
        assert "offcut plum: 67 cm back" in hands.words
        await hands.press("escape", "a", "x")
        assert "skein plum: 8 m → 6 m 20 cm" in hands.words, "what was told is taken back"
        assert "offcut plum" not in hands.words


async def test_a_finish_that_is_added_leaves_what_was_told(kept: Kept, done: OpenedPiece) -> None:
    keep_cut_of(kept, done, 900.0, put_in_box(kept))
    async with sitting(kept, done) as hands:
        await hands.press("a")
        await answer(hands, "72")
        await hands.press("tab", "escape", "home", "enter", "escape", "f", "enter")
        await hands.press("j", "e", "enter")
        await hands.press("x")
        assert "offcut plum: 57 cm back" in hands.words


async def test_what_cannot_be_left_is_not_put_back(kept: Kept, done: OpenedPiece) -> None:
    keep_cut_of(kept, done, 900.0, put_in_box(kept))
    async with sitting(kept, done) as hands:
        await hands.press("a")
        await answer(hands, "400")
        await hands.press("escape")
        await answer(hands, "72")
        await hands.press("tab", "escape", "home", "enter")
        assert "offcut moss: 57 cm back" in hands.words
        assert "offcut plum" not in hands.words


async def test_a_piece_of_which_nothing_was_ticked_off_is_booked_by_its_cut_list(kept: Kept, done: OpenedPiece) -> None:
    put_in_box(kept)
    async with sitting(kept, done) as hands:
        assert "x take the thread used from your box" in hands.words
        await hands.press("x")
        assert "What was cut was not kept, so this is by today's cut list. Take what was used from the box?" in (
            hands.words
        )
        # Two lengths of 33 cm of each colour.
        assert "skein plum: 8 m → 7 m 34 cm" in hands.words
        assert "no, I cut from others" in hands.words
        await hands.press("enter")
    assert {thread.mm for thread in threads_in(kept.home)} == {7340.0}


async def test_threads_that_fit_are_supposed_where_none_was_noted(kept: Kept, done: OpenedPiece) -> None:
    put_in_box(kept)
    keep_cut_of(kept, done, 900.0)
    async with sitting(kept, done) as hands:
        await hands.press("x")
        assert "skein plum: 8 m → 6 m 20 cm" in hands.words
        assert "no, I cut from others" in hands.words
        await hands.press("enter")
    assert {thread.mm for thread in threads_in(kept.home)} == {6200.0}


async def test_a_box_without_threads_that_fit_is_not_mentioned(kept: Kept, done: OpenedPiece) -> None:
    Box(kept.pieces.database).add([BoxThread(0, "sea", "#00ccff", "floss", 8000.0, True)])
    keep_cut_of(kept, done)
    async with sitting(kept, done) as hands:
        assert "box" not in hands.words


async def test_another_window_changed_the_box_meanwhile(kept: Kept, done: OpenedPiece) -> None:
    numbers = put_in_box(kept)
    keep_cut_of(kept, done, 900.0, numbers)
    async with sitting(kept, done) as hands:
        await hands.press("x")
        plum = next(thread for thread in threads_in(kept.home) if thread.number == numbers["plum"])
        Box(kept.pieces.database).change(plum._replace(mm=1000.0))
        await hands.press("enter")
        assert "was changed in another window" in hands.words
    assert sorted(thread.mm for thread in threads_in(kept.home)) == [1000.0, 8000.0, 8000.0]


async def test_a_box_that_cannot_be_read_is_said_and_hides_nothing_else(
    kept: Kept, done: OpenedPiece, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("benchmate.piece_questions.thread.box_booking.threads_in", full)
    async with sitting(kept, done) as hands:
        assert "What is kept of your thread cannot be read. The disk is full." in hands.words
        assert "a tell what was left, for cut lists" in hands.words
        assert "your box" not in hands.words
