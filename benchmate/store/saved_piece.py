"""A piece in the database as this window uses it: how much of the log it has read, and whether it may add to it."""

from collections.abc import Callable
from contextlib import suppress
from typing import NamedTuple

from benchmate.craft.float_rules import KnotSize
from benchmate.craft.pace import Press
from benchmate.craft.ways import Way
from benchmate.store.errors import NotSaved, StoreError
from benchmate.store.holders import Holder
from benchmate.store.log import Change, LogEnd, LogEntry, LogInMemory, PieceState, read_log
from benchmate.store.pieces import Pieces, TakenOver, utc_now
from benchmate.store.reading import Arrangement, Copy, Piece, PieceRecord
from benchmate.store.thread.cuts import Cut, WasCut
from benchmate.store.thread.new_strings import NewString, as_it_hangs, by_what_is_tied, out_again, taken_over
from benchmate.store.thread.strings_left import MeasuredString, MeasuredStrings
from benchmate.store.thread.thread_told import ThreadTold, nothing_told

UNREAD = "A later new string of this piece is damaged, so no other one is undone. Measure the string instead."


class StoredPiece(NamedTuple):
    """Everything the database holds about a piece, read in one transaction."""

    row: Piece
    copies: list[tuple[str, Copy]]
    state: PieceState
    presses: list[Press]
    plan: bytes | None
    end: LogEnd
    log: LogInMemory
    knot_size: KnotSize | None
    told: ThreadTold


class SavedPiece:
    """A piece in the database, or a new one that its first entry will put there.

    Methods that write raise NotSaved when the write fails, and TakenOver when another window holds the piece or has
    added to its log; nothing has been written then.
    """

    def __init__(self, pieces: Pieces, holder: Holder, file: str, piece: int | None, newest: int | None) -> None:
        """`piece` is None for a new piece.

        `newest` is the newest piece when `file` was looked for among the pieces: a new piece does not start where
        another window has started one from `file` since. With None it does.
        """
        self.pieces = pieces
        self.file = file
        self.piece = piece
        self.holding = piece is None
        self._holder = holder
        self.newest = newest
        self.started = utc_now()
        self._seen = LogEnd(0, 0, "")
        self._log = LogInMemory()
        self._copies: list[tuple[str, Copy]] = []
        self._planned = 0
        self._knot_size: KnotSize | None = None
        self.told = nothing_told()
        """What is known of its thread. Of a new piece it is saved with its first entries."""
        self.arrangement = Arrangement()
        """How its maker keeps it, as far as this window has read."""

    @property
    def number(self) -> int:
        """The number of a piece that is in the database."""
        assert self.piece is not None
        return self.piece

    def read(self) -> StoredPiece:
        """Reads everything about it. It counts as seen only once it is passed to `mark_seen`."""
        pieces, number = self.pieces, self.number
        with pieces.snapshot():
            row = pieces.get(number)
            pieces.check_entries(row)
            log = LogInMemory()
            try:
                state = read_log(log.kept(pieces.log(number)))
            except ValueError as error:
                raise pieces.damage("its log does not fit its design", number) from error
            return StoredPiece(
                row,
                pieces.copies_of(number),
                state,
                pieces.presses(number),
                pieces.plan_of(number),
                pieces.log_end(number, row.entries),
                log,
                pieces.knot_size_of(number),
                pieces.told_of(number),
            )

    def mark_seen(self, stored: StoredPiece) -> None:
        """Records that this window now shows what was read."""
        self._seen = stored.end
        self._log = stored.log
        self._copies = stored.copies
        self.started = stored.row.started
        self._planned = stored.row.planned
        self._knot_size = stored.knot_size
        self.told = stored.told
        self.arrangement = stored.row.arrangement

    @property
    def entries(self) -> int:
        """How many entries of the log this window has seen."""
        return self._seen.number

    def log(self) -> list[LogEntry]:
        """The log as far as this window has seen it."""
        return self._log.entries()

    @property
    def has_news(self) -> bool:
        """True when another window has written since then."""
        self.pieces.refuse_gone()
        row = self.pieces.get(self.number)
        return (row.entries, row.planned) != (self._seen.number, self._planned)

    def hold(self, *, force: bool) -> None:
        """Makes this window the holder. Raises TakenOver when another window holds the piece, unless `force`."""
        self.pieces.hold(self.number, self._holder.token, force=force)

    def let_go(self) -> None:
        """Releases the piece."""
        if self.piece is not None and self.holding:
            # A failure here does no harm: the lock of a program that has ended holds nothing.
            with suppress(StoreError):
                self.pieces.let_go(self.piece, self._holder.token)
        self.holding = False

    @property
    def is_ours(self) -> bool:
        """False when another window has taken the piece over. Raises Gone when the database was replaced."""
        try:
            self.check()
        except TakenOver:
            return False
        return True

    def check(self) -> None:
        """Raises Gone when the database no longer has what was saved here, TakenOver when another holds the piece."""
        if self.piece is not None:
            self.pieces.refuse_gone()
            with self.pieces.snapshot():
                self.pieces.refuse_stranger(self.piece, self._holder.token, self._seen)

    def record(self, title: str, way: Way) -> PieceRecord:
        """All that was saved of it, from the memory of this window."""
        touched = self._seen.at or self.started
        entries = self._log.entries()
        known = self._copies, entries, self.told.without_threads, self.arrangement, self._knot_size
        return PieceRecord(title, self.file, self.started, touched, way, *known)

    def other_records(self) -> list[PieceRecord]:
        """Everything saved of all other pieces, as far as it can still be read."""
        found: list[PieceRecord] = []
        with suppress(StoreError), self.pieces.snapshot():
            for piece in self.pieces.all():
                if piece.piece != self.piece:
                    with suppress(StoreError):
                        found.append(self.pieces.record(piece.piece))
        return found

    def begin(
        self,
        title: str,
        way: Way,
        plan: bytes | None,
        size: int,
        copy: Copy,
        events: list[Change],
        done: int,
        knot_size: KnotSize | None,
    ) -> None:
        """Adds the piece to the database with its first entries."""
        self._refuse_unheld()
        token, before = self._holder.token, self.pieces.newest()
        try:
            begun = self.pieces.begin(
                title,
                self.file,
                way,
                plan,
                size,
                copy,
                token=token,
                newest=self.newest,
                events=events,
                done=done,
                knot_size=knot_size,
                told=self.told,
            )
        except NotSaved as error:
            self.piece = self._begun_after_all(before)
            if self.piece is None:
                raise
            begun = self.piece, self._saved_after_all(len(events), error)
        self.piece, self._seen = begun
        self.started = self._seen.at
        self._copies = [(self._seen.at, copy)]
        self._knot_size = knot_size
        self._remember(events)

    def add(self, events: list[Change], done: int, *, replan: bool = False) -> None:
        """Adds entries to the log, after which `done` steps are tied. With `replan`, its plan no longer holds."""
        self._refuse_unheld()
        try:
            self._seen = self.pieces.add(
                self.number,
                self._holder.token,
                self.file,
                self._seen,
                events,
                done=done,
                replan=replan,
            )
        except NotSaved as error:
            self._seen = self._saved_after_all(len(events), error)
        if self.arrangement.aside:
            self.arrangement = self.arrangement._replace(aside=False, changes=self.arrangement.changes + 1)
        self._remember(events)

    def _begun_after_all(self, before: int) -> int | None:
        """The number of the piece after `before` that a failed write has started; None when it has started none."""
        with suppress(StoreError):
            number = self.pieces.newest()
            if number > before and self.pieces.get(number).holder == self._holder.token:
                return number
        return None

    def _saved_after_all(self, entries: int, failure: NotSaved) -> LogEnd:
        """Looks in the file after a write has failed; raises the failure again when nothing of it is there.

        Where the disk fails in the last moment, when the change is complete and its folder is written, SQLite reports a
        failure although the change is saved: the next start would find it.
        """
        ahead = self._seen.number + entries
        with suppress(StoreError):
            row = self.pieces.get(self.number)
            if row.holder == self._holder.token and row.entries == ahead:
                return self.pieces.log_end(self.number, ahead)
        raise failure

    @property
    def is_ahead(self) -> bool:
        """True when the database has more of what this window wrote than the window knows.

        Nobody else writes to a piece that this window holds; so it was a write that had failed, and could not be looked
        at then.
        """
        row = self.pieces.get(self.number)
        return row.holder == self._holder.token and row.entries > self._seen.number

    def _remember(self, events: list[Change]) -> None:
        for event in events:
            self._log.add(LogEntry(self._seen.at, *event))

    def change_way(self, way: Way, plan: bytes | None) -> None:
        """Saves another way of working and its plan. A new piece saves them with its first entry."""
        self._refuse_unheld()
        if self.piece is not None:
            try:
                self.pieces.change_way(self.piece, self._holder.token, self._seen, way, plan)
            except NotSaved:
                if self.pieces.get(self.piece).planned != self._planned + 1:
                    raise
            self._planned += 1

    def tick(self, ticked: list[Cut]) -> None:
        """Saves the lengths ticked off while some are still to be cut."""
        self._tell(self.told._replace(ticked=ticked))

    def take_cut_back(self, ticked: list[Cut]) -> None:
        """Saves that of all that was cut, only these lengths were."""
        self._tell(self.told._replace(was_cut=None, ticked=ticked))

    def keep_cut(self, cut: WasCut) -> None:
        """Saves all that was cut."""
        self._tell(self.told._replace(was_cut=cut, ticked=[]))

    def measured(self, is_tied: Callable[[int], bool]) -> MeasuredStrings:
        """What was left of its strings when they were measured last, as they hang by what is tied."""
        return by_what_is_tied(self.told.measured, self.told.new_strings, is_tied)

    def measure(self, string: int, done: int, mm: float, is_tied: Callable[[int], bool], *, by_eye: bool) -> None:
        """Saves how much is left of a string when `done` steps are tied.

        Where a new one is out again by then, that is of the string before it, and holds for as long as that hangs.
        """
        before = self.measured(is_tied).get(string)
        joined = before is not None and before.joined
        measured, told = MeasuredString(done, float(mm), joined, by_eye, self._now()), self.told
        out = [each for each in out_again(told.new_strings, is_tied) if each.string == string]
        if out:
            new_strings = [each._replace(before=measured) if each == out[0] else each for each in told.new_strings]
            self._tell(told._replace(new_strings=new_strings))
        else:
            self._tell(self._measured(string, measured))

    def join(self, string: int, done: int, after: int, mm: float, cut: Cut, is_tied: Callable[[int], bool]) -> None:
        """Saves that a new string took over from a string when `done` steps were tied, of which so much hung then.

        `after` is as in `NewString`. Another new one that is out again by now never was.
        """
        at, length = self._now(), cut.length
        before = self.measured(is_tied).get(string)
        out = [each for each in out_again(self.told.new_strings, is_tied) if each.string == string]
        new_strings = [each._replace(back=at) if each in out else each for each in self.told.new_strings]
        new = NewString(string, after, length.colour, length.cut_mm, cut.thread, before, at)
        told = self._measured(string, MeasuredString(done, mm, joined=True, by_eye=False, at=at))
        self._tell(told._replace(new_strings=[*new_strings, new]))

    def take_new_string_back(self, string: int, is_tied: Callable[[int], bool]) -> None:
        """Saves that the last new string that is in for a string never was: what was measured before it holds again.

        What was measured after it still holds. Raises NotSaved where the last one cannot be read.
        """
        told = self.told
        last = [each for each in taken_over(told.new_strings, is_tied) if each.string == string][-1]
        if self.piece is not None and not self.pieces.may_take_back(self.piece, last):
            raise NotSaved(UNREAD)
        new_strings = [each._replace(back=self._now()) if each is last else each for each in told.new_strings]
        own = [each for each in new_strings if each.string == string]
        known = told.measured.get(string, last.before)
        told = self._measured(string, as_it_hangs(known, own))
        self._tell(told._replace(new_strings=new_strings))

    def _now(self) -> str:
        """The time now, later than all that is known of its strings: their times say which of two counts."""
        ats = [each.at for each in self.told.measured.values()]
        ats += [each.back or each.at for each in self.told.new_strings]
        return utc_now(max(ats, default=""))

    def _measured(self, string: int, measured: MeasuredString | None) -> ThreadTold:
        """All that is known, and what is left of a string now; None where that is not known."""
        others = {number: each for number, each in self.told.measured.items() if number != string}
        return self.told._replace(measured=others if measured is None else {**others, string: measured})

    def _tell(self, told: ThreadTold) -> None:
        self._refuse_unheld()
        if self.piece is not None:
            try:
                self.pieces.tell(self.piece, self._holder.token, self._seen, self.told, told)
            except NotSaved:
                if self.pieces.told_of(self.piece) != told:
                    raise
            self._planned += 1
        self.told = told

    def change_copy(
        self,
        title: str,
        size: int,
        copy: Copy,
        before: list[Change],
        after: list[Change],
        done: int,
        told: ThreadTold,
        way: Way | None = None,
    ) -> None:
        """Changes it to another copy of its design, of which `done` steps are tied, and maybe another way of working.

        The entries `before` are by the step numbers of the old copy, those `after` and what was `told` by the new ones.
        """
        self._refuse_unheld()
        token = self._holder.token
        number = len(self._copies)
        both = self.told, told
        try:
            self._seen = self.pieces.change_copy(
                self.number, token, self._seen, title, size, copy, before, after, done, both, way
            )
        except NotSaved as error:
            self._seen = self._saved_after_all(len(before) + 1 + len(after), error)
        self.told = told
        self._copies.append((self._seen.at, copy))
        self._remember([*before, ("copy", number, number), *after])

    def _refuse_unheld(self) -> None:
        if not self.holding:
            raise TakenOver(self.piece or 0)
