"""A piece held in a window: what is saved of it, who holds it, its order of work and its plan."""

import math
import time
from array import array
from collections.abc import Callable, Sequence
from contextlib import suppress
from copy import copy
from datetime import datetime
from typing import TYPE_CHECKING, Self

from benchmate.craft.history.what_it_took import WhatItTook, time_at_work
from benchmate.craft.orders import Order, by_rows, can_be_followed
from benchmate.craft.pace import Press
from benchmate.craft.progress import NotPossible, Progress
from benchmate.craft.start_band_finish import WholePiece
from benchmate.craft.thread.length_to_cut import Length
from benchmate.craft.trouble.alterations import Alterations
from benchmate.craft.ways import Way, order_of
from benchmate.craft.work import CannotBeMade, ReportProgress
from benchmate.store.database import Database
from benchmate.store.errors import NotSaved, StoreError
from benchmate.store.holders import Holder
from benchmate.store.log import BEGUN, Change
from benchmate.store.pieces import Pieces, TakenOver
from benchmate.store.places import Home
from benchmate.store.plans import packed, unpacked
from benchmate.store.reading import Copy, PieceRecord
from benchmate.store.saved_piece import SavedPiece
from benchmate.store.thread.cuts import Cut, WasCut
from benchmate.store.thread.new_strings import NewString, standing, taken_over
from benchmate.store.thread.strings_left import MeasuredStrings

if TYPE_CHECKING:
    from benchmate.craft.colours.terminal_colours import ColourDepth

KEPT_PRESSES = 600
"""How many presses are remembered while the piece is open, for the pace and for rests."""
MOST_PLANNED_AT_ONCE = 1000
"""Up to this many open steps, planning takes no longer than a press may; with more, it runs in the background."""
AFTER_ALL = "The press before was saved after all, and counts now. Nothing else was changed. Try again."


class HeldPiece:
    """A piece in this window, new or already started, as far as it is saved, held and planned.

    `whole` is the piece as it was really made so far and will be, `charted` the piece as in its chart.
    """

    def __init__(
        self,
        pieces: Pieces,
        holder: Holder,
        file: str,
        copy: Copy,
        way: Way,
        whole: WholePiece,
        remake: Callable[[int, Copy], WholePiece],
        *,
        piece: int | None,
        newest: int | None = None,
    ) -> None:
        """`piece` is None for a new piece, which does not start where another window has since started one from `file`.

        `newest` is the newest piece when that was looked for; with None it starts in any case.
        `remake` makes the steps from another design copy, in case another window changes the design.
        """
        self.charted = whole
        self.whole = whole
        self.altered = Alterations()
        """What was made otherwise than charted, and what will be."""
        self.way = way
        self.copy = copy
        self.presses: list[Press] = []
        self._saved = SavedPiece(pieces, holder, file, piece, newest)
        self._remake = remake
        self._took: tuple[int, WhatItTook] | None = None
        if piece is None:
            self.order = by_rows(whole, from_right=way.from_right)
            self.progress = Progress(whole, self.order)
            self.marked: tuple[int, ...] = ()
            self.taken_out: list[int] = []
        else:
            self._load()

    def _load(self) -> None:
        """Loads everything saved about the piece. Changes nothing when it cannot be used."""
        stored = self._saved.read()
        row, state, (_, copy) = stored.row, stored.state, stored.copies[-1]
        charted = self.charted if copy == self.copy else self._remake(row.piece, copy)
        charted = self._with_new_strings(charted, standing(stored.told.new_strings))
        whole = self._whole_of(state.altered, charted, row.piece)
        planned = None if stored.plan is None else unpacked(stored.plan, whole)
        order = planned or by_rows(whole, from_right=row.way.from_right)
        try:
            progress = Progress.resume(whole, order, state.history)
            if progress.done != row.done:
                raise ValueError(f"the log has {progress.done} tied steps, the piece counts {row.done}")
        except (ValueError, IndexError) as error:
            raise self._saved.pieces.damage("its log does not fit its design", row.piece) from error
        self.charted, self.whole, self.altered = charted, whole, state.altered
        self.way, self.copy, self.order, self.progress = row.way, copy, order, progress
        self.marked, self.taken_out, self.presses = state.marked, state.taken_out, stored.presses
        self._saved.mark_seen(stored)

    def _whole_of(self, altered: Alterations, charted: WholePiece, piece: int) -> WholePiece:
        if charted is self.charted and altered == self.altered:
            return self.whole
        try:
            return charted.made_otherwise(altered.all)
        except CannotBeMade as error:
            raise self._saved.pieces.damage("its log does not fit its design", piece) from error

    @property
    def wrong(self) -> int | None:
        """The first of the steps that are marked wrong and still tied; None where none is."""
        return next(filter(self.progress.is_tied, self.marked), None)

    def on_screen(self, depth: "ColourDepth") -> Self:
        """The piece as it is now, only to look at, with its designs in the colours of a screen."""
        seen = copy(self)
        seen.whole = self.whole.on_screen(depth)
        return seen

    @property
    def title(self) -> str:
        """Its own name, or the title of its design."""
        return self._design_title if self._saved.arrangement.name is None else self._saved.arrangement.name

    @property
    def _design_title(self) -> str:
        return self.whole.main.design.title

    @property
    def file(self) -> str:
        """The file its design came from."""
        return self._saved.file

    @property
    def piece(self) -> int | None:
        """Its number among the pieces; None while it is new."""
        return self._saved.piece

    @property
    def database(self) -> Database:
        """The database that it is in, and all else that is kept."""
        return self._saved.pieces.database

    @property
    def newest(self) -> int | None:
        """The newest piece when a new one was looked for; None when it starts in any case."""
        return self._saved.newest

    @property
    def holding(self) -> bool:
        """True while this window believes that it holds the piece."""
        return self._saved.holding

    @holding.setter
    def holding(self, holding: bool) -> None:
        self._saved.holding = holding

    @property
    def home(self) -> Home:
        """The folder it is kept in."""
        return self._saved.pieces.home

    def took(self) -> WhatItTook:
        """What it took so far, without what was done before a copy of it was made."""
        if self._took is None or self._took[0] != self._saved.entries:
            entries = [entry for entry in self._saved.log() if entry.at >= self._saved.started]
            undone = sum(entry.first - entry.last + 1 for entry in entries if entry.act == "untie")
            times = (datetime.fromisoformat(entry.at).timestamp() for entry in entries)
            self._took = self._saved.entries, WhatItTook(time_at_work(times), undone)
        return self._took[1]

    def check_saved(self) -> None:
        """Raises Gone or Damaged when what is shown here is not what the next start would find."""
        if self.holding:
            # Another window that writes at this moment, or has taken the piece over, takes nothing away.
            with suppress(NotSaved, TakenOver):
                self._saved.check()

    def record(self) -> PieceRecord:
        """All that was saved of it, from the memory of this window, to be written elsewhere."""
        return self._saved.record(self._design_title, self.way)

    def other_records(self) -> list[PieceRecord]:
        """All other pieces that can still be read."""
        return self._saved.other_records()

    def hold(self, *, force: bool = False) -> None:
        """Makes this window the holder. Raises TakenOver when another window holds the piece, unless `force`."""
        if self.piece is not None:
            self._saved.hold(force=force)
            self.refresh()
        self.holding = True

    def let_go(self) -> None:
        """Releases the piece."""
        self._saved.let_go()

    def still_holds(self) -> bool:
        """False when another window has taken the piece over."""
        return self._saved.is_ours

    def refresh(self) -> bool:
        """Loads what another window has saved since; True when there was anything."""
        if self.piece is None or not self._saved.has_news:
            return False
        self._load()
        return True

    @property
    def needs_plan(self) -> bool:
        """True when the piece is worked by segments and no plan fits what is tied now.

        While a knot is marked wrong, no plan is needed.
        """
        if self.way.by != "segments" or not self.holding or self.wrong is not None or self.progress.finished:
            return False
        return self.order.by != "segments" or not self.progress.in_order

    @property
    def can_plan_at_once(self) -> bool:
        """True when a plan takes no longer than a press may."""
        return self.whole.size - self.progress.done <= MOST_PLANNED_AT_ONCE

    def plan(self, tell: ReportProgress | None = None) -> Order:
        """An order with the fewest pick-ups for the open steps, after the tied ones as tied. Changes nothing."""
        return order_of(self.whole, self.way, self.progress.history, tell)

    def use_plan(self, order: Order) -> bool:
        """Saves a planned order and switches to it.

        Returns False and changes nothing when the order does not fit these steps or does not begin with the tied ones.
        """
        done = self.progress.done
        if self.progress.history != array("L", order.sequence[:done]):
            return False
        if not can_be_followed(self.whole, order.sequence):
            return False
        self._saved.change_way(self.way, packed(order))
        self._reorder(order)
        return True

    def change_way(self, by: str, *, from_right: bool) -> None:
        """Works the rest by rows or by segments, from the left or the right; tied steps stay tied.

        By segments, it needs a plan next.
        """
        way = Way(by, from_right, self.way.mirrored)
        self._saved.change_way(way, None)
        self.way = way
        self._reorder(by_rows(self.whole, from_right=from_right))

    def _reorder(self, order: Order) -> None:
        self.order = order
        self.progress = Progress.resume(self.whole, order, self.progress.history)

    @property
    def was_cut(self) -> WasCut | None:
        """What was cut for it, once all was; None where that is not known."""
        return self._saved.told.was_cut

    @property
    def lengths_cut(self) -> Sequence[Cut]:
        """Every length that is known to be cut, whether or not all are; each as it was cut last."""
        return self._saved.told.lengths_cut

    @property
    def ticked(self) -> Sequence[Cut]:
        """The lengths ticked off as cut, while some are still to be cut."""
        return self._saved.told.ticked

    def keep_cut(self, cut: WasCut) -> None:
        """Saves all that was cut for it."""
        self._tell(lambda: self._saved.keep_cut(cut))

    def tick(self, ticked: Sequence[Cut]) -> None:
        """Saves which lengths are cut so far, while some are still to be cut. All that was cut before is kept."""
        self._tell(lambda: self._saved.tick(list(ticked)))

    def take_cut_back(self, ticked: Sequence[Cut]) -> None:
        """Saves that of all that was cut, only these lengths were."""
        self._tell(lambda: self._saved.take_cut_back(list(ticked)))

    def _tell(self, tell: Callable[[], None]) -> None:
        """Saves what its maker says of its thread. A new piece begins with that, so that it is not lost."""
        before, is_new = self._saved.told, self.piece is None
        tell()
        if not is_new:
            return
        try:
            self._save([BEGUN])
        except (StoreError, TakenOver):
            self._saved.told = before
            raise

    @property
    def measured(self) -> MeasuredStrings:
        """What was left of its strings as they hang now, when measured last; one never measured is not in it."""
        return self._saved.measured(self.progress.has_tied)

    def measure(self, string: int, mm: float, *, by_eye: bool = False) -> None:
        """Saves that so much is left of a string now, also of one that has taken over from another."""
        self._check_string(string, mm)
        self._tell(lambda: self._saved.measure(string, self.progress.done, mm, self.progress.has_tied, by_eye=by_eye))

    @property
    def new_strings(self) -> Sequence[NewString]:
        """The new strings that took over from others, in the order in which their maker said so."""
        return standing(self._saved.told.new_strings)

    def join(
        self, string: int, mm: float, cut_mm: float | None = None, *, done: int | None = None, thread: int | None = None
    ) -> None:
        """Saves that a new string has taken over from a string, with its number.

        It took over when `done` steps were tied, or now; so much of it hung then. It was cut so long, or as it hung,
        from a `thread` of the box where that is known.
        """
        cut_mm = mm if cut_mm is None else cut_mm
        self._check_string(string, mm)
        self._check_string(string, cut_mm)
        if not cut_mm:
            raise NotPossible("no string has that length")
        colour = self.whole.main.design.strings[string - 1]
        cut, since = Cut(Length(colour, (string,), float(cut_mm)), thread), self.progress.done if done is None else done
        after = self._last_in(string, self.progress.history[:since])
        self._tell(lambda: self._saved.join(string, since, after, float(mm), cut, self.progress.has_tied))
        self._show_new_strings()

    def take_new_string_back(self, string: int) -> None:
        """Saves that the last new string that is in for a string never was: what was known before it holds again."""
        if string not in [each.string for each in taken_over(self.new_strings, self.progress.has_tied)]:
            raise NotPossible(f"no new string has taken over from string {string}")
        self._saved.take_new_string_back(string, self.progress.has_tied)
        self._show_new_strings()

    def _last_in(self, string: int, history: Sequence[int]) -> int:
        """The last of these steps of the band that a string is in; -1 where it is in none."""
        main = self.whole.main
        band = range(main.first, main.first + main.work.size)
        return next((step for step in reversed(history) if step in band and string in self.whole.takes(step)), -1)

    def _show_new_strings(self) -> None:
        """Makes the colours of variegated strings begin again where new ones took over."""
        charted = self._with_new_strings(self.charted, self.new_strings)
        if charted is not self.charted:
            self.charted, self.whole = charted, charted.made_otherwise(self.altered.all)
            self.progress = Progress.resume(self.whole, self.order, self.progress.history)

    @staticmethod
    def _with_new_strings(whole: WholePiece, new_strings: Sequence[NewString]) -> WholePiece:
        """A piece with the new strings where they took over."""
        first = whole.main.first
        return whole.with_new_strings(frozenset((new.string, max(-1, new.after - first)) for new in new_strings))

    def _check_string(self, string: int, mm: float) -> None:
        if not 1 <= string <= len(self.whole.strings):
            raise NotPossible(f"there is no string {string}")
        if not (math.isfinite(mm) and mm >= 0):
            raise NotPossible("no string has that length")

    def _save(self, events: list[Change], done: int | None = None, *, replan: bool = False) -> None:
        """Saves entries of the log, after which `done` steps are tied. With `replan`, the plan no longer holds."""
        done = self.progress.done if done is None else done
        if self.piece is None:
            plan = packed(self.order) if self.order.by == "segments" and not replan else None
            size, knots = self.whole.size, self.whole.main.design.knot_size
            self._saved.begin(self._design_title, self.way, plan, size, self.copy, events, done, knots)
        else:
            try:
                self._saved.add(events, done, replan=replan)
            except TakenOver:
                if not self._saved.is_ahead:
                    raise
                self._load()
                raise NotSaved(AFTER_ALL) from None

    def _alter(self, altered: Alterations, whole: WholePiece, history: Sequence[int] | None = None) -> None:
        """The piece as it is made from now on; `history` are the tied steps, where that changes too.

        Other knots are made by other strings then, so a plan no longer has the fewest pick-ups.
        """
        if whole is self.whole and history is None:
            self.altered = altered
            return
        if whole is not self.whole and self.order.by == "segments":
            self.order = by_rows(whole, from_right=self.way.from_right)
        history = self.progress.history if history is None else history
        self.altered, self.whole = altered, whole
        self.progress = Progress.resume(whole, self.order, history)

    def _pressed(self, steps: int, first: int = 0) -> None:
        self.presses.append(Press(time.time(), steps, first))
        del self.presses[:-KEPT_PRESSES]
