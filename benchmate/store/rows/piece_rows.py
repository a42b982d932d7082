"""Writing the rows of pieces. Each has its checksum, and is written inside a transaction of whoever calls."""

from collections.abc import Iterable

from benchmate.craft.float_rules import KnotSize
from benchmate.store.checksum import checksum, seal
from benchmate.store.database import Database
from benchmate.store.log import LogEnd
from benchmate.store.places import Home
from benchmate.store.reading import Arrangement, PieceReader
from benchmate.store.thread.cuts import put_cuts, put_ticked
from benchmate.store.thread.new_strings import put_new_strings
from benchmate.store.thread.strings_left import drop_measured, put_measured
from benchmate.store.thread.thread_told import ThreadTold


class PieceRows(PieceReader):
    """The rows of pieces in the database of a home."""

    def __init__(self, home: Home) -> None:
        self._database = Database(home)
        super().__init__(home, self._database.connection)

    def _put_arrangement(self, piece: int, arrangement: Arrangement) -> None:
        self._connection.execute(
            "UPDATE piece SET name = ?, aside = ?, deleted = ?, arranged = ? WHERE piece = ?", (*arrangement, piece)
        )
        self._seal(piece)

    def _put_plan(self, piece: int, plan: bytes | None) -> None:
        self._connection.execute("DELETE FROM plan WHERE piece = ?", (piece,))
        if plan is not None:
            self._insert("plan", piece, plan)

    def _put_knot_size(self, piece: int, size: KnotSize | None) -> None:
        if size is not None:
            self._insert("knot_size", piece, *size)

    def _put_told(self, piece: int, before: ThreadTold, told: ThreadTold) -> None:
        """Writes what is known of the thread of a piece, where it is not what was known before."""
        if told.ticked != before.ticked:
            put_ticked(self._connection, piece, told.ticked)
        if told.was_cut != before.was_cut:
            put_cuts(self._connection, piece, *(told.was_cut or ("", ())))
        for string in before.measured.keys() - told.measured.keys():
            drop_measured(self._connection, piece, string)
        changed = {string: each for string, each in told.measured.items() if each != before.measured.get(string)}
        put_measured(self._connection, piece, changed)
        if told.new_strings != before.new_strings:
            put_new_strings(self._connection, piece, told.new_strings)

    def _count_as_change(self, piece: int) -> None:
        """As a change of the plan, so that other windows see it, and no copy gives way to one without it."""
        self._connection.execute("UPDATE piece SET planned = planned + 1 WHERE piece = ?", (piece,))

    def _log(self, piece: int, seen: int, now: str, events: Iterable[tuple[str, int, int]]) -> LogEnd:
        end = LogEnd(seen, 0, now)
        for number, event in enumerate(events, seen + 1):
            end = LogEnd(number, self._insert("event", piece, number, now, *event), now)
        self._connection.execute("UPDATE piece SET entries = ? WHERE piece = ?", (end.number, piece))
        return end

    def _insert(self, table: str, *values: int | float | str | bytes | None) -> int:
        """Adds a row with its checksum, which is returned. The columns stand in the order the checksum covers them."""
        total = checksum(*values)
        places = ", ".join("?" * (len(values) + 1))
        self._connection.execute(f"INSERT INTO {table} VALUES ({places})", (*values, total))
        return total

    def _seal(self, piece: int) -> None:
        self._connection.execute(f"{seal('piece')} WHERE piece = ?", (piece,))
