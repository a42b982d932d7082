"""The pieces in the database, and the log of every press that changed one."""

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from enum import Enum
from typing import NamedTuple

from benchmate.craft.float_rules import KnotSize
from benchmate.craft.ways import Way
from benchmate.store.database import Database, gone
from benchmate.store.errors import Damaged, NotSaved, StoreError
from benchmate.store.holders import is_alive
from benchmate.store.log import LogEnd
from benchmate.store.piece_rows import PieceRows
from benchmate.store.reading import Arrangement, Copy, PieceRecord, path_bytes
from benchmate.store.thread.cuts import Cut, WasCut, cuts_in, put_cuts
from benchmate.store.thread.strings_left import MeasuredString, MeasuredStrings, later, put_measured

IN_BIN = "This piece was deleted in another window. Nothing was changed. To go on with it, take it back from the bin."


class TakenOver(Exception):
    """Another window holds the piece, so nothing was written. `piece` is its number."""

    def __init__(self, piece: int) -> None:
        super().__init__(f"piece {piece} is open in another window")
        self.piece = piece


class Arrival(NamedTuple):
    """A piece from another machine that fits its design, of which `title`, `size` and `done` are worked out here."""

    record: PieceRecord
    title: str
    size: int
    done: int


class Outcome(Enum):
    """What became of a piece from another machine; the words follow its title."""

    NEW = "added"
    CONTINUED = "brought up to date"
    KNOWN = "already here"
    OUT_OF_BIN = "taken back from the bin"


class Pieces(PieceRows):
    """The pieces in the database of a home. Methods that change it raise Gone when the file has been replaced."""

    @property
    def database(self) -> Database:
        """The database that the pieces are in, and all else that is kept."""
        return self._database

    def close(self) -> None:
        """Closes the database."""
        self._database.close()

    @contextmanager
    def snapshot(self) -> Iterator[None]:
        """Everything read inside is from the same moment, whatever other windows write."""
        with self._database.reading():
            yield

    def refuse_gone(self) -> None:
        """Raises Gone when the file of the database has been removed or replaced since it was opened."""
        self._database.refuse_gone()

    def hold(self, piece: int, token: str, *, force: bool) -> None:
        """Makes `token` the holder of a piece.

        Raises TakenOver when another program that is still running holds it, unless `force`.
        """
        with self._database.writing():
            query = "SELECT holder, deleted FROM piece WHERE piece = ?"
            holder, deleted = self._connection.execute(query, (piece,)).fetchone()
            if deleted:
                raise StoreError(IN_BIN)
            if holder not in (None, token) and not force and is_alive(self.home.holders, holder):
                raise TakenOver(piece)
            self._connection.execute("UPDATE piece SET holder = ? WHERE piece = ?", (token, piece))

    def let_go(self, piece: int, token: str) -> None:
        """Releases the piece if the program with this token holds it."""
        with self._database.writing():
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
        knot_size: KnotSize | None = None,
        cut: WasCut | None = None,
        measured: MeasuredStrings | None = None,
    ) -> tuple[int, LogEnd]:
        """Adds a new piece with its first events; returns its number and the last entry of its log.

        `newest` is the newest piece at the time the design was opened. When another window has since started a piece
        from the same file that is still unfinished, TakenOver is raised and nothing is written; None skips this check.
        """
        now = utc_now()
        with self._database.writing():
            if newest is not None:
                self._refuse_second(file, newest)
            cursor = self._connection.execute(
                "INSERT INTO piece (title, file, started, touched, done, size, way, from_right, mirrored, holder)"
                " VALUES (?, CAST(? AS TEXT), ?, ?, ?, ?, ?, ?, ?, ?)",
                (title, path_bytes(file), now, now, done, size, *way, token),
            )
            piece = int(cursor.lastrowid or 0)
            self._put_plan(piece, plan)
            self._insert("copy", piece, 0, now, *copy)
            self._put_knot_size(piece, knot_size)
            if cut is not None:
                put_cuts(self._connection, piece, *cut)
            put_measured(self._connection, piece, measured or {})
            end = self._log(piece, 0, now, events)
            self._seal(piece)
        return piece, end

    def _refuse_second(self, file: str, newest: int) -> None:
        query = (
            "SELECT piece FROM piece WHERE file = CAST(? AS TEXT) AND piece > ? AND done < size AND NOT deleted"
            " ORDER BY touched DESC, piece DESC LIMIT 1"
        )
        row = self._connection.execute(query, (path_bytes(file), newest)).fetchone()
        if row is not None:
            raise TakenOver(row[0])

    def add(
        self,
        piece: int,
        token: str,
        file: str,
        seen: LogEnd,
        events: Iterable[tuple[str, int, int]],
        done: int,
        cut: WasCut | None = None,
        *,
        replan: bool = False,
    ) -> LogEnd:
        """Adds events to a piece's log and saves `file` as its file; returns the last entry.

        A piece that was put aside is then no longer aside. `cut` is what was cut for it, where that is not saved yet.
        With `replan`, its plan no longer holds.

        Raises TakenOver and writes nothing when `token` does not hold the piece or the log has entries after `seen`.
        """
        now = utc_now()
        with self._database.writing():
            self.refuse_stranger(piece, token, seen)
            if cut is not None:
                put_cuts(self._connection, piece, *cut)
            if replan:
                self._put_plan(piece, None)
            end = self._log(piece, seen.number, now, events)
            self._connection.execute(
                "UPDATE piece SET touched = ?, done = ?, file = CAST(? AS TEXT), arranged = arranged + aside, aside = 0"
                " WHERE piece = ?",
                (now, done, path_bytes(file), piece),
            )
            self._seal(piece)
        return end

    def change_copy(
        self,
        piece: int,
        token: str,
        seen: LogEnd,
        title: str,
        size: int,
        copy: Copy,
        before: Sequence[tuple[str, int, int]],
        after: Sequence[tuple[str, int, int]],
        done: int,
    ) -> LogEnd:
        """Changes the piece to another copy of its design; returns the last entry of its log.

        The events `before` are by the step numbers of the old copy, those `after` by the new ones.
        """
        now = utc_now()
        with self._database.writing():
            self.refuse_stranger(piece, token, seen)
            query = "SELECT max(number) + 1 FROM copy WHERE piece = ?"
            (number,) = self._connection.execute(query, (piece,)).fetchone()
            self._insert("copy", piece, number, now, *copy)
            end = self._log(piece, seen.number, now, [*before, ("copy", number, number), *after])
            query = "UPDATE piece SET touched = ?, title = ?, size = ?, done = ? WHERE piece = ?"
            self._connection.execute(query, (now, title, size, done, piece))
            # The plan was made for the steps of the old copy.
            self._put_plan(piece, None)
            self._seal(piece)
        return end

    def change_way(self, piece: int, token: str, seen: LogEnd, way: Way, plan: bytes | None) -> None:
        """Saves the way a piece is worked and its plan, if it has one.

        Raises TakenOver and writes nothing when `token` does not hold the piece or the log has entries after `seen`.
        """
        with self._database.writing():
            self.refuse_stranger(piece, token, seen)
            self._connection.execute(
                "UPDATE piece SET way = ?, from_right = ?, mirrored = ?, planned = planned + 1 WHERE piece = ?",
                (*way, piece),
            )
            self._put_plan(piece, plan)
            self._seal(piece)

    def measure(self, piece: int, token: str, seen: LogEnd, string: int, measured: MeasuredString) -> None:
        """Saves how much is left of a string.

        Raises TakenOver and writes nothing when `token` does not hold the piece or the log has entries after `seen`.
        """
        with self._database.writing():
            self.refuse_stranger(piece, token, seen)
            self._put_measured(piece, {string: measured})
            self._seal(piece)

    def take_in(self, arrivals: Iterable[Arrival]) -> list[tuple[int, Outcome]]:
        """Adds pieces from another machine, all or none; returns the number of each and what became of it.

        A piece that is here already, and was worked on since, goes on from there. Raises TakenOver when such a piece is
        open in a window.
        """
        with self._database.writing():
            return [self._take_in(arrival) for arrival in arrivals]

    def _take_in(self, arrival: Arrival) -> tuple[int, Outcome]:
        record = arrival.record
        same = "SELECT piece, holder FROM piece WHERE started = ? ORDER BY piece"
        for piece, holder in self._connection.execute(same, (record.started,)).fetchall():
            try:
                ours = self.record(piece)
            except Damaged:
                # It can be restored, but nothing can be compared with it or added to it.
                continue
            known, new = min(len(ours.log), len(record.log)), min(len(ours.copies), len(record.copies))
            if ours.log[:known] != record.log[:known] or ours.copies[:new] != record.copies[:new]:
                continue
            arrangement = ours.arrangement.merged_with(record.arrangement)
            longer = len(record.log) > len(ours.log)
            measured = later(ours.measured, record.measured)
            if not (longer or measured) and arrangement == ours.arrangement:
                return piece, Outcome.KNOWN
            if holder is not None and is_alive(self.home.holders, holder):
                raise TakenOver(piece)
            if longer:
                self._put_record(piece, arrival, known, new)
            if measured:
                self._put_measured(piece, measured)
            self._put_arrangement(piece, arrangement)
            out = ours.arrangement.deleted and not arrangement.deleted
            return piece, Outcome.OUT_OF_BIN if out else Outcome.CONTINUED
        cursor = self._connection.execute(
            "INSERT INTO piece (title, file, started, touched, done, size, way) VALUES ('', '', ?, '', 0, 0, '')",
            (record.started,),
        )
        piece = int(cursor.lastrowid or 0)
        self._put_record(piece, arrival, 0, 0)
        self._put_knot_size(piece, record.knot_size)
        put_measured(self._connection, piece, record.measured)
        self._put_arrangement(piece, record.arrangement)
        return piece, Outcome.NEW

    def _put_record(self, piece: int, arrival: Arrival, entries: int, copies: int) -> None:
        """Writes a piece of which `entries` of the log and `copies` of the design are there already."""
        record = arrival.record
        # On another machine the same design may have another path; and its clock may be ahead of this one.
        file = self.get(piece).file if entries and not os.path.exists(record.file) else record.file
        touched = min(record.touched, utc_now())
        self._connection.execute(
            "UPDATE piece SET title = ?, file = CAST(? AS TEXT), touched = ?, size = ?, done = ?, way = ?,"
            " from_right = ?, mirrored = ?, planned = planned + 1 WHERE piece = ?",
            (
                *(arrival.title, path_bytes(file), touched, arrival.size, arrival.done),
                *(*record.way, piece),
            ),
        )
        for number, (at, copy) in enumerate(record.copies[copies:], copies):
            self._insert("copy", piece, number, at, *copy)
        for number, entry in enumerate(record.log[entries:], entries + 1):
            self._insert("event", piece, number, *entry)
        self._connection.execute("UPDATE piece SET entries = ? WHERE piece = ?", (len(record.log), piece))
        if record.cut is not None and cuts_in(self._connection, piece) is None:
            gauge, lengths = record.cut
            put_cuts(self._connection, piece, gauge, [Cut(length) for length in lengths])
        self._put_plan(piece, None)
        self._seal(piece)

    def arrange(self, piece: int, token: str, change: Callable[[Arrangement], Arrangement]) -> None:
        """Renames a piece, puts it aside, deletes it, or takes any of that back; nothing of its log is removed.

        Raises TakenOver when a program other than the one with this token has it open, and NotSaved.
        """
        before = self.get(piece).arrangement
        try:
            with self._database.writing():
                row = self.get(piece)
                if row.holder not in (None, token) and is_alive(self.home.holders, row.holder or ""):
                    raise TakenOver(piece)
                wanted = change(row.arrangement)
                self._put_arrangement(piece, wanted._replace(changes=row.arrangement.changes + 1))
        except NotSaved:
            # Where the disk fails in the last moment, it is saved although SQLite reports a failure.
            if self.get(piece).arrangement != change(before)._replace(changes=before.changes + 1):
                raise

    def copy(self, piece: int, name: str) -> int:
        """Adds a piece with the same design, log, plan and cut, and a name of its own; returns its number.

        It starts now, and its file is the same. Raises NotSaved.
        """
        before = self.newest()
        try:
            with self._database.writing():
                return self._copy(piece, name)
        except NotSaved:
            # As in `arrange`.
            newest = self.newest()
            if newest > before and self.get(newest).arrangement.name == name:
                return newest
            raise

    def _copy(self, piece: int, name: str) -> int:
        row, now = self.get(piece), utc_now()
        self.check_entries(row)
        copies = self.copies_of(piece)
        for _ in self.log(piece):
            # Reads it all, so that no damage is copied under a new checksum.
            pass
        cursor = self._connection.execute(
            "INSERT INTO piece (title, file, started, touched, done, size, way, from_right, mirrored, planned, entries,"
            " name) SELECT title, file, ?, ?, done, size, way, from_right, mirrored, planned, entries, ? FROM piece"
            " WHERE piece = ?",
            (now, now, name, piece),
        )
        fresh = int(cursor.lastrowid or 0)
        for number, (at, copy) in enumerate(copies):
            self._insert("copy", fresh, number, at, *copy)
        self._connection.execute(
            "INSERT INTO event SELECT ?, number, at, act, first, last, checksum(?, number, at, act, first, last)"
            " FROM event WHERE piece = ?",
            (fresh, fresh, piece),
        )
        self._put_plan(fresh, self.plan_of(piece))
        self._put_knot_size(fresh, self.knot_size_of(piece))
        put_measured(self._connection, fresh, self.measured_of(piece))
        if (cut := cuts_in(self._connection, piece)) is not None:
            # Nothing is taken from the box twice.
            put_cuts(self._connection, fresh, cut[0], [Cut(each.length) for each in cut[1]])
        self._seal(fresh)
        return fresh

    def refuse_stranger(self, piece: int, token: str, seen: LogEnd) -> None:
        """Raises TakenOver when `token` does not hold the piece or the log has entries after `seen`.

        Raises Gone when the log no longer has what this window has seen in it: the content of the file was replaced.
        """
        query = (
            "SELECT holder, entries, (SELECT sum FROM event WHERE event.piece = piece.piece AND number = ?)"
            " FROM piece WHERE piece = ?"
        )
        row = self._connection.execute(query, (seen.number, piece)).fetchone()
        if row is None or row[2] != seen.sum:
            raise gone(self.home)
        if row[:2] != (token, seen.number):
            raise TakenOver(piece)


def utc_now() -> str:
    """The time now in UTC, to the millisecond: `2026-11-25T07:30:00.000Z`."""
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
