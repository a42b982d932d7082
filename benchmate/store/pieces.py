"""The pieces in the database, and the log of every press that changed one."""

import os
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from enum import Enum
from typing import NamedTuple

from benchmate.craft.float_rules import KnotSize
from benchmate.craft.ways import Way
from benchmate.store.database import Database, gone
from benchmate.store.errors import Damaged, NotSaved, StoreError
from benchmate.store.holders import is_alive
from benchmate.store.log import LogEnd
from benchmate.store.reading import Arrangement, Copy, PieceRecord, path_bytes
from benchmate.store.rows.copied_piece import CopyableRows
from benchmate.store.thread.new_strings import NewString, is_newest
from benchmate.store.thread.thread_told import ThreadTold, nothing_told, told_on_both

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


class Pieces(CopyableRows):
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
        told: ThreadTold | None = None,
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
            self._put_told(piece, nothing_told(), told or nothing_told())
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
        *,
        replan: bool = False,
    ) -> LogEnd:
        """Adds events to a piece's log and saves `file` as its file; returns the last entry.

        A piece that was put aside is then no longer aside. With `replan`, its plan no longer
        holds.

        Raises TakenOver and writes nothing when `token` does not hold the piece or the log has entries after `seen`.
        """
        now = utc_now()
        with self._database.writing():
            self.refuse_stranger(piece, token, seen)
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
        told: tuple[ThreadTold, ThreadTold] | None = None,
        way: Way | None = None,
    ) -> LogEnd:
        """Changes the piece to another copy of its design; returns the last entry of its log.

        The events `before` are by the step numbers of the old copy, those `after` by the new ones; so is what was
        `told` of its thread, before and after. With None, nothing of that changes, nor the way it is worked.
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
            if told is not None:
                self._put_told(piece, *told)
            if way is not None:
                query = "UPDATE piece SET way = ?, from_right = ?, mirrored = ? WHERE piece = ?"
                self._connection.execute(query, (*way, piece))
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

    def tell(self, piece: int, token: str, seen: LogEnd, before: ThreadTold, told: ThreadTold) -> None:
        """Saves what is known of the thread of a piece, of which so much was known before.

        Raises TakenOver and writes nothing when `token` does not hold the piece or the log has entries after `seen`.
        """
        with self._database.writing():
            self.refuse_stranger(piece, token, seen)
            self._put_told(piece, before, told)
            self._count_as_change(piece)
            self._seal(piece)

    def may_take_back(self, piece: int, new: NewString) -> bool:
        """Whether a new string of a piece is the last one: damage may have left a later one that cannot be read."""
        return is_newest(self._connection, piece, new)

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
            before = self.told_of(piece)
            told = told_on_both(before, record.told, newer=len(record.copies) > len(ours.copies))
            if not longer and told == before and arrangement == ours.arrangement:
                return piece, Outcome.KNOWN
            if holder is not None and is_alive(self.home.holders, holder):
                raise TakenOver(piece)
            if longer:
                self._put_record(piece, arrival, known, new)
            if told != before:
                self._put_told(piece, before, told)
                self._count_as_change(piece)
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
        self._put_told(piece, nothing_told(), record.told)
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
                return self._copy(piece, name, utc_now())
        except NotSaved:
            # As in `arrange`.
            newest = self.newest()
            if newest > before and self.get(newest).arrangement.name == name:
                return newest
            raise

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


def utc_now(after: str = "") -> str:
    """The time now in UTC, to the millisecond: `2026-11-25T07:30:00.000Z`.

    It is later than `after` in any case: within a millisecond, and where the clock was set back.
    """
    now = _written(datetime.now(UTC))
    return now if now > after else _written(datetime.fromisoformat(after) + timedelta(milliseconds=1))


def _written(moment: datetime) -> str:
    return moment.isoformat(timespec="milliseconds").replace("+00:00", "Z")
