"""A piece in the database as this window uses it: how much of the log it has read, and whether it may add to it."""

from collections.abc import Sequence
from contextlib import suppress
from typing import NamedTuple

from benchmate.craft.float_rules import KnotSize
from benchmate.craft.history.carry_over import CarriedOver
from benchmate.craft.pace import Press
from benchmate.craft.trouble.alterations import Alterations
from benchmate.craft.trouble.made_otherwise import WAYS
from benchmate.craft.ways import Way
from benchmate.store.errors import NotSaved, StoreError
from benchmate.store.holders import Holder
from benchmate.store.log import LogEnd, LogEntry, LogInMemory, PieceState, as_ranges, read_log
from benchmate.store.pieces import Pieces, TakenOver, utc_now
from benchmate.store.reading import Arrangement, Copy, Piece, PieceRecord
from benchmate.store.thread.cuts import WasCut, cuts_of
from benchmate.store.thread.strings_left import MeasuredString

Change = tuple[str, int, int]
"""A log entry without its number: the act, the first step and the last."""


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
    cut: WasCut | None
    measured: dict[int, MeasuredString]


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
        self._cut: WasCut | None = None
        """What was cut for it, as long as that is not saved."""
        self._saved_cut: WasCut | None = None
        self.measured: dict[int, MeasuredString] = {}
        """What was left of its strings when they were measured last."""
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
                cuts_of(pieces.database, number),
                pieces.measured_of(number),
            )

    def mark_seen(self, stored: StoredPiece) -> None:
        """Records that this window now shows what was read."""
        self._seen = stored.end
        self._log = stored.log
        self._copies = stored.copies
        self.started = stored.row.started
        self._planned = stored.row.planned
        self._knot_size = stored.knot_size
        self._saved_cut = stored.cut
        self.measured = stored.measured
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
        cut = None
        if self._saved_cut is not None:
            gauge, cuts = self._saved_cut
            cut = gauge, [each.length for each in cuts]
        arranged, knots = self.arrangement, self._knot_size
        known = self._copies, entries, arranged, knots, cut, self.measured
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
                cut=self._cut,
                measured=self.measured,
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
        self._cut_is_saved()
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
                cut=self._cut,
                replan=replan,
            )
        except NotSaved as error:
            self._seen = self._saved_after_all(len(events), error)
        self._cut_is_saved()
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

    def _cut_is_saved(self) -> None:
        self._saved_cut, self._cut = self._cut or self._saved_cut, None

    @property
    def was_cut(self) -> WasCut | None:
        """What was cut for it, saved already or not; None where that is not known."""
        return self._cut or self._saved_cut

    def keep_cut(self, cut: WasCut) -> None:
        """Keeps what was cut for it: that is saved with its next entry."""
        self._cut = cut

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

    def measure(self, string: int, done: int, mm: float, *, joined: bool, by_eye: bool) -> None:
        """Saves how much is left of a string when `done` steps are tied. A new piece saves it with its first entry."""
        self._refuse_unheld()
        measured = MeasuredString(done, mm, joined, by_eye, utc_now())
        if self.piece is not None:
            try:
                self.pieces.measure(self.piece, self._holder.token, self._seen, string, measured)
            except NotSaved:
                if self.pieces.measured_of(self.piece).get(string) != measured:
                    raise
            self._planned += 1
        self.measured = {**self.measured, string: measured}

    def change_copy(
        self, title: str, size: int, copy: Copy, before: list[Change], after: list[Change], done: int
    ) -> None:
        """Changes it to another copy of its design, of which `done` steps are tied.

        The entries `before` are by the step numbers of the old copy, those `after` by the new ones.
        """
        self._refuse_unheld()
        token = self._holder.token
        number = len(self._copies)
        try:
            self._seen = self.pieces.change_copy(self.number, token, self._seen, title, size, copy, before, after, done)
        except NotSaved as error:
            self._seen = self._saved_after_all(len(before) + 1 + len(after), error)
        self._copies.append((self._seen.at, copy))
        self._remember([*before, ("copy", number, number), *after])

    def _refuse_unheld(self) -> None:
        if not self.holding:
            raise TakenOver(self.piece or 0)


def renumbered(history: Sequence[int], carried: CarriedOver, altered: Alterations) -> tuple[list[Change], list[Change]]:
    """What the log gets before a changed design and after it: steps of the finish that come out, and new numbers.

    Where anything gets a new number, all that is made otherwise is said again with the new ones.
    """
    left = list(history[: len(history) - len(carried.come_out)])
    same = next(
        (at for at, (one, other) in enumerate(zip(left, carried.history, strict=False)) if one != other),
        min(len(left), len(carried.history)),
    )
    steps = altered.steps
    again = steps and (same < len(left) or any(carried.same[step] != step for step in steps))
    if again:
        same = min((at for at, step in enumerate(left[:same]) if step in steps), default=same)
    before = as_ranges("untie", carried.come_out) + as_ranges("jump-untie", left[same:][::-1])
    after = as_ranges("jump-tie", carried.history[same:])
    if not again:
        return before, after
    fresh = altered.renumbered(carried.same)
    tied = set(history)
    # Of a tied change it is said twice: it was not done, and is not to be.
    twice = [step for step in altered.changes if step in tied and step not in altered.not_done]
    as_charted = [("charted", step, step) for step in [*sorted(steps), *twice]]
    changes, made = (
        [(act, step, WAYS.index(how)) for step, how in steps.items()]
        for act, steps in (("change", fresh.changes), ("made", fresh.mistakes))
    )
    not_done = [("charted", step, step) for step in fresh.not_done]
    return as_charted + before, changes + after + made + not_done
