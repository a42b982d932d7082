"""A piece being worked on. Every change is saved before it is made here, so the screen always shows what is saved."""

import time
from array import array
from collections.abc import Callable, Sequence
from contextlib import suppress
from copy import copy
from datetime import datetime
from typing import TYPE_CHECKING

from benchmate.craft.history.carry_over import CarriedOver, carried_over
from benchmate.craft.history.what_it_took import WhatItTook, time_at_work
from benchmate.craft.orders import Order, by_rows, can_be_followed
from benchmate.craft.pace import Press
from benchmate.craft.progress import NotPossible, Progress
from benchmate.craft.start_band_finish import WholePiece
from benchmate.craft.ways import Way, order_of
from benchmate.craft.work import ReportProgress
from benchmate.store.database import Database
from benchmate.store.errors import NotSaved
from benchmate.store.holders import Holder
from benchmate.store.log import as_ranges
from benchmate.store.pieces import Pieces, TakenOver
from benchmate.store.places import Home
from benchmate.store.plans import packed, unpacked
from benchmate.store.reading import Copy, PieceRecord
from benchmate.store.saved_piece import Change, SavedPiece, renumbered
from benchmate.store.thread.cuts import WasCut

if TYPE_CHECKING:
    from benchmate.craft.colours.terminal_colours import ColourDepth

KEPT_PRESSES = 600
"""How many presses are remembered while the piece is open, for the pace and for rests."""
MOST_PLANNED_AT_ONCE = 1000
"""Up to this many open steps, planning takes no longer than a press may; with more, it runs in the background."""
AFTER_ALL = "The press before was saved after all, and counts now. Nothing else was changed. Try again."
PRESSES = ("knot", "run", "row")
"""What one press can mean: one knot, the rest of the run with the string in hand, or the rest of the row."""
MEANS = {"knot": "a knot", "run": "the rest of the run", "row": "the rest of the row"}
"""The same in words."""


class OpenPiece:
    """A piece opened in this window, new or already started.

    The methods that change it raise NotSaved when the change could not be saved, TakenOver when another window holds
    the piece now, and NotPossible when the knots do not allow it; in each case nothing has changed.
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
        self.whole = whole
        self.way = way
        self.copy = copy
        self.presses: list[Press] = []
        self._saved = SavedPiece(pieces, holder, file, piece, newest)
        self._remake = remake
        self._took: tuple[int, WhatItTook] | None = None
        if piece is None:
            self.order = by_rows(whole, from_right=way.from_right)
            self.progress = Progress(whole, self.order)
            self.wrong: int | None = None
            self.taken_out: list[int] = []
        else:
            self._load()

    def _load(self) -> None:
        """Loads everything saved about the piece. Changes nothing when it cannot be used."""
        stored = self._saved.read()
        row, state, (_, copy) = stored.row, stored.state, stored.copies[-1]
        whole = self.whole if copy == self.copy else self._remake(row.piece, copy)
        planned = None if stored.plan is None else unpacked(stored.plan, whole)
        order = planned or by_rows(whole, from_right=row.way.from_right)
        try:
            progress = Progress.resume(whole, order, state.history)
            if progress.done != row.done:
                raise ValueError(f"the log has {progress.done} tied steps, the piece counts {row.done}")
        except (ValueError, IndexError) as error:
            raise self._saved.pieces.damage("its log does not fit its design", row.piece) from error
        self.whole, self.way, self.copy, self.order, self.progress = whole, row.way, copy, order, progress
        self.wrong, self.taken_out, self.presses = state.wrong, state.taken_out, stored.presses
        self._saved.mark_seen(stored)

    def on_screen(self, depth: "ColourDepth") -> "OpenPiece":
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

    def tie(self, numbers: Sequence[int]) -> None:
        """Ties the steps, in turn, as one press."""
        self.progress.check_can_tie(numbers)
        self._save(as_ranges("tie", numbers), self.progress.done + len(numbers))
        for number in numbers:
            self.progress.tie(number)
        if self.taken_out:
            self.taken_out = [number for number in self.taken_out if not self.progress.is_tied(number)]
        self._pressed(len(numbers), min(numbers, default=0))

    def current_step(self) -> tuple[int | None, bool]:
        """The step to do now, or None when all is done; True with it when it is to be undone, not tied."""
        out = self.must_come_out()
        return (out[0], True) if out else (self.progress.next, False)

    @property
    def lays_out_now(self) -> bool:
        """True on the step where the strings are laid out."""
        return self.wrong is None and self.progress.done == self.whole.lays_out_at() and self.may_lay_out

    @property
    def may_lay_out(self) -> bool:
        """True when there are strings to lay out and none of them is knotted yet."""
        latest = max(self.whole.main.first, self.whole.lays_out_at() or 0)
        return bool(self.whole.strings) and self.progress.done <= latest and not self.progress.finished

    @property
    def was_cut(self) -> WasCut | None:
        """What was cut for it; None where that is not known."""
        return self._saved.was_cut

    def keep_cut(self, cut: WasCut) -> None:
        """Keeps what was cut for it, from its next saved step on."""
        self._saved.keep_cut(cut)

    def finish_step(self, press: str = "knot") -> None:
        """Does the step shown now: undoes it, or ties it and whatever else a `press` means."""
        number, comes_out = self.current_step()
        if number is None:
            return
        if comes_out:
            self.untie(number)
        else:
            self.tie(self.steps_of_press(press))

    def steps_of_press(self, press: str) -> list[int]:
        """The steps tied by one press that means a knot, the rest of the run or the rest of the row."""
        number = self.progress.next
        if number is None:
            return []
        if not self.whole.part_of(number).design.family.row_word:
            # Each written step has to be read.
            return [number]
        return {"knot": lambda: [number], "run": self.progress.rest_of_run, "row": self.progress.rest_of_row}[press]()

    def untie(self, number: int) -> None:
        """Undoes the step."""
        if not self.progress.can_untie(number):
            raise NotPossible(f"step {number} can't be undone now")
        self._save([("untie", number, number)], self.progress.done - 1)
        self.progress.untie(number)
        if self.wrong is not None:
            self.taken_out.append(number)
        if number == self.wrong:
            self.wrong = None
            self.taken_out.clear()
        self._pressed(0)

    def back(self) -> None:
        """Undoes the last step; on the way to a wrong knot, ties the last undone step again.

        When nothing has been undone on the way yet, removes the mark instead.
        """
        if self.wrong is None:
            if self.progress.last is not None:
                self.untie(self.progress.last)
        elif self.taken_out:
            self.tie([self.taken_out[-1]])
        else:
            self.unmark_wrong()

    def must_come_out(self) -> list[int]:
        """The steps to undo to reach the step marked wrong, in order; empty when none is marked."""
        return [] if self.wrong is None else self.progress.must_come_out(self.wrong)

    def mark_wrong(self, number: int) -> None:
        """Marks the step as wrong: it and every step that rests on it must be undone."""
        if not self.progress.is_tied(number):
            raise NotPossible(f"step {number} is not tied")
        self._save([("wrong", number, number)])
        self.wrong = number
        self.taken_out.clear()

    def unmark_wrong(self) -> None:
        """Removes the mark; the knot stays."""
        if self.wrong is not None:
            self._save([("right", self.wrong, self.wrong)])
            self.wrong = None
            self.taken_out.clear()

    def jump(self, place: int) -> None:
        """Counts exactly the steps before `place` (from 0, in working order) as tied."""
        self.jump_to(self.order.sequence[:place])

    def jump_to(self, target: Sequence[int]) -> None:
        """Counts exactly these steps as tied; they must come in an order in which they can be tied."""
        out, tied = self.progress.jump(target)
        if not out and not tied:
            return
        gone = set(out)
        history = [number for number in self.progress.history if number not in gone] + tied
        progress = Progress.resume(self.whole, self.order, history)
        self._save(as_ranges("jump-untie", out) + as_ranges("jump-tie", tied), len(history))
        self.progress = progress
        if self.wrong in gone:
            self.wrong = None
        on_the_way = [] if self.wrong is None else [*self.taken_out, *out]
        self.taken_out = [number for number in on_the_way if not self.progress.is_tied(number)]
        self._pressed(0)

    def carried_over(self, whole: WholePiece) -> CarriedOver | None:
        """The tied steps in a changed design; None when one of them is not there."""
        return carried_over(self.whole, whole, self.progress.history)

    def change_design(self, copy: Copy, whole: WholePiece) -> None:
        """Continues with another copy of the design, in which every tied step of start and band must be the same."""
        carried = None if self.wrong is not None else self.carried_over(whole)
        if carried is None:
            raise NotPossible("a tied step is not in the changed design")
        order = by_rows(whole, from_right=self.way.from_right)
        progress = Progress.resume(whole, order, carried.history)
        if self.piece is not None:
            before, after = renumbered(self.progress.history, carried)
            title = whole.main.design.title
            self._saved.change_copy(title, whole.size, copy, before, after, progress.done)
        self.copy, self.whole, self.order, self.progress = copy, whole, order, progress

    def _save(self, events: list[Change], done: int | None = None) -> None:
        done = self.progress.done if done is None else done
        if self.piece is None:
            plan = packed(self.order) if self.order.by == "segments" else None
            size, knots = self.whole.size, self.whole.main.design.knot_size
            self._saved.begin(self._design_title, self.way, plan, size, self.copy, events, done, knots)
        else:
            try:
                self._saved.add(events, done)
            except TakenOver:
                if not self._saved.is_ahead:
                    raise
                self._load()
                raise NotSaved(AFTER_ALL) from None

    def _pressed(self, steps: int, first: int = 0) -> None:
        self.presses.append(Press(time.time(), steps, first))
        del self.presses[:-KEPT_PRESSES]
