"""Reading the pieces in the database, and checking that each is what was written."""

import os
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing
from datetime import datetime
from typing import NamedTuple

from benchmate.craft.float_rules import KnotSize
from benchmate.craft.pace import Press
from benchmate.craft.trouble.made_otherwise import Made
from benchmate.craft.ways import Way
from benchmate.store.checksum import intact
from benchmate.store.database import opened_to_read
from benchmate.store.errors import Damaged, damaged, explained
from benchmate.store.inspection import Damage
from benchmate.store.log import Event, LogEnd, LogEntry, read_log
from benchmate.store.places import Home
from benchmate.store.thread.thread_told import ThreadTold, told_in


class Arrangement(NamedTuple):
    """How its maker keeps a piece, apart from the work on it.

    `name` is a name of its own, in place of its design's title. A piece put aside is not among those to continue; a
    deleted one is in the bin. `changes` counts how often any of that was changed.
    """

    name: str | None = None
    aside: bool = False
    deleted: bool = False
    changes: int = 0

    def merged_with(self, theirs: "Arrangement") -> "Arrangement":
        """How a piece is kept after it came from another machine: as where that was changed more often.

        A piece that is not deleted there comes out of the bin here: whoever takes it in wants it.
        """
        later = theirs if theirs.changes > self.changes else self
        if later.deleted and not theirs.deleted:
            return later._replace(deleted=False, changes=later.changes + 1)
        return later


class Piece(NamedTuple):
    """A piece as listed. Times are UTC, `2026-11-25T07:30:00.000Z`.

    `title` is its own name if it has one, otherwise its design's title. `planned` counts the changes of its way of
    working or its plan, `entries` those of its log.
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
    entries: int
    arrangement: Arrangement = Arrangement()

    @property
    def finished(self) -> bool:
        """True when every step is tied."""
        return self.done == self.size


class Copy(NamedTuple):
    """A piece's own copy of its design: the texts of the design, its start and its finish, and the repeats.

    Where the last repeat is not whole, `repeats` is the number of rows in all, negated.
    """

    design: str
    start: str | None
    finish: str | None
    repeats: int

    @property
    def rows(self) -> int | None:
        """The row that the piece ends after; None where its repeats are whole."""
        return None if self.repeats > 0 else -self.repeats


class PieceRecord(NamedTuple):
    """Everything that is kept of a piece, without its number and its plan.

    `title` is its design's, `copies` are its designs, oldest first. `knot_size` is as in `PieceReader.knot_size_of`,
    `told` what is known of its thread, which is from no box.
    """

    title: str
    file: str
    started: str
    touched: str
    way: Way
    copies: list[tuple[str, Copy]]
    log: list[LogEntry]
    told: ThreadTold
    arrangement: Arrangement = Arrangement()
    knot_size: KnotSize | None = None


class PieceReader:
    """Reads pieces over a connection. Every method raises StoreError when the database cannot be used.

    What is not what was written is Damaged.
    """

    def __init__(self, home: Home, connection: sqlite3.Connection) -> None:
        self.home = home
        self._connection = connection

    def all(self) -> list[Piece]:
        """Every piece, last touched first; those in the bin too."""
        return self._listed("ORDER BY touched DESC, piece DESC")

    def readable(self) -> tuple[list[Piece], Damaged | None]:
        """Every piece that is what was written, last touched first; the error for the first that is not."""
        error: Damaged | None = None
        found: list[Piece] = []
        for number in self._numbers():
            try:
                found.append(self.get(number))
            except Damaged as damage:
                error = error or damage
        return found, error

    def touched_since(self, since: str, most: int) -> list[int]:
        """The numbers of the pieces touched since a time as in the log, at most so many, last touched first."""
        query = "SELECT piece FROM piece WHERE touched >= ? ORDER BY touched DESC, piece DESC LIMIT ?"
        with explained(self.home):
            rows = self._connection.execute(query, (since, most)).fetchall()
        return [piece for (piece,) in rows]

    def _numbers(self) -> list[int]:
        with explained(self.home):
            rows = self._connection.execute("SELECT piece FROM piece ORDER BY touched DESC, piece DESC").fetchall()
        return [piece for (piece,) in rows]

    def get(self, piece: int) -> Piece:
        """One piece by its number."""
        found = self._listed("WHERE piece = ?", (piece,))
        if not found:
            raise self.damage("it is missing", piece)
        return found[0]

    def unfinished_from(self, file: str, text: str) -> Piece | None:
        """The piece to continue for the design in `file`: of the unfinished ones started from it, the last touched.

        When there is none, one started from a file with the same text that no longer exists.
        """
        unfinished = "done < size AND NOT deleted"
        latest = "ORDER BY touched DESC, piece DESC"
        here = self._listed(f"WHERE {unfinished} AND file = CAST(? AS TEXT) {latest} LIMIT 1", (path_bytes(file),))
        if here:
            return here[0]
        same = (
            f"WHERE {unfinished} AND (SELECT design FROM copy WHERE copy.piece = piece.piece"
            f" ORDER BY number DESC LIMIT 1) = ? {latest}"
        )
        return next((piece for piece in self._listed(same, (text,)) if not os.path.exists(piece.file)), None)

    def newest(self) -> int:
        """The number of the piece started last; 0 when there is none."""
        with explained(self.home):
            (number,) = self._connection.execute("SELECT coalesce(max(piece), 0) FROM piece").fetchone()
        return int(number)

    def _listed(self, which: str, values: Sequence[object] = ()) -> list[Piece]:
        columns = (
            "piece, title, CAST(file AS BLOB), done, size, started, touched, holder, planned, entries,"
            f" way, from_right, mirrored, name, aside, deleted, arranged, {intact('piece')}"
        )
        with explained(self.home):
            rows = self._connection.execute(f"SELECT {columns} FROM piece {which}", values).fetchall()
        for piece, *_, is_intact in rows:
            if not is_intact:
                raise self.damage("what is listed of it is not what was written", piece)
        found = []
        for piece, title, file, done, size, started, touched, holder, planned, entries, *kept, _ in rows:
            by, from_right, mirrored, name, aside, deleted, changes = kept
            way = Way(by, bool(from_right), bool(mirrored))
            arrangement = Arrangement(name, bool(aside), bool(deleted), changes)
            called, path = name or title, _path_text(file)
            piece = Piece(piece, called, path, way, done, size, started, touched, holder, planned, entries, arrangement)
            found.append(piece)
        return found

    def copies_of(self, piece: int) -> list[tuple[str, Copy]]:
        """The designs of a piece, each with the time from when it was used; the last is the one it uses now."""
        query = f"SELECT at, design, start, finish, repeats, {intact('copy')} FROM copy WHERE piece = ? ORDER BY number"
        with explained(self.home):
            rows = self._connection.execute(query, (piece,)).fetchall()
        if not rows:
            raise self.damage("its design is missing", piece)
        if not all(is_intact for *_, is_intact in rows):
            raise self.damage("its copy of the design is not what was written", piece)
        return [(at, Copy(*copy)) for at, *copy, _ in rows]

    def check_entries(self, row: Piece) -> None:
        """Raises Damaged when the log of a piece has not the entries that were written, from 1 on."""
        query = "SELECT count(*), max(number) FROM event WHERE piece = ?"
        with explained(self.home):
            count, last = self._connection.execute(query, (row.piece,)).fetchone()
        if count != row.entries:
            raise self.damage(f"its log has {count} entries, not {row.entries}", row.piece)
        if count != last:
            raise self.damage(f"an entry of its log before entry {last} is missing", row.piece)

    def log(self, piece: int) -> Iterator[LogEntry]:
        """The log of a piece, entry by entry: a long one would take much memory at once."""
        query = f"SELECT number, at, act, first, last, {intact('event')} FROM event WHERE piece = ? ORDER BY number"
        with explained(self.home):
            rows = self._connection.execute(query, (piece,))
            for place, (number, *entry, is_intact) in enumerate(rows, 1):
                if number != place:
                    raise self.damage(f"entry {place} of its log is not in its place", piece)
                if not is_intact:
                    raise self.damage("its log is not what was written", piece)
                yield LogEntry(*entry)

    def log_end(self, piece: int, number: int) -> LogEnd:
        """The last entry of a log, of which `number` is the number."""
        query = "SELECT number, sum, at FROM event WHERE piece = ? AND number = ?"
        with explained(self.home):
            row = self._connection.execute(query, (piece, number)).fetchone()
        if row is None:
            raise self.damage(f"entry {number} of its log is missing", piece)
        return LogEnd(*row)

    def presses(self, piece: int, count: int = 60, *, since: str = "") -> list[Press]:
        """The last presses of a piece, oldest first, for the maker's pace; a press that tied nothing has 0 steps.

        With `since`, a time as in the log, only presses from then on.
        """
        query = "SELECT at, act, first, last FROM event WHERE piece = ? AND at >= ? ORDER BY number DESC LIMIT ?"
        with explained(self.home):
            rows = self._connection.execute(query, (piece, since, count)).fetchall()
        try:
            return [
                Press(datetime.fromisoformat(at).timestamp(), last - first + 1 if act == "tie" else 0, min(first, last))
                for at, act, first, last in reversed(rows)
            ]
        except (ValueError, OverflowError) as error:
            raise self.damage("a time in its log cannot be read", piece) from error

    def plan_of(self, piece: int) -> bytes | None:
        """The packed plan of a piece, if there is one that is intact; any other can be made again."""
        query = f"SELECT steps, {intact('plan')} FROM plan WHERE piece = ?"
        with explained(self.home):
            row = self._connection.execute(query, (piece,)).fetchone()
        return bytes(row[0]) if row is not None and row[1] else None

    def knot_size_of(self, piece: int) -> KnotSize | None:
        """The size of knots by which the leading strings of a piece were planned; None for that of the usual gauge."""
        query = f"SELECT wide, high, {intact('knot_size')} FROM knot_size WHERE piece = ?"
        with explained(self.home):
            row = self._connection.execute(query, (piece,)).fetchone()
        return KnotSize(row[0], row[1]) if row is not None and row[2] else None

    def altered_of(self, piece: int) -> dict[int, Made]:
        """The steps of a piece that were or will be made otherwise than charted.

        The log of a piece without any is only looked through, not read.
        """
        query = "SELECT 1 FROM event WHERE piece = ? AND act IN ('made', 'change') LIMIT 1"
        with explained(self.home):
            found = self._connection.execute(query, (piece,)).fetchone()
        if found is None:
            return {}
        try:
            events = (Event(number, *entry[1:]) for number, entry in enumerate(self.log(piece), 1))
            return read_log(events).altered.all
        except ValueError as error:
            raise self.damage("its log does not fit its design", piece) from error

    def told_of(self, piece: int) -> ThreadTold:
        """What is known of the thread of a piece."""
        with explained(self.home):
            return told_in(self._connection, piece)

    def record(self, piece: int) -> PieceRecord:
        """Everything that is kept of a piece."""
        row = self.get(piece)
        self.check_entries(row)
        with explained(self.home):
            (title,) = self._connection.execute("SELECT title FROM piece WHERE piece = ?", (piece,)).fetchone()
        told = self.told_of(piece)
        return PieceRecord(
            title,
            row.file,
            row.started,
            row.touched,
            row.way,
            self.copies_of(piece),
            list(self.log(piece)),
            # The box, and the numbers of the threads in it, stay at home.
            told.without_threads,
            row.arrangement,
            self.knot_size_of(piece),
        )

    def damage(self, why: str, piece: int) -> Damaged:
        """The error for a piece that is not what was written, or contradicts itself."""
        return damaged(self.home, Damage(why, piece))


def path_bytes(path: str) -> bytes:
    """A path as stored: as bytes, so that a path that is not UTF-8 survives unchanged."""
    return path.encode("utf-8", "surrogateescape")


def _path_text(stored: bytes) -> str:
    return stored.decode("utf-8", "surrogateescape")


def pieces_kept(home: Home) -> list[Piece]:
    """Every piece but those in the bin, last touched first. Changes nothing, and needs no free space.

    Raises StoreError.
    """
    connection = opened_to_read(home)
    if connection is None:
        return []
    with closing(connection):
        return [piece for piece in PieceReader(home, connection).all() if not piece.arrangement.deleted]
