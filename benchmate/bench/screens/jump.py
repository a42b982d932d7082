"""Going to any row or knot, with a look at what that means first."""

from collections.abc import Sequence

from textual import events

from benchmate.bench.screens.page import Item, page
from benchmate.bench.terminal.board import LinesScreen
from benchmate.craft import telling
from benchmate.craft.progress import hanging_after
from benchmate.display.cells import Line
from benchmate.store.held import Held


class JumpScreen(LinesScreen):
    """Takes a row or a knot by its number; the result is what `target_of` takes, or None."""

    def __init__(self, held: Held) -> None:
        """`held` has at least one step."""
        super().__init__()
        self._held = held
        self._band = held.whole.main.design.family.row_word == "row"
        self._rows = self._band
        self._digits = ""

    def lines(self, width: int, height: int) -> list[Line]:
        """The number so far, and what going there would mean."""
        kind = "row" if self._rows else ("knot" if self._band else "step")
        target, texts = self._meaning(kind)
        items = [Item(f"go to {kind}: {self._digits or '_'}", chosen=True)]
        foot = "digits   " + ("r row   k knot   " if self._band else "") + "e end   "
        foot += "enter: go   escape: stay" if target is not None else "escape: stay"
        return page("GO TO", texts, items, foot, width, height, self.palette)

    @property
    def _aim(self) -> str:
        """The kind of place, and its number."""
        return f"{'row' if self._rows else 'knot'} {self._digits}"

    def _meaning(self, kind: str) -> tuple[Sequence[int] | None, list[str]]:
        held, target = self._held, target_of(self._held, self._aim)
        whole, progress = held.whole, held.progress
        many = f"{whole.main.work.rows} rows" if self._rows else f"{whole.size} {kind}s"
        if target is None:
            return None, [f"This piece has {many}." if self._digits else f"Which {kind}? This piece has {many}."]
        out, tied = progress.jump(target)
        if len(target) == whole.size:
            texts = ["To the end: every step counted as done."]
        elif held.way.by == "segments" and self._rows:
            texts = [f"There: all rows before it, {len(target)} of {whole.size}; the rest is planned afresh."]
        else:
            number = held.order.sequence[len(target)]
            part, step = whole.part_of(number), whole.step(number)
            place = f"{part.design.family.step_word} {len(target) + 1} of {whole.size}"
            texts = [f"There: {place}, {telling.spoken(part, step)}."]
        made, undone = ("done", "not done") if kind == "step" else ("tied", "come out")
        if out:
            texts.append(f"{_count(len(out), kind)} {made} now will be counted as {undone}.")
        if tied:
            texts.append(f"{_count(len(tied), kind)} not {made} yet will be counted as {made}.")
        if not out and not tied:
            texts.append("That is where you are.")
        if whole.main.design.family.moments.strings_move:
            design = whole.main.design
            hanging = hanging_after(whole, held.order, target)
            said = " ".join(design.said_of(string) for string in hanging)
            texts.append(f"Strings there, from the left: {said}.")
        return target, texts

    def on_key(self, event: events.Key) -> None:
        """Digits make the number; enter goes there."""
        event.stop()
        if event.key == "escape":
            self.dismiss(None)
            return
        if event.key == "enter":
            if target_of(self._held, self._aim) is not None:
                self.dismiss(self._aim)
            return
        if event.key.isdigit() and len(event.key) == 1:
            self._digits = (self._digits.removeprefix("end") + event.key)[:6]
        elif event.key == "backspace":
            self._digits = "" if self._digits == "end" else self._digits[:-1]
        elif event.key == "e":
            self._digits = "end"
        elif event.key in ("r", "k") and self._band:
            self._rows = event.key == "r"
        self.show()


def target_of(held: Held, aim: str) -> Sequence[int] | None:
    """The steps that are tied where `row 3` or `knot 12` begins, or at the `end`, in an order in which they can be.

    A row begins when all rows before it are tied, whatever the way of working. None where there is no such place.
    """
    whole = held.whole
    kind, _, digits = aim.partition(" ")
    if digits == "end":
        return held.order.sequence
    number = int(digits or 0)
    if kind == "knot":
        return held.order.sequence[: number - 1] if 1 <= number <= whole.size else None
    part = whole.main
    return range(part.first + part.work.span(number).first) if 1 <= number <= part.work.rows else None


def _count(number: int, kind: str) -> str:
    called = "step" if kind == "step" else "knot"
    return f"1 {called}" if number == 1 else f"{number} {called}s"
