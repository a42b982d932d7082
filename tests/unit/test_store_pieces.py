"""The saved pieces and their logs."""

import os
import re
import sqlite3
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmate.craft.ways import Way
from benchmate.store import places
from benchmate.store.checksum import add_checksum
from benchmate.store.errors import Damaged, Gone, StoreError
from benchmate.store.holders import Holder
from benchmate.store.inspection import damage_in, in_memory
from benchmate.store.log import MOST_NUMBERS, TIES, UNTIES, Event, LogEnd, as_ranges, read_log
from benchmate.store.pieces import Pieces, TakenOver, utc_now
from benchmate.store.reading import Copy, pieces_kept
from tests.charts import seeded
from tests.homes import design_of, events_of

COPY = Copy("the design", "the start", None, 3)
TIE = [("tie", 0, 0)]
MOMENT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z")


@pytest.fixture
def pieces(home: Path) -> Iterator[Pieces]:
    pieces = Pieces(places.home())
    yield pieces
    pieces.close()


@pytest.fixture
def holder(pieces: Pieces) -> Iterator[Holder]:
    holder = Holder(places.home().holders)
    yield holder
    holder.close()


@pytest.fixture
def stranger(pieces: Pieces) -> Iterator[Holder]:
    """Another window."""
    holder = Holder(places.home().holders)
    yield holder
    holder.close()


def begin(
    pieces: Pieces, file: str = "/b.yaml", copy: Copy = COPY, token: str = "me", done: int = 1, size: int = 9
) -> int:
    """A piece started by its first press."""
    time.sleep(0.002)  # Times are saved to the millisecond, and pieces are listed by them.
    piece, end = pieces.begin("Rain", file, Way(), None, size, copy, token, None, [("tie", 0, done - 1)], done)
    assert end == end_of(pieces, piece)
    assert end.number == 1
    return piece


def end_of(pieces: Pieces, piece: int) -> LogEnd:
    """The end of the log, for a window that has read all of it."""
    number = pieces.get(piece).entries
    return pieces.log_end(piece, number)


def rows(query: str) -> list[tuple[object, ...]]:
    """What the database holds, read over another connection."""
    connection = sqlite3.connect(places.home().database)
    try:
        return connection.execute(query).fetchall()
    finally:
        connection.close()


def test_a_piece_is_saved_with_its_first_press(pieces: Pieces) -> None:
    assert pieces.newest() == 0
    piece = begin(pieces)
    assert pieces.newest() == piece
    (found,) = pieces.all()
    assert found == pieces.get(piece)
    assert found[:6] == (piece, "Rain", "/b.yaml", Way(), 1, 9)
    assert found.holder == "me"
    assert found.started == found.touched
    assert design_of(pieces, piece) == COPY
    assert events_of(pieces, piece) == [Event(1, "tie", 0, 0)]


def test_times_are_utc(pieces: Pieces, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TZ", "Pacific/Kiritimati")  # 14 hours ahead
    time.tzset()
    try:
        before = time.time()
        piece = begin(pieces)
        seen = [
            pieces.get(piece).started,
            *(str(at) for (at,) in rows("SELECT at FROM event UNION SELECT at FROM copy")),
        ]
        (press,) = pieces.presses(piece)
        assert utc_now()[:13] == time.strftime("%Y-%m-%dT%H", time.gmtime())
        assert all(MOMENT.fullmatch(moment) for moment in seen)
        # Read back, the time is the same moment, whatever the local time zone.
        assert before - 0.001 <= press.at <= time.time()
    finally:
        monkeypatch.undo()
        time.tzset()


def test_every_press_is_in_the_log_with_its_time(pieces: Pieces) -> None:
    piece = begin(pieces)
    seen = end_of(pieces, piece)
    for events, done in ([("tie", 1, 3)], 4), ([("untie", 3, 3)], 3), ([("wrong", 1, 1)], 3), ([("right", 1, 1)], 3):
        seen = pieces.add(piece, "me", "/b.yaml", seen, events, done)
    seen = pieces.add(piece, "me", "/b.yaml", seen, [("jump-untie", 2, 1), ("jump-tie", 1, 1)], 2)
    assert rows("SELECT number, act, first, last FROM event") == [
        (1, "tie", 0, 0),
        (2, "tie", 1, 3),
        (3, "untie", 3, 3),
        (4, "wrong", 1, 1),
        (5, "right", 1, 1),
        (6, "jump-untie", 2, 1),
        (7, "jump-tie", 1, 1),
    ]
    assert events_of(pieces, piece)[5:] == [Event(6, "jump-untie", 2, 1), Event(7, "jump-tie", 1, 1)]
    assert seen == end_of(pieces, piece)
    assert seen.number == 7
    assert pieces.get(piece).done == 2
    assert [press.steps for press in pieces.presses(piece)] == [1, 3, 0, 0, 0, 0, 0]
    assert [press.steps for press in pieces.presses(piece, 6)] == [3, 0, 0, 0, 0, 0]
    assert pieces.get(piece).touched == rows("SELECT max(at) FROM event")[0][0]


def nothing_is_written(pieces: Pieces, piece: int, token: str, seen: LogEnd, error: type[Exception]) -> None:
    """Whatever this window would write to the piece, it is refused."""
    before = rows("SELECT * FROM piece"), rows("SELECT * FROM event"), rows("SELECT * FROM copy")
    changes: list[Callable[[], object]] = [
        lambda: pieces.add(piece, token, "/b.yaml", seen, [("tie", 1, 1)], 2),
        lambda: pieces.change_copy(piece, token, seen, "Other", 20, COPY, [("untie", 0, 0)], [], 0),
        lambda: pieces.change_way(piece, token, seen, Way("segments"), b"plan"),
    ]
    for change in changes:
        with pytest.raises(error) as caught:
            change()
        if isinstance(caught.value, TakenOver):
            assert caught.value.piece == piece
    assert (rows("SELECT * FROM piece"), rows("SELECT * FROM event"), rows("SELECT * FROM copy")) == before
    assert rows("SELECT * FROM plan") == []


@pytest.mark.parametrize(("token", "entries"), [("you", 2), ("me", 1)])
def test_only_a_holder_that_has_read_the_whole_log_can_add_to_it(pieces: Pieces, token: str, entries: int) -> None:
    piece = begin(pieces)
    ends = [end_of(pieces, piece)]
    ends.append(pieces.add(piece, "me", "/b.yaml", ends[0], [("tie", 1, 1)], 2))
    nothing_is_written(pieces, piece, token, ends[entries - 1], TakenOver)


@pytest.mark.parametrize("change", [lambda end: end._replace(sum=end.sum + 1), lambda end: end._replace(number=7)])
def test_nothing_is_added_to_another_log_than_the_one_that_was_read(
    pieces: Pieces, change: Callable[[LogEnd], LogEnd]
) -> None:
    # Somebody has put an older copy into the file, or the same piece of another machine.
    piece = begin(pieces)
    nothing_is_written(pieces, piece, "me", change(end_of(pieces, piece)), Gone)


def test_nothing_is_added_to_a_piece_that_is_not_there(pieces: Pieces) -> None:
    nothing_is_written(pieces, 3, "me", end_of(pieces, begin(pieces)), Gone)


def test_changing_to_another_copy(pieces: Pieces) -> None:
    piece = begin(pieces)
    other = Copy("another design", None, "a finish", 1)
    end = pieces.change_copy(
        piece, "me", end_of(pieces, piece), "Hail", 20, other, [("jump-untie", 0, 0)], [("jump-tie", 3, 3)], 1
    )
    assert end == end_of(pieces, piece)
    assert end.number == 4
    assert design_of(pieces, piece) == other
    assert pieces.get(piece)[1:6] == ("Hail", "/b.yaml", Way(), 1, 20)
    changed = [Event(2, "jump-untie", 0, 0), Event(3, "copy", 1, 1), Event(4, "jump-tie", 3, 3)]
    assert events_of(pieces, piece)[1:] == changed
    assert rows("SELECT number, design FROM copy ORDER BY number") == [(0, "the design"), (1, "another design")]


def test_holding_and_releasing_a_piece(pieces: Pieces, holder: Holder, stranger: Holder) -> None:
    piece = begin(pieces, token=holder.token)
    with pytest.raises(TakenOver) as caught:
        pieces.hold(piece, stranger.token, force=False)
    assert caught.value.piece == piece
    pieces.hold(piece, holder.token, force=False)
    pieces.let_go(piece, stranger.token)
    assert pieces.get(piece).holder == holder.token
    pieces.let_go(piece, holder.token)
    assert pieces.get(piece).holder is None
    pieces.hold(piece, stranger.token, force=False)
    assert pieces.get(piece)[2] == "/b.yaml"
    pieces.add(piece, stranger.token, "/moved.yaml", end_of(pieces, piece), [("tie", 1, 1)], 2)
    assert pieces.get(piece)[2] == "/moved.yaml"


def test_taking_over_a_piece(pieces: Pieces, holder: Holder, stranger: Holder) -> None:
    piece = begin(pieces, token=holder.token)
    pieces.hold(piece, stranger.token, force=True)
    assert pieces.get(piece).holder == stranger.token
    pieces.let_go(piece, holder.token)
    assert pieces.get(piece).holder == stranger.token


def test_a_piece_held_by_a_dead_program_is_free(pieces: Pieces, holder: Holder) -> None:
    piece = begin(pieces, token="0123456789abcdef")
    pieces.hold(piece, holder.token, force=False)
    assert pieces.get(piece).holder == holder.token


def test_no_second_piece_is_started_by_accident(pieces: Pieces, holder: Holder) -> None:
    newest = pieces.newest()
    first = begin(pieces, token=holder.token)
    for gone in (False, True):
        if gone:
            pieces.let_go(first, holder.token)
        with pytest.raises(TakenOver) as caught:
            pieces.begin("Rain", "/b.yaml", Way(), None, 9, COPY, "you", newest, TIE, 1)
        assert caught.value.piece == first
    assert len(pieces.all()) == 1
    other, _ = pieces.begin("Rain", "/other.yaml", Way(), None, 9, COPY, "you", newest, TIE, 1)
    beside, _ = pieces.begin("Rain", "/b.yaml", Way(), None, 9, COPY, "you", None, TIE, 1)
    after, _ = pieces.begin("Rain", "/b.yaml", Way(), None, 9, COPY, "you", pieces.newest(), TIE, 1)
    assert [piece.piece for piece in pieces.all()] == [after, beside, other, first]


def test_a_finished_piece_does_not_prevent_a_new_one(pieces: Pieces) -> None:
    begin(pieces, done=9)
    assert pieces.begin("Rain", "/b.yaml", Way(), None, 9, COPY, "you", 0, TIE, 1)[0] == 2


def test_pieces_are_listed_last_touched_first(pieces: Pieces) -> None:
    one, two, three = (begin(pieces, f"/{name}.yaml") for name in "abc")
    assert [piece.piece for piece in pieces.all()] == [three, two, one]
    time.sleep(0.002)
    pieces.add(one, "me", "/b.yaml", end_of(pieces, one), [("tie", 1, 1)], 2)
    assert [piece.piece for piece in pieces.all()] == [one, three, two]
    assert pieces.all()[0].touched > pieces.all()[0].started


class TestTheUnfinishedPieceOfAFile:
    """Which piece is continued."""

    @pytest.fixture
    def file(self, tmp_path: Path) -> str:
        file = tmp_path / "b.yaml"
        file.write_text("text")
        return str(file)

    def test_none(self, pieces: Pieces, file: str) -> None:
        assert pieces.unfinished_from(file, "text") is None

    def test_one_started_from_that_file_whatever_the_file_contains_now(self, pieces: Pieces, file: str) -> None:
        piece = begin(pieces, file)
        assert pieces.unfinished_from(file, "changed") == pieces.get(piece)

    def test_the_last_touched_of_several(self, pieces: Pieces, file: str) -> None:
        one, two = begin(pieces, file), begin(pieces, file)
        assert pieces.unfinished_from(file, "text") == pieces.get(two)
        time.sleep(0.002)
        pieces.add(one, "me", file, end_of(pieces, one), [("tie", 1, 1)], 2)
        assert pieces.unfinished_from(file, "text") == pieces.get(one)

    def test_not_a_finished_one_until_a_step_is_undone(self, pieces: Pieces, file: str) -> None:
        older, newer = begin(pieces, file), begin(pieces, file, done=9)
        assert pieces.get(newer).finished
        assert pieces.unfinished_from(file, "text") == pieces.get(older)
        pieces.add(newer, "me", file, end_of(pieces, newer), [("untie", 8, 8)], 8)
        assert not pieces.get(newer).finished
        assert pieces.unfinished_from(file, "text") == pieces.get(newer)

    def test_one_with_the_same_text_when_its_file_is_gone(self, pieces: Pieces, file: str, tmp_path: Path) -> None:
        gone, there = str(tmp_path / "gone.yaml"), tmp_path / "there.yaml"
        there.touch()
        copy = Copy("text", None, None, 1)
        begin(pieces, gone, copy._replace(design="other text"))
        moved = begin(pieces, gone, copy)
        begin(pieces, gone, copy, done=9)
        begin(pieces, str(there), copy)
        assert pieces.unfinished_from(file, "text") == pieces.get(moved)

    def test_not_one_with_the_same_text_while_its_file_exists(self, pieces: Pieces, file: str, tmp_path: Path) -> None:
        there = tmp_path / "there.yaml"
        there.touch()
        begin(pieces, str(there), Copy("text", None, None, 1))
        assert pieces.unfinished_from(file, "text") is None

    def test_one_started_from_that_file_comes_before_one_with_the_same_text(
        self, pieces: Pieces, file: str, tmp_path: Path
    ) -> None:
        own = begin(pieces, file, Copy("older text", None, None, 1))
        begin(pieces, str(tmp_path / "gone.yaml"), Copy("text", None, None, 1))
        assert pieces.unfinished_from(file, "text") == pieces.get(own)

    def test_the_text_compared_is_that_of_the_present_copy(self, pieces: Pieces, file: str, tmp_path: Path) -> None:
        piece = begin(pieces, str(tmp_path / "gone.yaml"), Copy("older text", None, None, 1))
        assert pieces.unfinished_from(file, "text") is None
        pieces.change_copy(piece, "me", end_of(pieces, piece), "Rain", 9, Copy("text", None, None, 1), [], [], 1)
        assert pieces.unfinished_from(file, "older text") is None
        found = pieces.unfinished_from(file, "text")
        assert found is not None
        assert found.piece == piece


def test_a_path_that_is_not_utf8_is_saved_byte_for_byte(pieces: Pieces, holder: Holder) -> None:
    file = os.fsdecode(b"/na\xefve.yaml")
    piece = begin(pieces, file)
    assert pieces.get(piece).file == file
    found = pieces.unfinished_from(file, "")
    assert found is not None
    assert found.piece == piece
    other = os.fsdecode(b"/na\xeeve.yaml")
    pieces.hold(piece, holder.token, force=True)
    pieces.add(piece, holder.token, other, end_of(pieces, piece), [("tie", 1, 1)], 2)
    assert pieces.get(piece).file == other
    with pytest.raises(TakenOver):
        pieces.begin("Rain", other, Way(), None, 9, COPY, "you", 0, TIE, 1)


def test_listing_creates_nothing(home: Path) -> None:
    assert pieces_kept(places.home()) == []
    assert not home.exists()


def test_listing_below_a_file(home: Path) -> None:
    home.write_text("a file")
    with pytest.raises(
        StoreError, match=r"pieces\.db cannot be read \(Not a directory\)\. Nothing was changed\. .* set BENCHMATE_HOME"
    ):
        pieces_kept(places.home())


def test_listing_reports_when_only_the_copy_is_left(home: Path) -> None:
    home.mkdir()
    places.home().old_copy.touch()
    with pytest.raises(StoreError, match="is missing or empty"):
        pieces_kept(places.home())
    assert not places.home().database.exists()


READS: dict[str, Callable[[Pieces, int], object]] = {
    "all": lambda pieces, _: pieces.all(),
    "get": Pieces.get,
    "copies_of": Pieces.copies_of,
    "log": lambda pieces, piece: list(pieces.log(piece)),
    "record": Pieces.record,
}
"""The ways to read a piece."""
WHEN = "'2026-11-25T07:30:00.000Z'"


@pytest.mark.parametrize(
    ("damage", "reason", "found_by"),
    [
        ("DELETE FROM copy WHERE piece = 1", "its design is missing", {"copies_of", "record"}),
        (
            "UPDATE copy SET design = 'the desigm' WHERE piece = 1",
            r"its copy of the design is not what was written|the design is not what was written",
            {"copies_of", "record"},
        ),
        (
            "UPDATE piece SET done = 2 WHERE piece = 1",
            "what is listed of it is not what was written",
            {"get", "record"},
        ),
        (
            f"INSERT INTO event VALUES (1, 2, {WHEN}, 'tie', 1, 1, 0)",
            r"its log is not what was written|its log has 2 entries, not 1",
            {"log", "record"},
        ),
        (
            f"INSERT INTO event VALUES (1, 2, {WHEN}, 'tie', 1, 1, checksum(1, 2, {WHEN}, 'tie', 1, 1))",
            "its log has 2 entries, not 1",
            {"record"},
        ),
        (
            "DROP TRIGGER event_is_never_removed; DELETE FROM event WHERE piece = 1",
            "its log has 0 entries, not 1",
            {"record"},
        ),
    ],
)
def test_a_piece_that_is_not_what_was_written(pieces: Pieces, damage: str, reason: str, found_by: set[str]) -> None:
    piece, other = begin(pieces), begin(pieces)
    with closing(sqlite3.connect(places.home().database)) as connection:
        add_checksum(connection)
        connection.executescript(damage)
    message = rf"Piece 1 in \S+pieces\.db is damaged \(({reason})\)\. Nothing was changed or deleted\. "
    for name, read in READS.items():
        if name in found_by or (name == "all" and "get" in found_by):
            with pytest.raises(Damaged, match=message):
                read(pieces, piece)
        else:
            read(pieces, piece)
        if name != "all":
            read(pieces, other)


def test_a_path_that_is_not_unicode_is_read_back_intact(pieces: Pieces) -> None:
    piece = begin(pieces, os.fsdecode(b"/na\xefve.yaml"))
    assert pieces.record(piece).file == os.fsdecode(b"/na\xefve.yaml")
    with closing(in_memory(places.home().database)) as content:
        assert damage_in(content) is None


def test_a_plan_that_is_not_what_was_written_is_made_again(pieces: Pieces) -> None:
    piece = begin(pieces)
    pieces.change_way(piece, "me", end_of(pieces, piece), Way("segments"), b"a plan")
    assert pieces.plan_of(piece) == b"a plan"
    with closing(sqlite3.connect(places.home().database)) as connection, connection:
        connection.execute("UPDATE plan SET steps = ?", (b"a plam",))
    assert pieces.plan_of(piece) is None


def expanded(events: Sequence[tuple[str, int, int]]) -> list[int]:
    """The steps of the events, one by one."""
    found: list[int] = []
    for act, first, last in events:
        found += range(first, last + 1) if act in TIES else range(first, last - 1, -1)
    return found


@seeded
@given(st.sampled_from([*TIES, *UNTIES]), st.lists(st.integers(0, 12)))
def test_ranges_contain_the_same_steps_in_the_same_order(act: str, numbers: list[int]) -> None:
    events = as_ranges(act, numbers)
    assert expanded(events) == numbers
    assert {each for each, _, _ in events} <= {act}
    step = 1 if act in TIES else -1
    assert len(events) == sum(b != a + step for a, b in pairwise(numbers)) + bool(numbers)


def log(*events: tuple[str, int, int]) -> list[Event]:
    """Events numbered as in the database."""
    return [Event(number, *event) for number, event in enumerate(events, 1)]


@seeded
@given(st.data())
def test_a_log_gives_the_state_that_its_events_lead_to(data: st.DataObject) -> None:
    # The simplest model: a list that gains or loses one step at a time.
    events: list[tuple[str, int, int]] = []
    history: list[int] = []
    marked: list[int] = []
    for _ in range(data.draw(st.integers(0, 12))):
        act = data.draw(st.sampled_from(["tie", "jump-tie", "untie", "jump-untie", "wrong", "right", "copy"]))
        if act in TIES:
            numbers = data.draw(st.lists(st.sampled_from(sorted({*range(40)} - {*history})), unique=True, max_size=3))
            history += numbers
            events += as_ranges(act, numbers)
        elif act in UNTIES and history:
            numbers = data.draw(st.lists(st.sampled_from(history), unique=True))
            for number in numbers:
                history.remove(number)
                marked = marked if {*marked} & {*history} else []
            events += as_ranges(act, numbers)
        elif act == "wrong" and history:
            marked = data.draw(st.lists(st.sampled_from(history), unique=True, min_size=1, max_size=3))
            events += [(act, number, marked[0]) for number in marked]
        elif act == "right":
            marked = []
            events.append((act, 3, 3))
        elif act == "copy":
            events.append((act, 1, 1))
    found = read_log(log(*events))
    assert (found.history, [*found.marked]) == (history, marked)


def test_steps_undone_on_the_way_to_a_wrong_knot() -> None:
    tied = ("tie", 0, 9)
    assert read_log(log(tied, ("untie", 9, 8))).taken_out == []
    assert read_log(log(tied, ("wrong", 2, 2), ("untie", 9, 8))).taken_out == [9, 8]
    assert read_log(log(tied, ("wrong", 2, 2), ("untie", 9, 8), ("tie", 8, 8))).taken_out == [9]
    assert read_log(log(tied, ("wrong", 2, 2), ("untie", 9, 2))).taken_out == []
    assert read_log(log(tied, ("wrong", 2, 2), ("untie", 9, 8), ("right", 2, 2))).taken_out == []
    assert read_log(log(tied, ("wrong", 2, 2), ("untie", 9, 9), ("right", 2, 2), ("wrong", 3, 3))).taken_out == []


def test_a_second_mark_takes_the_place_of_the_first_and_steps_marked_together_say_so() -> None:
    tied = ("tie", 0, 9)
    two = read_log(log(tied, ("wrong", 2, 2), ("wrong", 3, 3)))
    assert two.marked == (3,)
    too = [("wrong", 5, 5), ("wrong", 2, 5), ("wrong", 3, 5)]
    assert read_log(log(tied, *too)).marked == (5, 2, 3)
    on_the_way = read_log(log(tied, *too, ("untie", 9, 5)))
    assert (on_the_way.marked, on_the_way.taken_out) == ((5, 2, 3), [9, 8, 7, 6, 5])
    assert read_log(log(tied, *too, ("untie", 9, 3))).marked == (5, 2, 3)
    out = read_log(log(tied, *too, ("untie", 9, 2)))
    assert (out.marked, out.taken_out) == ((), []), "the last of them is out"
    again = read_log(log(tied, *too, ("wrong", 4, 4)))
    assert again.marked == (4,)


@pytest.mark.parametrize(
    "events",
    [
        [Event(1, "tie", 0, 3), Event(3, "tie", 4, 4)],
        [Event(2, "tie", 0, 3)],
        [Event(1, "tied", 0, 3)],
        [Event(1, "untie", 0, 0)],
        [Event(1, "tie", 0, 3), Event(2, "untie", 4, 4)],
        [Event(1, "wrong", 0, 0)],
        [Event(1, "tie", 0, 3), Event(2, "wrong", 0, 1)],
        [Event(1, "tie", 0, 3), Event(2, "wrong", 1, 1), Event(3, "wrong", 5, 1)],
        [Event(1, "tie", 0, 1 << 40)],
        [Event(1, "tie", 0, MOST_NUMBERS)],
        [Event(1, "tie", -1, 0)],
    ],
)
def test_impossible_logs_are_refused(events: list[Event]) -> None:
    with pytest.raises(ValueError, match=r"log|list|wrong"):
        read_log(events)
