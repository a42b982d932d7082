"""Thread in plain mode: what was left, what was used of the box, gauges, swatches and measurements."""

from collections.abc import Callable
from pathlib import Path

import pytest

from benchmate.craft.thread.box_thread import BoxThread
from benchmate.craft.thread.cut_list import Length
from benchmate.craft.thread.kinds import KINDS
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.store.thread import gauges
from benchmate.store.thread.box import Box, threads_in
from benchmate.store.thread.cuts import Cut
from benchmate.store.thread.gauges import OwnThread, estimate_of, own_thread
from tests.homes import keep_cut
from tests.screen.benches import CHEVRON, ROPE, STRIPE, begun, full, written_to
from tests.unit.test_plain_actions import Told, answered
from tests.unit.test_plain_home import talk

TELL = "4"
"""The number of the offer at the end of a band."""


@pytest.fixture
def end(kept: Kept, tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Told]:
    """Answers at the end of a band of six strings, each of which was cut to 90 cm from the box if asked to."""
    file = written_to(tmp_path_factory.mktemp("designs"), CHEVRON)

    def answers(*typed: str, cut_from: dict[str, int] | None = None, new: int | None = None) -> Told:
        opened = begun(kept, file, done=30)
        if cut_from is None or cut_from:
            _keep_cuts(kept, opened, cut_from or {})
        if new is not None:
            opened.held.join(1, 410.0, 500.0, thread=new or None)
        return answered(opened, *typed, "q", person=True)

    return answers


def _keep_cuts(kept: Kept, opened: OpenedPiece, cut_from: dict[str, int]) -> None:
    piece = opened.held.piece
    assert piece is not None
    strings = enumerate(opened.held.whole.main.design.strings, 1)
    cuts = [Cut(Length(colour, (number,), 900.0), cut_from.get(colour)) for number, colour in strings]
    keep_cut(kept.pieces.database, piece, "floss", cuts)


def rows(kept: Kept) -> list[tuple[str, float]]:
    """All that was recorded and not taken back."""
    query = "SELECT what, mm FROM seen JOIN session USING (session) WHERE NOT taken_back ORDER BY session, number"
    return list(kept.pieces.database.connection.execute(query))


def test_what_was_left_is_told_corrected_and_kept(kept: Kept, end: Callable[..., Told]) -> None:
    told = end(TELL, "73", "ten", "950", "72", "back", "73.5", "cut", "80", "62", "rest", "1.6", "1")
    assert "4: tell what was left, for cut lists" in told.out
    assert (
        "Left over 1 of 7, 90 cm cut: plum, string 1. It hangs first from the left now. "
        "Measure from the last knot to the end. In cm."
    ) in told.out
    assert "empty line: skip, back: the one before, cut: correct the length that was cut, rest: skip the rest, " in (
        " ".join(told.out)
    )
    assert "Type a length, such as 16.5; a number alone is in cm." in told.err
    assert "9 m 50 cm cannot be left: 90 cm was cut. If more was cut, correct that first." in told.err
    assert "Left over 3 of 7, 80 cm cut: straw, string 3." in " ".join(told.out)
    assert "Kept. floss: from 3 strings you measured." in " ".join(told.out)
    assert rows(kept) == [("string", 70.0), ("string", 65.0), ("string", 80.0), ("rows", 16.0)]


def test_strings_that_changed_places_are_asked_about_as_they_hang(kept: Kept, tmp_path: Path) -> None:
    opened = begun(kept, written_to(tmp_path, STRIPE), done=10)
    assert opened.held.progress.hanging == [3, 4, 5, 6, 1, 2]
    told = answered(opened, TELL, *[""] * 7, "q", person=True)
    asked = [line for line in told.out if line.startswith("Left over ")]
    assert [line.partition(": ")[2].partition(" now.")[0] for line in asked] == [
        "foam, string 3. It hangs first from the left",
        "foam, string 4. It hangs second from the left",
        "foam, string 5. It hangs third from the left",
        "foam, string 6. It hangs third from the right",
        "deep, string 1. It hangs second from the right",
        "foam, string 2. It hangs first from the right",
    ]


def test_of_a_folded_length_both_ends_are_found(kept: Kept, tmp_path: Path) -> None:
    opened = begun(kept, written_to(tmp_path, f"{STRIPE}start: fold-over-a-pin\n"))
    opened.held.hold()
    while not opened.held.progress.finished:
        opened.held.finish_step()
    told = answered(opened, TELL, *[""] * 4, "q", person=True)
    assert "foam, strings 2 and 3. They hang first from the left and first from the right now." in " ".join(told.out)


def test_an_absurd_answer_is_taken_the_second_time_and_left_out(kept: Kept, end: Callable[..., Told]) -> None:
    told = end(TELL, "50", "73", "rest", "", "2")
    assert "2: keep it without what is far off" in told.out
    assert "3: correct plum, string 1: used 30 cm, expected 6.5 cm. This one is far off: is it right?" in told.out
    assert rows(kept) == [("string", 70.0)]


def test_nothing_is_kept_of_what_is_skipped_left_or_thrown_away(kept: Kept, end: Callable[..., Told]) -> None:
    told = end(TELL, "rest", "", TELL, "q", TELL, "73", "rest", "", "", TELL, "4", TELL, "q")
    assert told.out.count("Nothing was kept.") == 4
    assert "Not kept yet. The answers stay until you leave this piece." in told.out
    assert rows(kept) == []


def test_it_is_taken_back(kept: Kept, end: Callable[..., Told]) -> None:
    told = end(TELL, "73", "rest", "", "1", TELL)
    assert "Taken back: 1 measurement of floss." in told.out
    assert rows(kept) == []


def test_the_box_is_booked_after_it_and_undone(kept: Kept, end: Callable[..., Told]) -> None:
    (plum,) = Box(kept.pieces.database).add([BoxThread(0, "Dusk", "#5d1a4a", "floss", 8000.0, True)])
    told = end(TELL, "72", "rest", "", "1", "1", cut_from={"plum": plum})
    assert "skein Dusk: 8 m → 6 m 20 cm" in told.out
    assert "offcut Dusk: 57 cm back" in told.out
    assert "Booked. Your box is up to date." in told.out
    assert [thread.mm for thread in threads_in(kept.home)] == [6200.0, 570.0]
    number = next(piece.piece for piece in kept.pieces.all())
    assert kept.pieces.database.connection.execute("SELECT piece FROM booking WHERE NOT undone").fetchall()[-1] == (
        number,
    )


def test_it_is_booked_alone_and_undone(kept: Kept, end: Callable[..., Told]) -> None:
    (plum,) = Box(kept.pieces.database).add([BoxThread(0, "Dusk", "#5d1a4a", "floss", 1700.0, False)])
    told = end("5", "2", "5", "1", "5", cut_from={"plum": plum})
    assert "5: take the thread used from your box" in told.out
    assert "offcut Dusk: 1 m 70 cm → used up" in told.out
    assert "The box is as it was." in told.out
    assert "Your box is as before this piece." in told.out
    assert [thread.mm for thread in threads_in(kept.home)] == [1700.0]


def test_what_a_new_string_was_cut_from_is_booked_too(kept: Kept, end: Callable[..., Told]) -> None:
    plum, end_of_plum = Box(kept.pieces.database).add(
        [
            BoxThread(0, "Dusk", "#5d1a4a", "floss", 8000.0, True),
            BoxThread(0, "Gloam", "#5d1a4a", "floss", 700.0, False),
        ]
    )
    told = end("5", "1", cut_from={"plum": plum}, new=end_of_plum)
    assert "skein Dusk: 8 m → 6 m 20 cm" in told.out
    assert "offcut Gloam: 70 cm → 20 cm" in told.out
    assert [thread.mm for thread in threads_in(kept.home)] == [6200.0, 200.0]
    # What was not cut from the box takes nothing of it.
    told = end("5", "1", cut_from={"plum": plum}, new=0)
    assert "offcut Dusk: 6 m 20 cm → 4 m 40 cm" in told.out
    assert [thread.mm for thread in threads_in(kept.home)] == [4400.0, 200.0]


def test_a_new_string_is_booked_where_nothing_else_is_known(kept: Kept, end: Callable[..., Told]) -> None:
    (plum,) = Box(kept.pieces.database).add([BoxThread(0, "Dusk", "#5d1a4a", "wool", 700.0, False)])
    told = end("5", "1", cut_from={}, new=plum)
    assert "offcut Dusk: 70 cm → 20 cm" in told.out
    assert not any("today's cut list" in line for line in told.out), "it is not by the cut list"


def test_what_is_left_of_a_braid_goes_back_to_the_box(kept: Kept, tmp_path: Path) -> None:
    Box(kept.pieces.database).add([BoxThread(0, "foam", "#f4f1de", "floss", 8000.0, True)])
    opened = begun(kept, written_to(tmp_path, ROPE), done=128)
    told = answered(opened, "4", "", "", "", "cut", "200", "55", "rest", "1", "1", "q", person=True)
    said = " ".join(told.out)
    assert "4: tell what was left, for your box" in told.out
    assert "What is left? Measure from the braid to the end." in said
    assert "How long is the band?" not in said
    assert "What was cut was not kept, so this is by today's cut list." in said
    assert "Booked. Your box is up to date." in told.out
    assert rows(kept) == []


def test_a_box_that_cannot_be_read_is_said_and_hides_nothing_else(
    end: Callable[..., Told], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("benchmate.piece_questions.thread.box_booking.threads_in", full)
    told = end()
    assert "What is kept of your thread cannot be read. The disk is full." in told.err
    assert "4: tell what was left, for cut lists" in told.out
    assert "your box" not in " ".join(told.out)


def test_thread_from_the_list(kept: Kept) -> None:
    told = talk(kept, "thread", "2", "1", "1", "1", "", "220", "22", "12 mm", "", "1", "3", "1", "1", "", "q")
    assert "Hang 6 strings. Knot with the first one only" in " ".join(told.lines)
    assert "2 m 20 cm? The thread of 20 knots is usually 15 cm to 29.5 cm. Type it again to take it." in told.notices
    assert "a knot made: 10.5 mm → " in " ".join(told.lines)
    assert "Kept. floss: from 1 string you measured." in told.lines
    assert "Taken back: 2 measurements of floss." in told.lines
    found = estimate_of(kept.home, "floss")
    assert found is not None
    assert found.gauge.seen == 0


def test_gauges_from_the_list(kept: Kept) -> None:
    told = talk(kept, "thread", "1", "4", "", "7", "wool", "sisal", "1", "1000", "1", "", "4", "q", "q")
    assert "metallic: metallic thread; estimated" in told.lines
    assert "Knots slip in this thread" in " ".join(told.lines)
    assert "wool comes with benchmate. Give your thread another name." in told.notices
    assert "Kept: sisal, 1.18 mm thick." in " ".join(told.lines)
    own = own_thread(kept.home, "sisal")
    assert own is not None
    assert not own.slippery
    assert own.thickness_mm == pytest.approx(1.1795, abs=0.001)
    assert "Your box" in " ".join(told.lines)


def test_a_name_that_cannot_be_is_refused_with_a_reason(kept: Kept) -> None:
    told = talk(kept, "thread", "1", "7", "x" * 501, "si\u202esal", "", "q")
    assert "The name is longer than 500 characters, the most allowed." in told.notices
    assert "The name has a hidden character, U+202E. Type it without." in told.notices
    assert gauges.names(kept.home) == [*KINDS]


def test_a_long_name_is_kept_whole(kept: Kept) -> None:
    name = "sisal from the harbour " * 4 + "shop"
    talk(kept, "thread", "1", "7", name, "1", "1000", "1", "q", "q")
    assert own_thread(kept.home, name) is not None


def test_a_thread_of_ones_own_is_replaced_only_after_a_question(kept: Kept) -> None:
    gauges.record(kept.pieces.database, "sisal", [], own=OwnThread(1.18, slippery=True))
    told = talk(kept, "thread", "1", "8", "sisal", "1", "q", "q")
    assert "You have sisal: 1.18 mm thick, knots slip. Replace that?" in " ".join(told.lines)
    assert own_thread(kept.home, "sisal") == OwnThread(1.18, slippery=True)
    talk(kept, "thread", "1", "8", "sisal", "2", "2", "20", "30 mm", "1", "q", "q")
    assert own_thread(kept.home, "sisal") == OwnThread(1.5, slippery=False)


def test_a_box_that_cannot_be_read_says_so_and_leads_back(kept: Kept, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Box, "threads", full)
    told = talk(kept, "thread", "4", "1", "", "q")
    assert "The disk is full." in told.notices
    assert "7: add a thread of your own" in told.lines


def test_a_thickness_beyond_all_threads_is_said(kept: Kept) -> None:
    told = talk(kept, "thread", "1", "7", "rope", "2", "10", "40 cm", "40 cm", "1", "q", "q")
    assert "Kept: rope, 20.00 mm thick, the most there is. Name it in a design as thread: rope." in told.lines
