"""The box: the skeins and offcuts that the maker owns, and the log of every change to it."""

import json
import re
import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing, contextmanager
from decimal import Decimal
from typing import NamedTuple

from benchmate.craft.thread.box_thread import MOST_THREADS, BoxThread
from benchmate.craft.wording.counting import counted
from benchmate.store.checksum import intact, seal
from benchmate.store.database import Database, opened_to_read
from benchmate.store.errors import Damaged, NotSaved, StoreError, damaged, explained
from benchmate.store.inspection import Damage
from benchmate.store.pieces import utc_now
from benchmate.store.places import Home
from benchmate.store.thread.intact_rows import IntactRows, intact_rows_of

AGAIN = "Nothing was changed. Look at the box again, then try again."


class NoSuchThread(StoreError):
    """The box has no thread of this number."""

    def __init__(self, number: int) -> None:
        super().__init__(f"There is no thread {number} in your box. Nothing was changed.")
        self.number = number


class ChangedMeanwhile(StoreError):
    """A thread was changed in another window since this one has seen it; nothing was changed."""


class BoxFull(StoreError):
    """There is no room for another thread; nothing was changed."""


class CannotUndo(StoreError):
    """A change to the box cannot be undone; the text says why."""


class _State(NamedTuple):
    """A thread as a booking keeps it. `out` is 1 where it is in the box no longer."""

    name: str
    colour: str
    kind: str
    mm: float
    whole: int
    price: str | None
    out: int

    @property
    def text(self) -> str:
        """This as it is kept."""
        return json.dumps(self, ensure_ascii=True)


_COLUMNS = ", ".join(_State._fields)
_COLOUR = re.compile("#[0-9a-f]{6}")


def threads_in(home: Home) -> list[BoxThread]:
    """What is in the box, by number, read without changing anything.

    A damaged thread is left out. Raises StoreError.
    """
    connection = opened_to_read(home)
    if connection is None:
        return []
    with closing(connection), explained(home):
        return _threads(home, connection)


def damage_of(home: Home) -> Damaged | None:
    """The error for the first part of the box and the gauges that is not what was written. Raises StoreError."""
    connection = opened_to_read(home)
    if connection is None:
        return None
    with closing(connection), explained(home):
        damages = IntactRows(connection).damages
    return damaged(home, Damage(damages[0], beside=True)) if damages else None


def _threads(home: Home, connection: sqlite3.Connection) -> list[BoxThread]:
    found = []
    for number, *rest in intact_rows_of(connection, "thread", f"thread, {_COLUMNS}"):
        state = _State(*rest)
        if state.out:
            continue
        try:
            price = None if state.price is None else Decimal(state.price)
        except ArithmeticError as error:
            raise _impossible(home, number) from error
        if not _COLOUR.fullmatch(state.colour):
            raise _impossible(home, number)
        found.append(BoxThread(number, state.name, state.colour, state.kind, state.mm, bool(state.whole), price))
    return found


def _impossible(home: Home, number: int) -> Damaged:
    return damaged(home, Damage(f"thread {number} in the box is not one that this program writes", beside=True))


def _state(thread: BoxThread, out: int = 0) -> _State:
    price = None if thread.price is None else str(thread.price)
    # The checksum is of the value as the database gives it back, always a float.
    return _State(thread.name, thread.colour, thread.kind, float(thread.mm), int(thread.whole), price, out)


class Box:
    """The box, to change it. Every change is one booking, whole or not at all, and can be undone.

    Every method raises StoreError. A thread that another window has changed since `threads` was called is not changed:
    ChangedMeanwhile is raised.
    """

    def __init__(self, database: Database) -> None:
        self._database = database
        self._connection = database.connection
        self._seen: dict[int, _State] = {}

    def threads(self) -> list[BoxThread]:
        """What is in the box, by number. A damaged thread is left out."""
        with self._database.reading():
            found = _threads(self._database.home, self._connection)
        self._seen = {thread.number: _state(thread) for thread in found}
        return found

    def thread(self, number: int) -> BoxThread:
        """One thread in the box. Raises NoSuchThread."""
        for thread in self.threads():
            if thread.number == number:
                return thread
        raise NoSuchThread(number)

    def add(self, threads: Sequence[BoxThread], why: str | None = None) -> list[int]:
        """Puts threads in, with numbers of their own, which are returned. `why` is what the change is called."""
        one = threads[0].name if len({thread.name for thread in threads}) == 1 else ""
        with self._booking(why or f"added {one or counted(len(threads), 'thread')}") as booking:
            return [booking.add(_state(thread)) for thread in threads]

    def change(self, thread: BoxThread) -> None:
        """Corrects a thread. Raises NoSuchThread."""
        with self._booking(f"changed {thread.name}") as booking:
            booking.change(thread.number, _state(thread))

    def take_out(self, *numbers: int) -> None:
        """Takes threads out of the box. Raises NoSuchThread."""
        with self._booking(f"took out thread {' and '.join(map(str, numbers))}") as booking:
            for number in dict.fromkeys(numbers):
                booking.change(number, booking.state(number)._replace(out=1))

    def replace(self, threads: Sequence[BoxThread], why: str) -> list[int]:
        """Takes everything out and puts these threads in, with numbers of their own, which are returned."""
        with self._booking(why) as booking:
            for thread in _threads(self._database.home, self._connection):
                booking.change(thread.number, _state(thread, out=1))
            return [booking.add(_state(thread)) for thread in threads]

    def book(self, why: str, left: Mapping[int, float], put_back: Sequence[BoxThread], piece: int | None) -> int:
        """Books what a piece used: what is `left` of each thread cut into (0: nothing), and offcuts put back.

        Returns the number of the booking. Raises NoSuchThread.
        """
        with self._booking(why, piece) as booking:
            for number, mm in sorted(left.items()):
                booking.change(number, booking.state(number)._replace(mm=float(mm), whole=0, out=int(mm <= 0)))
            for thread in put_back:
                booking.add(_state(thread))
        return booking.number

    def undo(self, booking: int) -> None:
        """Undoes a booking. Raises CannotUndo when a later one changed the same thread, or it is undone already."""
        query = f"SELECT undone, threads, {intact('booking')} FROM booking WHERE booking = ?"
        try:
            with self._database.writing():
                row = self._connection.execute(query, (booking,)).fetchone()
                if row is None:
                    raise CannotUndo(f"There is no change {booking} to undo. Nothing was changed.")
                if row[0]:
                    raise CannotUndo("This change is undone already. Nothing was changed.")
                self._put_back(booking, row[1] if row[2] else -1)
        except NotSaved:
            # Where the disk fails in the last moment, it is saved although SQLite reports a failure.
            with explained(self._database.home):
                row = self._connection.execute(query, (booking,)).fetchone()
            if row is None or not row[0]:
                raise
        self._seen = {}

    def _put_back(self, booking: int, threads: int) -> None:
        """Every thread of a booking as it was before it."""
        query = f"SELECT thread, before, after FROM booked WHERE booking = ? AND {intact('booked')} ORDER BY thread"
        rows = self._connection.execute(query, (booking,)).fetchall()
        if len(rows) != threads:
            raise CannotUndo(
                "What is kept of this change is damaged, so it cannot be undone. Nothing was changed. Correct the box "
                "with benchmate box change."
            )
        for number, before, after in rows:
            now = _kept_state(self._connection, number)
            if now is None or now.text != after:
                called = "" if now is None else f" ({now.name})"
                raise CannotUndo(
                    f"Thread {number}{called} was changed later, so this change cannot be undone. Nothing was changed. "
                    "Undo the later change first."
                )
            # Its number stays its own for good, so one that was added is taken out.
            state = now._replace(out=1) if before is None else _State(*json.loads(before))
            _put_state(self._connection, number, state)
        self._connection.execute("UPDATE booking SET undone = 1 WHERE booking = ?", (booking,))
        self._connection.execute(f"{seal('booking')} WHERE booking = ?", (booking,))

    def last_booking(self) -> tuple[int, str] | None:
        """The last booking that was not undone: its number and what it was for."""
        with self._database.reading():
            row = self._connection.execute(
                f"SELECT booking, why FROM booking WHERE NOT undone AND {intact('booking')}"
                " ORDER BY booking DESC LIMIT 1"
            ).fetchone()
        return None if row is None else (row[0], row[1])

    @contextmanager
    def _booking(self, why: str, piece: int | None = None) -> "Iterator[_Writing]":
        """A booking, saved at the end with all its threads, or not at all."""
        writing = _Writing(self._connection, self._seen)
        at = utc_now()
        try:
            with self._database.writing():
                yield writing
                writing.save(at, why, piece)
        except NotSaved:
            # As in `undo`.
            if not writing.number or not self._has(writing.number, at, why):
                raise
        # What is read next is what was written here.
        for number in writing.states:
            self._seen.pop(number, None)

    def _has(self, booking: int, at: str, why: str) -> bool:
        with explained(self._database.home):
            row = self._connection.execute("SELECT at, why FROM booking WHERE booking = ?", (booking,)).fetchone()
        return bool(row == (at, why))


class _Writing:
    """The threads of one booking, before and after it."""

    def __init__(self, connection: sqlite3.Connection, seen: Mapping[int, _State]) -> None:
        self._connection = connection
        self._seen = seen
        self.number = 0
        self.states: dict[int, tuple[_State | None, _State]] = {}

    def state(self, number: int) -> _State:
        """A thread in the box as it is now. Raises NoSuchThread and ChangedMeanwhile."""
        now = _kept_state(self._connection, number)
        seen = self._seen.get(number)
        if now is None or (now.out and seen is None):
            raise NoSuchThread(number)
        if seen is not None and seen != now:
            raise ChangedMeanwhile(f"Thread {number} ({seen.name}) was changed in another window. {AGAIN}")
        return now

    def change(self, number: int, state: _State) -> None:
        """Changes a thread in the box."""
        self.states[number] = (self.state(number), state)
        _put_state(self._connection, number, state)

    def add(self, state: _State) -> int:
        """Puts a thread in; returns its number."""
        places = ", ".join("?" * len(state))
        cursor = self._connection.execute(f"INSERT INTO thread ({_COLUMNS}) VALUES ({places})", state)
        number = int(cursor.lastrowid or 0)
        self._connection.execute(f"{seal('thread')} WHERE thread = ?", (number,))
        self.states[number] = (None, state)
        return number

    def save(self, at: str, why: str, piece: int | None) -> None:
        """Writes the booking. Raises BoxFull."""
        (many,) = self._connection.execute("SELECT count(*) FROM thread WHERE NOT out").fetchone()
        if many > MOST_THREADS and any(before is None for before, _ in self.states.values()):
            raise BoxFull(f"A box has at most {MOST_THREADS} threads. Nothing was changed.")
        cursor = self._connection.execute(
            "INSERT INTO booking (at, why, piece, threads) VALUES (?, ?, ?, ?)", (at, why, piece, len(self.states))
        )
        self.number = int(cursor.lastrowid or 0)
        self._connection.executemany(
            "INSERT INTO booked (booking, thread, before, after) VALUES (?, ?, ?, ?)",
            [
                (self.number, number, None if before is None else before.text, after.text)
                for number, (before, after) in self.states.items()
            ],
        )
        for table in "booking", "booked":
            self._connection.execute(f"{seal(table)} WHERE booking = ?", (self.number,))


def _kept_state(connection: sqlite3.Connection, number: int) -> _State | None:
    """A thread as it is kept, in the box or out of it; None for one that is not there or damaged."""
    query = f"SELECT {_COLUMNS} FROM thread WHERE thread = ? AND {intact('thread')}"
    row = connection.execute(query, (number,)).fetchone()
    return None if row is None else _State(*row)


def _put_state(connection: sqlite3.Connection, number: int, state: _State) -> None:
    assigned = ", ".join(f"{column} = ?" for column in _State._fields)
    connection.execute(f"UPDATE thread SET {assigned} WHERE thread = ?", (*state, number))
    connection.execute(f"{seal('thread')} WHERE thread = ?", (number,))
