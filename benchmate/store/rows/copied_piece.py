"""A copy of a piece, with all that is kept of it."""

from benchmate.store.rows.piece_rows import PieceRows
from benchmate.store.thread.thread_told import nothing_told


class CopyableRows(PieceRows):
    """The rows of pieces, which can be copied."""

    def _copy(self, piece: int, name: str, now: str) -> int:
        """Adds a piece with the same content and a name of its own, started at that moment; returns its number."""
        row = self.get(piece)
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
        # Nothing is taken from the box twice.
        self._put_told(fresh, nothing_told(), self.told_of(piece).without_threads)
        self._seal(fresh)
        return fresh
