"""The box of threads: every change is one booking, and every booking can be undone in order."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as some

from benchmate.craft.thread.box_thread import BoxThread
from benchmate.craft.thread.cut_list import Length
from benchmate.store.checksum import add_checksum
from benchmate.store.database import Database
from benchmate.store.errors import NotSaved, StoreError
from benchmate.store.inspection import damages_in_file
from benchmate.store.places import Home
from benchmate.store.thread.box import Box, CannotUndo, ChangedMeanwhile, NoSuchThread, damage_of, threads_in
from benchmate.store.thread.cuts import Cut, cuts_of
from tests.charts import seeded
from tests.homes import follow, keep_cut

HARBOUR = BoxThread(0, "harbour blue", "#0b3c5d", "floss", 8000.0, True, Decimal("1.20"))
FOAM = BoxThread(0, "foam", "#f4f1de", "wool", 940.5, False)


@pytest.fixture
def at(home: Path) -> Home:
    return Home(home)


@pytest.fixture
def database(at: Home) -> Iterator[Database]:
    with closing(Database(at)) as database:
        yield database


@pytest.fixture
def box(database: Database) -> Box:
    """A box with three threads: two skeins of one colour and an offcut."""
    box = Box(database)
    assert box.add([HARBOUR, HARBOUR, FOAM]) == [1, 2, 3]
    return box


def undo_all(box: Box) -> list[str]:
    """Undoes every change, the last first; what each was for."""
    found = []
    while (last := box.last_booking()) is not None:
        box.undo(last[0])
        found.append(last[1])
    return found


def test_a_home_without_a_database_has_an_empty_box_and_gets_none_by_asking(at: Home) -> None:
    assert threads_in(at) == []
    assert damage_of(at) is None
    assert not at.folder.exists()


def test_what_is_put_in_is_there_as_it_was_written(box: Box, at: Home) -> None:
    there = [HARBOUR._replace(number=1), HARBOUR._replace(number=2), FOAM._replace(number=3)]
    assert box.threads() == there == threads_in(at)
    assert box.thread(3) == there[2]
    assert damages_in_file(at.database) == []


def test_a_number_stays_its_own_for_good(box: Box) -> None:
    box.take_out(2, 3)
    undo_all(box)
    assert box.add([FOAM]) == [4]


def test_every_change_is_undone_in_order(box: Box) -> None:
    before = box.threads()
    box.change(before[2]._replace(name="sea foam", mm=900.0, price=Decimal("0.5")))
    changed = box.threads()
    box.take_out(1)
    booking = box.book("used for a band", {2: 6120.0, 3: 0.0}, [HARBOUR._replace(mm=400.0, whole=False)], None)
    assert [(thread.number, thread.mm, thread.whole) for thread in box.threads()] == [
        (2, 6120.0, False),
        (4, 400.0, False),
    ]
    assert box.last_booking() == (booking, "used for a band")
    box.undo(booking)
    assert box.threads() == changed[1:]
    assert undo_all(box) == ["took out thread 1", "changed sea foam", "added 3 threads"]
    assert box.threads() == []


def test_a_change_whose_threads_were_changed_later_is_not_undone(box: Box) -> None:
    booking = box.book("used for a band", {1: 6120.0}, [], None)
    box.change(box.thread(1)._replace(mm=6000.0))
    there = box.threads()
    with pytest.raises(CannotUndo, match=r"^Thread 1 \(harbour blue\) was changed later, so this change cannot be"):
        box.undo(booking)
    assert box.threads() == there
    # One that concerns other threads is undone although it is not the last.
    other = box.book("another band", {2: 0.0}, [], None)
    box.take_out(3)
    box.undo(other)
    assert [thread.number for thread in box.threads()] == [1, 2]


def test_a_change_is_undone_once(box: Box) -> None:
    box.take_out(1)
    booking, _ = box.last_booking() or (0, "")
    box.undo(booking)
    with pytest.raises(CannotUndo, match="is undone already"):
        box.undo(booking)
    with pytest.raises(CannotUndo, match="There is no change 99"):
        box.undo(99)
    assert [thread.number for thread in box.threads()] == [1, 2, 3]


def test_a_thread_that_is_not_there_changes_nothing(box: Box) -> None:
    there, last = box.threads(), box.last_booking()
    for change in (
        lambda: box.change(HARBOUR._replace(number=9)),
        lambda: box.take_out(1, 9),
        lambda: box.book("a band", {1: 5.0, 9: 5.0}, [FOAM], None),
        lambda: box.thread(9),
    ):
        with pytest.raises(NoSuchThread):
            change()
        assert (box.threads(), box.last_booking()) == (there, last)
    box.take_out(1)
    with pytest.raises(NoSuchThread):
        Box(box._database).take_out(1)


def test_everything_is_replaced_in_one_change(box: Box) -> None:
    there = box.threads()
    assert box.replace([FOAM, FOAM], "imported 2 threads") == [4, 5]
    assert [thread.number for thread in box.threads()] == [4, 5]
    assert box.last_booking() == (2, "imported 2 threads")
    box.undo(2)
    assert box.threads() == there


# Two windows.


def test_what_another_window_changed_is_not_overwritten(box: Box, at: Home) -> None:
    with closing(Database(at)) as second:
        other = Box(second)
        other.threads()
        box.book("used here", {1: 5000.0}, [], None)
        for change in (
            lambda: other.book("used there", {1: 7000.0, 2: 7000.0}, [], None),
            lambda: other.change(HARBOUR._replace(number=1, name="sea")),
            lambda: other.take_out(1),
        ):
            with pytest.raises(ChangedMeanwhile, match=r"Thread 1 \(harbour blue\) was changed in another window"):
                change()
        assert [thread.mm for thread in threads_in(at)] == [5000.0, 8000.0, 940.5]
        # After looking again, it is as seen.
        other.threads()
        other.book("used there", {1: 4000.0}, [], None)
        box.threads()
        other.take_out(1)
        with pytest.raises(ChangedMeanwhile):
            box.take_out(1)


def test_both_windows_change_what_the_other_did_not(box: Box, at: Home) -> None:
    with closing(Database(at)) as second:
        other = Box(second)
        other.threads()
        box.threads()
        box.book("used here", {1: 5000.0}, [], None)
        other.book("used there", {2: 7000.0}, [FOAM], None)
        assert [(thread.number, thread.mm) for thread in box.threads()] == [
            (1, 5000.0),
            (2, 7000.0),
            (3, 940.5),
            (4, 940.5),
        ]
        assert [why for _, why in filter(None, [box.last_booking(), other.last_booking()])] == ["used there"] * 2
    assert undo_all(box) == ["used there", "used here", "added 3 threads"]


def test_while_another_window_writes_nothing_is_changed(box: Box, at: Home, monkeypatch: pytest.MonkeyPatch) -> None:
    box._connection.execute("PRAGMA busy_timeout = 1")
    with closing(sqlite3.connect(at.database, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(NotSaved, match="Another window is writing"):
            box.take_out(1)
    assert len(box.threads()) == 3


# Damage.


def spoil(at: Home, change: str) -> None:
    """Changes a row without its checksum."""
    with closing(sqlite3.connect(at.database)) as connection:
        add_checksum(connection)
        connection.execute(change)
        connection.commit()


def test_a_damaged_thread_is_left_out_and_said(box: Box, at: Home) -> None:
    spoil(at, "UPDATE thread SET mm = 1 WHERE thread = 2")
    assert [thread.number for thread in box.threads()] == [1, 3]
    assert threads_in(at) == box.threads()
    error = damage_of(at)
    assert error is not None
    assert "thread 2 in the box is not what was written" in str(error)
    with pytest.raises(NoSuchThread):
        box.take_out(2)
    box.take_out(1)
    booking, _ = box.last_booking() or (0, "")
    box.undo(booking)
    with pytest.raises(CannotUndo, match="Thread 2"):
        box.undo(1)


@pytest.mark.parametrize(
    "change",
    [
        "UPDATE booked SET after = before WHERE booking = 2 AND thread = 1",
        "DELETE FROM booked WHERE booking = 2 AND thread = 3",
        "UPDATE booking SET why = 'x' WHERE booking = 2",
        "UPDATE booked SET after = CAST(x'ff' AS TEXT) WHERE booking = 2 AND thread = 1",
    ],
)
def test_a_change_of_which_a_part_is_damaged_is_never_half_undone(box: Box, at: Home, change: str) -> None:
    box.book("a band", {1: 7000.0, 3: 0.0}, [], None)
    there = box.threads()
    spoil(at, change)
    with pytest.raises(StoreError):
        box.undo(2)
    assert box.threads() == there
    assert any("a change of the box" in damage.why for damage in damages_in_file(at.database))


def test_what_was_cut_for_a_piece_is_kept_whole_or_not_known(at: Home, home: Path, band: Path) -> None:
    follow(band, home, 1)
    cuts = [
        Cut(Length("slate", (1, 4), 1880.0), 7),
        Cut(Length("rain", (2,), 940.0)),
        Cut(Length("rain", (), 470.0, 2), 3),
    ]
    with closing(Database(at)) as database:
        assert cuts_of(database, 1) is None
        keep_cut(database, 1, "floss", cuts[:1])
        keep_cut(database, 1, "wool", cuts)
        assert cuts_of(database, 1) == ("wool", cuts)
        for change in (
            "UPDATE cut SET mm = 1 WHERE number = 1",
            "DELETE FROM cut WHERE number = 2",
            "UPDATE cut SET colour = CAST(x'ff' AS TEXT)",
        ):
            keep_cut(database, 1, "wool", cuts)
            spoil(at, change)
            assert cuts_of(database, 1) is None
            # As with a plan, the piece is whole without it.
            assert damages_in_file(at.database) == []
    assert follow(band, home).status == 0


# Any order of changes, undone, ends where it began.

NAMES = some.text(some.characters(exclude_categories=("Cs", "Cc")), min_size=1, max_size=20)
THREADS = some.builds(
    BoxThread,
    some.just(0),
    NAMES,
    some.sampled_from(["#0b3c5d", "#f4f1de"]),
    some.sampled_from(["floss", "wool"]),
    some.floats(0.1, 1e7),
    some.booleans(),
    some.none() | some.decimals(0, 999, places=2),
)


@settings(seeded, max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(some.data())
def test_any_changes_undone_end_where_they_began(tmp_path: Path, data: some.DataObject) -> None:
    at = Home(tmp_path / f"home{len(list(tmp_path.iterdir()))}")
    with closing(Database(at)) as database:
        database.connection.execute("PRAGMA synchronous = OFF")
        box = Box(database)
        states: list[list[BoxThread]] = [[]]
        for _ in range(data.draw(some.integers(1, 8))):
            there = box.threads()
            kind = data.draw(some.sampled_from(["add", "change", "take", "book"])) if there else "add"
            if kind == "add":
                added = data.draw(some.lists(THREADS, min_size=1, max_size=3))
                numbers = box.add(added)
                expected = [
                    *there,
                    *(each._replace(number=number) for each, number in zip(added, numbers, strict=True)),
                ]
            else:
                one = data.draw(some.sampled_from(there))
                if kind == "change":
                    fresh = data.draw(THREADS)._replace(number=one.number)
                    box.change(fresh)
                elif kind == "take":
                    fresh = None
                    box.take_out(one.number)
                else:
                    left = data.draw(some.floats(0, 1e6))
                    fresh = one._replace(mm=left, whole=False) if left else None
                    box.book("a band", {one.number: left}, [], 3)
                places = (fresh if each == one else each for each in there)
                expected = [each for each in places if each is not None]
            states.append(expected)
            assert box.threads() == states[-1]
        assert damages_in_file(at.database) == []
        for state in reversed(states[:-1]):
            last = box.last_booking()
            assert last is not None
            box.undo(last[0])
            assert box.threads() == state
        assert box.last_booking() is None
        assert damages_in_file(at.database) == []
