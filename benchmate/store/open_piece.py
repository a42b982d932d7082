"""A piece being worked on. Every change is saved before it is made here, so the screen always shows what is saved."""

from collections.abc import Callable, Iterable, Sequence

from benchmate.craft.history.carry_over import CarriedOver, carried_over
from benchmate.craft.orders import by_rows
from benchmate.craft.progress import NotPossible, Progress
from benchmate.craft.start_band_finish import WholePiece
from benchmate.craft.trouble.alterations import Alterations
from benchmate.craft.trouble.made_otherwise import EVERY_KIND, Made, MadeOtherwise
from benchmate.craft.ways import Way
from benchmate.craft.work import CannotBeMade
from benchmate.store.log import (
    SERVED_ALONE,
    SERVED_TOO,
    TIES,
    Change,
    as_ranges,
    renumbered,
)
from benchmate.store.opened.held_piece import HeldPiece
from benchmate.store.reading import Copy
from benchmate.store.thread.new_strings import standing

PRESSES = ("knot", "run", "row")
"""What one press can mean: one knot, the rest of the run with the string in hand, or the rest of the row."""
MEANS = {"knot": "a knot", "run": "the rest of the run", "row": "the rest of the row"}
"""The same in words."""


def _marks(numbers: Sequence[int]) -> list[Change]:
    """The entries that mark steps as wrong together."""
    return [("wrong", number, numbers[0]) for number in dict.fromkeys(numbers)]


def _right(marked: Sequence[int]) -> Change:
    """The entry that removes their mark."""
    return ("right", marked[0], marked[0])


class OpenPiece(HeldPiece):
    """A piece opened in this window, new or already started.

    The methods that change it raise NotSaved when the change could not be saved, TakenOver when another window holds
    the piece now, and NotPossible when the knots do not allow it; in each case nothing has changed.
    """

    def tie(self, numbers: Sequence[int]) -> None:
        """Ties the steps, in turn, as one press."""
        self.progress.check_can_tie(numbers)
        self._save(as_ranges("tie", numbers), self.progress.done + len(numbers))
        self.altered.settle()
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
        altered = self._altered_without([number])
        whole = self._as_made(altered)
        self._save([("untie", number, number)], self.progress.done - 1, replan=whole is not self.whole)
        self.progress.untie(number)
        self._alter(altered, whole)
        if self.marked:
            self.taken_out.append(number)
            self._end_marks()
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
        """The steps to undo to reach every step marked wrong, in order; empty when none is marked."""
        return self.progress.must_come_out(*filter(self.progress.is_tied, self.marked))

    @property
    def as_known(self) -> WholePiece:
        """The piece as far as it is certain: of a step marked wrong it may not be known how it was made.

        Where steps can be made in one way only, the first of those marked is wrong, and the others only come out too.
        """
        known = {*self.altered.mistakes, *self.altered.not_done}
        in_doubt = (step for at, step in enumerate(self.marked) if not at or self._has_ways(step))
        return self.whole.in_doubt([step for step in in_doubt if self.progress.is_tied(step) and step not in known])

    def _has_ways(self, step: int) -> bool:
        try:
            self.charted.how_made(step)
        except CannotBeMade:
            return False
        return True

    def mark_wrong(self, *numbers: int) -> None:
        """Marks steps as wrong together: they and every step that rests on one of them must be undone."""
        for step in numbers:
            if not self.progress.is_tied(step):
                raise NotPossible(f"step {step} is not tied")
        self._save(_marks(numbers))
        self._now_marked(numbers)

    def unmark_wrong(self) -> None:
        """Removes the mark; the knot stays."""
        if self.marked:
            self._save([_right(self.marked)])
            self._now_marked(())

    def _now_marked(self, numbers: Sequence[int]) -> None:
        """These steps are marked wrong, and no others."""
        self.marked = tuple(dict.fromkeys(numbers))
        self.taken_out.clear()

    def _end_marks(self) -> None:
        """The marks are gone with the last of their steps."""
        if self.wrong is None:
            self._now_marked(())

    def jump(self, place: int) -> None:
        """Counts exactly the steps before `place` (from 0, in working order) as tied."""
        self.jump_to(self.order.sequence[:place])

    def jump_to(self, target: Sequence[int], made: MadeOtherwise | None = None, *, wrong: Sequence[int] = ()) -> None:
        """Counts exactly these steps as tied; they must come in an order in which they can be tied.

        Of these, those in `made` were really made so, and those in `wrong` are marked as wrong.
        """
        out, tied = self.progress.jump(target)
        gone = set(out)
        history = [number for number in self.progress.history if number not in gone] + tied
        altered = self._altered_without(out)
        if tied:
            altered.settle()
        self._check_tied(made or {}, set(history).__contains__)
        marks = self._say(altered, "made", made or {}, set(history).__contains__)
        for step in wrong:
            if step not in history:
                raise NotPossible(f"step {step} is not tied")
        marks += _marks(wrong)
        if not out and not tied and not marks:
            return
        whole = self._as_made(altered)
        Progress.resume(whole, self.order, history)
        events = [*as_ranges("jump-untie", out), *as_ranges("jump-tie", tied), *marks]
        self._save(events, len(history), replan=whole is not self.whole)
        self._alter(altered, whole, history)
        self._end_marks()
        on_the_way = [*self.taken_out, *out] if self.marked else []
        self.taken_out = [number for number in on_the_way if not self.progress.is_tied(number)]
        if wrong:
            self._now_marked(wrong)
        self._pressed(0)

    @property
    def made(self) -> dict[int, Made]:
        """The tied steps that were really made otherwise than charted: mistakes, and changes that mend them."""
        tied = self.progress.is_tied
        return {number: made for number, made in self.altered.all.items() if tied(number)}

    @property
    def mistakes(self) -> dict[int, Made]:
        """Those of them that were not planned."""
        return dict(self.altered.mistakes)

    @property
    def changes(self) -> dict[int, Made]:
        """The open steps that will be made otherwise than charted."""
        tied = self.progress.is_tied
        return {number: made for number, made in self.altered.changes.items() if not tied(number)}

    def mark_made(self, made: MadeOtherwise) -> None:
        """Tied steps were really made so; one made as in the chart is as charted."""
        self._mark(made, {})

    def leave(self, made: MadeOtherwise, changes: MadeOtherwise) -> None:
        """Tied steps that were really made so stay, and open ones will be made as in `changes`.

        A step that was to be changed can be as charted again; any other cannot, because that is no change. The changes
        serve these mistakes alone: others that are known may be taken back or undone without them.
        """
        self._mark(made, changes)

    def drop_changes(self) -> None:
        """Open steps are made as charted again."""
        self._mark({}, {number: self.charted.how_made(number) for number in self.changes})

    def take_back(self, number: int) -> None:
        """The tied step was made as in the chart after all.

        The changes that were there because of it go with it: open steps are made as in the chart, and those that are
        done already are knots made otherwise like any other.
        """
        known = number in self.altered.mistakes or number in self.altered.not_done
        dropped = [step for step in self.changes if known and self.altered.may_serve(step, number)]
        self._mark({number: self._charted(number)}, {step: self._charted(step) for step in dropped})

    def take_out(self, made: MadeOtherwise, unknown: Sequence[int] = ()) -> None:
        """Tied steps were really made so, and they are marked as wrong, with others, made in ways that nobody knows."""
        if not made and not unknown:
            raise NotPossible("no step is to be taken out")
        self._check_tied((*made, *unknown))
        self._mark(made, {}, wrong=sorted((*made, *unknown)))

    def _mark(self, made: MadeOtherwise, changes: MadeOtherwise, *, wrong: Sequence[int] = ()) -> None:
        """One press: tied steps made otherwise, open ones to be, and those that are wrong."""
        self._check_tied(made)
        altered = self.altered.copy()
        events = self._say(altered, "made", made, self.progress.is_tied)
        for number, how in changes.items():
            if how == self._charted(number) and number not in altered.changes:
                raise NotPossible(f"step {number} is to be made so in the chart")
            if self.progress.is_tied(number):
                raise NotPossible(f"step {number} is tied already")
        if any(how != self._charted(number) for number, how in changes.items()):
            events += self._only_these(altered, made, changes)
        events += self._say(altered, "change", changes, self.progress.is_tied)
        stays = not made.keys().isdisjoint(self.marked)
        events += _marks(wrong) if wrong else [_right(self.marked)] if stays else []
        if not events:
            return
        whole = self._as_made(altered)
        self._save(events, replan=whole is not self.whole)
        self._alter(altered, whole)
        if wrong or stays:
            self._now_marked(wrong)

    def _say(
        self, altered: Alterations, act: str, steps: MadeOtherwise, is_tied: Callable[[int], bool]
    ) -> list[Change]:
        """The entries which say that tied steps were made so, or that open ones will be, by `act`.

        That goes into `altered`.
        """
        events: list[Change] = []
        for number, how in sorted(steps.items()):
            charted = self._charted(number)
            if how == altered.all.get(number, charted):
                continue
            if how == charted:
                served = altered.done_for(number, is_tied) if act == "made" else {}
                altered.is_charted(number, tied=act == "made")
                events.append(("charted", number, number))
                if number not in altered.not_done:
                    events += self._mistakes_now(altered, served)
            else:
                put = altered.was_made if act == "made" else altered.will_be_made
                put(number, how)
                events.append((act, number, EVERY_KIND.index(how)))
        return events

    @staticmethod
    def _only_these(altered: Alterations, made: Iterable[int], changes: Iterable[int]) -> list[Change]:
        """The entries after which the next changes serve these mistakes, and no other that was marked before.

        Planned changes that also serve others are dropped, to be planned for these alone.
        """
        events: list[Change] = []
        these = {step for step in made if step in altered.mistakes or step in altered.not_done}
        if these and altered.marked != these:
            for at, step in enumerate(sorted(these)):
                altered.serve(step, alone=not at)
                events.append(("made", step, SERVED_TOO if at else SERVED_ALONE))
        for step in sorted(changes):
            if altered.serves_others_too(step, these):
                altered.is_charted(step, tied=False)
                events.append(("charted", step, step))
        return events

    @staticmethod
    def _mistakes_now(altered: Alterations, changes: MadeOtherwise) -> list[Change]:
        """The entries which say that changes, done for what was no mistake, are knots made otherwise like any other.

        Said to be as charted twice, a change is dropped.
        """
        events: list[Change] = []
        for number, how in sorted(changes.items()):
            altered.is_charted(number, tied=True)
            altered.is_charted(number, tied=True)
            altered.was_made(number, how)
            events += [("charted", number, number)] * 2 + [("made", number, EVERY_KIND.index(how))]
        return events

    def _check_tied(self, numbers: Iterable[int], is_tied: Callable[[int], bool] | None = None) -> None:
        for number in numbers:
            self._charted(number)
            if not (is_tied or self.progress.is_tied)(number):
                raise NotPossible(f"step {number} is not tied")

    def _charted(self, number: int) -> Made:
        """How the chart has a step."""
        try:
            return self.charted.how_made(number)
        except CannotBeMade as error:
            raise NotPossible(str(error)) from error

    def _altered_without(self, out: Sequence[int]) -> Alterations:
        """What is made otherwise once these steps are untied, in turn."""
        altered = self.altered.copy()
        tied = set(self.progress.history) if altered.steps else set()
        for number in out:
            tied.discard(number)
            altered.untied(number, tied.__contains__)
        return altered

    def _as_made(self, altered: Alterations) -> WholePiece:
        return self.whole if altered == self.altered else self.charted.made_otherwise(altered.all)

    def carried_over(self, whole: WholePiece) -> CarriedOver | None:
        """The tied steps in a changed design; None when one of them, or one to be made otherwise, is not there."""
        return carried_over(self.charted, whole, self.progress.history, self.changes)

    def begin_with(self, copy: Copy, whole: WholePiece, way: Way) -> None:
        """Saves that the piece, of which nothing is tied, is to be of another copy of its design and worked so.

        Of the lengths that were cut, those stay that are to be cut for it. After that it is to be opened again.
        """
        if self.progress.done or self.wrong is not None or self.altered.steps:
            raise NotPossible("steps are tied")
        before = self._saved.told
        cuts = None if whole.to_cut is None or not before.lengths_cut else whole.to_cut.cuts
        told = before.with_lengths(() if cuts is None else cuts.lengths)
        if whole.main.design.strings == self.whole.main.design.strings:
            told = told._replace(measured=before.measured, new_strings=before.new_strings)
        self._saved.change_copy(whole.main.design.title, whole.size, copy, [], [], 0, told, way)

    def change_design(self, copy: Copy, whole: WholePiece) -> None:
        """Continues with another copy of the design, in which every tied step of start and band must be the same.

        So must every step be that is to be made otherwise. What was made otherwise stays so.
        """
        carried = None if self.wrong is not None else self.carried_over(whole)
        if carried is None:
            raise NotPossible("a step that is tied, or to be made otherwise, is not in the changed design")
        more = whole.main.first - self.charted.main.first
        told = self._saved.told.renumbered(carried.place_after, more)
        whole = self._with_new_strings(whole, standing(told.new_strings))
        before, after = renumbered(self.progress.history, carried, self.altered)
        if any(act not in TIES for act, _, _ in after):
            altered = self.altered.renumbered(carried.same)
        else:
            altered = self.altered.copy()
            altered.settle()
        made = whole.made_otherwise(altered.all)
        order = by_rows(made, from_right=self.way.from_right)
        progress = Progress.resume(made, order, carried.history)
        if self.piece is not None:
            title = whole.main.design.title
            self._saved.change_copy(title, whole.size, copy, before, after, progress.done, told)
        self.charted, self.altered = whole, altered
        self.copy, self.whole, self.order, self.progress = copy, made, order, progress
