"""The pieces in the database, and the log of every press that changed one."""

import os
from collections.abc import Iterable, Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import NamedTuple

from benchmate.craft.pace import Press
from benchmate.craft.ways import Way
from benchmate.store.database import StoreError, connect, damaged, explained, writing
from benchmate.store.holders import is_alive
from benchmate.store.log import Event


class Piece(NamedTuple):
    """A piece as listed. Times are UTC, `2026-11-25T07:30:00.000Z`.

    `planned` counts the changes of its way of working or its plan.
    """

    piece: int
    title: str
    file: str
    way: Way
    done: int
    size: int
    started: str
    touched: str
    holder: str | None
    planned: int

    @property
    def finished(self) -> bool:
        """True when every step is tied."""
        return self.done == self.size


class Copy(NamedTuple):
    """A piece's own copy of its design: the texts of the design, its start and its finish, and the repeats."""

    design: str
    start: str | None
    finish: str | None
    repeats: int


class TakenOver(Exception):
    """Another window holds the piece, so nothing was written. `piece` is its number."""

    def __init__(self, piece: int) -> None:
        super().__init__(f"piece {piece} is open in another window")
        self.piece = piece


class Pieces:
    """The pieces in the database at `file`. Every method raises StoreError when the database cannot be used."""

    def __init__(self, file: Path, copy: Path, holders: Path) -> None:
        self.file = file
        self._copy = copy
        self._holders = holders
        self._connection = connect(file, copy)

    def close(self) -> None:
        """Closes the database."""
        self._connection.close()

    def _explained(self) -> AbstractContextManager[None]:
        return explained(self.file, self._copy)

    @contextmanager
    def snapshot(self) -> Iterator[None]:
        """Everything read inside is from the same moment, whatever other windows write."""
        with self._explained():
            self._connection.execute("BEGIN")
            try:
                yield
            finally:
                if self._connection.in_transaction:
                    self._connection.execute("COMMIT")

    def all(self) -> list[Piece]:
        """Every piece, last touched first."""
        return self._listed("ORDER BY touched DESC, piece DESC")

    def get(self, piece: int) -> Piece:
        """One piece by its number."""
        found = self._listed("WHERE piece = ?", (piece,))
        if not found:
            raise self.damage(f"piece {piece} is missing")
        return found[0]

    def unfinished_from(self, file: str, text: str) -> Piece | None:
        """The piece to continue for the design in `file`: of the unfinished ones started from it, the last touched.

        When there is none, one started from a file with the same text that no longer exists.
        """
        unfinished = "done < size"
        latest = "ORDER BY touched DESC, piece DESC"
        here = self._listed(f"WHERE {unfinished} AND file = CAST(? AS TEXT) {latest} LIMIT 1", (_path_bytes(file),))
        if here:
            return here[0]
        same = (
            f"WHERE {unfinished} AND (SELECT design FROM copy WHERE copy.piece = piece.piece"
            f" ORDER BY number DESC LIMIT 1) = ? {latest}"
        )
        return next((piece for piece in self._listed(same, (text,)) if not os.path.exists(piece.file)), None)

    def newest(self) -> int:
        """The number of the piece started last; 0 when there is none."""
        with self._explained():
            (number,) = self._connection.execute("SELECT coalesce(max(piece), 0) FROM piece").fetchone()
        return int(number)

    def _listed(self, which: str, values: Sequence[object] = ()) -> list[Piece]:
        columns = (
            "piece, title, CAST(file AS BLOB), way, from_right, mirrored, done, size, started, touched, holder, planned"
        )
        with self._explained():
            rows = self._connection.execute(f"SELECT {columns} FROM piece {which}", values).fetchall()
        return [
            Piece(piece, title, _path_text(file), Way(by, bool(from_right), bool(mirrored)), *rest)
            for piece, title, file, by, from_right, mirrored, *rest in rows
        ]

    def copy_of(self, piece: int) -> Copy:
        """The design copy the piece uses now."""
        query = "SELECT design, start, finish, repeats FROM copy WHERE piece = ? ORDER BY number DESC LIMIT 1"
        with self._explained():
            row = self._connection.execute(query, (piece,)).fetchone()
        if row is None:
            raise self.damage(f"the design of piece {piece} is missing")
        return Copy(*row)

    def events(self, piece: int, after: int = 0) -> list[Event]:
        """The log of a piece after entry number `after`."""
        query = "SELECT number, act, first, last FROM event WHERE piece = ? AND number > ? ORDER BY number"
        with self._explained():
            return [Event(*row) for row in self._connection.execute(query, (piece, after))]

    def presses(self, piece: int, count: int = 60) -> list[Press]:
        """The last presses of a piece, oldest first, for the maker's pace; a press that tied nothing has 0 steps."""
        query = "SELECT at, act, first, last FROM event WHERE piece = ? ORDER BY number DESC LIMIT ?"
        with self._explained():
            rows = self._connection.execute(query, (piece, count)).fetchall()
        try:
            return [
                Press(datetime.fromisoformat(at).timestamp(), last - first + 1 if act == "tie" else 0)
                for at, act, first, last in reversed(rows)
            ]
        except (ValueError, OverflowError) as error:
            raise self.damage(f"a time in the log of piece {piece} cannot be read") from error

    def damage(self, why: str) -> StoreError:
        """The error for saved data that contradicts itself."""
        return damaged(self.file, self._copy, why)

    def hold(self, piece: int, token: str, *, force: bool) -> None:
        """Makes `token` the holder of a piece.

        Raises TakenOver when another program that is still running holds it, unless `force`.
        """
        with self._explained(), writing(self._connection):
            (holder,) = self._connection.execute("SELECT holder FROM piece WHERE piece = ?", (piece,)).fetchone()
            if holder not in (None, token) and not force and is_alive(self._holders, holder):
                raise TakenOver(piece)
            self._connection.execute("UPDATE piece SET holder = ? WHERE piece = ?", (token, piece))

    def let_go(self, piece: int, token: str) -> None:
        """Releases the piece if the program with this token holds it."""
        with self._explained(), writing(self._connection):
            self._connection.execute("UPDATE piece SET holder = NULL WHERE piece = ? AND holder = ?", (piece, token))

    def begin(
        self,
        title: str,
        file: str,
        way: Way,
        plan: bytes | None,
        size: int,
        copy: Copy,
        token: str,
        newest: int | None,
        events: Iterable[tuple[str, int, int]],
        done: int,
    ) -> tuple[int, int]:
        """Adds a new piece with its first events; returns its number and the number of its last event.

        `newest` is the newest piece at the time the design was opened. When another window has since started a piece
        from the same file that is still unfinished, TakenOver is raised and nothing is written; None skips this check.
        """
        now = utc_now()
        with self._explained(), writing(self._connection):
            if newest is not None:
                self._refuse_second(file, newest)
            cursor = self._connection.execute(
                "INSERT INTO piece (title, file, started, touched, done, size, way, from_right, mirrored, holder)"
                " VALUES (?, CAST(? AS TEXT), ?, ?, ?, ?, ?, ?, ?, ?)",
                (title, _path_bytes(file), now, now, done, size, *way, token),
            )
            piece = int(cursor.lastrowid or 0)
            self._put_plan(piece, plan)
            self._connection.execute("INSERT INTO copy VALUES (?, 0, ?, ?, ?, ?, ?)", (piece, now, *copy))
            last = self._log(piece, 0, now, events)
        return piece, last

    def _refuse_second(self, file: str, newest: int) -> None:
        query = (
            "SELECT piece FROM piece WHERE file = CAST(? AS TEXT) AND piece > ? AND done < size"
            " ORDER BY touched DESC, piece DESC LIMIT 1"
        )
        row = self._connection.execute(query, (_path_bytes(file), newest)).fetchone()
        if row is not None:
            raise TakenOver(row[0])

    def add(
        self, piece: int, token: str, file: str, seen: int, events: Iterable[tuple[str, int, int]], done: int
    ) -> int:
        """Adds events to a piece's log and saves `file` as its file; returns the number of the last event.

        Raises TakenOver and writes nothing when `token` does not hold the piece or the log has entries after `seen`.
        """
        now = utc_now()
        with self._explained(), writing(self._connection):
            self._refuse_stranger(piece, token, seen)
            last = self._log(piece, seen, now, events)
            self._connection.execute(
                "UPDATE piece SET touched = ?, done = ?, file = CAST(? AS TEXT) WHERE piece = ?",
                (now, done, _path_bytes(file), piece),
            )
        return last

    def change_copy(self, piece: int, token: str, seen: int, title: str, size: int, copy: Copy) -> int:
        """Changes the piece to another copy of its design; returns the number of the event."""
        now = utc_now()
        with self._explained(), writing(self._connection):
            self._refuse_stranger(piece, token, seen)
            query = "SELECT max(number) + 1 FROM copy WHERE piece = ?"
            (number,) = self._connection.execute(query, (piece,)).fetchone()
            self._connection.execute("INSERT INTO copy VALUES (?, ?, ?, ?, ?, ?, ?)", (piece, number, now, *copy))
            last = self._log(piece, seen, now, [("copy", number, number)])
            self._connection.execute(
                "UPDATE piece SET touched = ?, title = ?, size = ? WHERE piece = ?", (now, title, size, piece)
            )
            # The plan was made for the steps of the old copy.
            self._put_plan(piece, None)
        return last

    def plan_of(self, piece: int) -> bytes | None:
        """The packed plan of a piece, if there is one."""
        with self._explained():
            row = self._connection.execute("SELECT steps FROM plan WHERE piece = ?", (piece,)).fetchone()
        return None if row is None else bytes(row[0])

    def change_way(self, piece: int, token: str, seen: int, way: Way, plan: bytes | None) -> None:
        """Saves the way a piece is worked and its plan, if it has one.

        Raises TakenOver and writes nothing when `token` does not hold the piece or the log has entries after `seen`.
        """
        with self._explained(), writing(self._connection):
            self._refuse_stranger(piece, token, seen)
            self._connection.execute(
                "UPDATE piece SET way = ?, from_right = ?, mirrored = ?, planned = planned + 1 WHERE piece = ?",
                (*way, piece),
            )
            self._put_plan(piece, plan)

    def _put_plan(self, piece: int, plan: bytes | None) -> None:
        self._connection.execute("DELETE FROM plan WHERE piece = ?", (piece,))
        if plan is not None:
            self._connection.execute("INSERT INTO plan VALUES (?, ?)", (piece, plan))

    def _refuse_stranger(self, piece: int, token: str, seen: int) -> None:
        query = (
            "SELECT holder, (SELECT max(number) FROM event WHERE event.piece = piece.piece) FROM piece WHERE piece = ?"
        )
        if self._connection.execute(query, (piece,)).fetchone() != (token, seen):
            raise TakenOver(piece)

    def _log(self, piece: int, seen: int, now: str, events: Iterable[tuple[str, int, int]]) -> int:
        for seen, event in enumerate(events, seen + 1):  # noqa: B020
            self._connection.execute("INSERT INTO event VALUES (?, ?, ?, ?, ?, ?)", (piece, seen, now, *event))
        return seen


def _path_bytes(path: str) -> bytes:
    """A path as stored: as bytes, so that a path that is not UTF-8 survives unchanged."""
    return path.encode("utf-8", "surrogateescape")


def _path_text(stored: bytes) -> str:
    return stored.decode("utf-8", "surrogateescape")


def utc_now() -> str:
    """The time now in UTC, to the millisecond: `2026-11-25T07:30:00.000Z`."""
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def pieces_kept(file: Path, copy: Path, holders: Path) -> list[Piece]:
    """Every piece, last touched first; none, and no file is made, where nothing has been saved yet."""
    try:
        file.stat()
    except FileNotFoundError:
        if not os.path.exists(copy):
            return []
    except OSError as error:
        raise StoreError(
            f"{file} cannot be read ({error.strerror}). Nothing was changed. Make its folder readable, or set "
            "BENCHMATE_HOME to another folder."
        ) from error

    pieces = Pieces(file, copy, holders)
    try:
        return pieces.all()
    finally:
        pieces.close()
