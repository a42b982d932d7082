"""Goes to any row or knot, and first shows what that means."""

from collections.abc import Iterable, Sequence

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.lines_screen import LinesScreen
from benchmate.bench.screens.page import Item, page
from benchmate.bench.terminal.judged_key import Key
from benchmate.craft.progress import hanging_after
from benchmate.craft.wording import step_words
from benchmate.craft.wording.counting import counted
from benchmate.display.cells import Line
from benchmate.store.open_piece import OpenPiece

MOST_SAID = 30_000
"""About how many characters the names of all strings together may have: more than any screen shows."""


class JumpScreen(LinesScreen[Sequence[int]]):
    """Takes the number of a row or a knot; the result is the steps tied there, in an order in which they can be tied.

    In every way of working, a row begins when all rows before it are tied.
    """

    def __init__(self, bench: Bench, held: OpenPiece) -> None:
        """`held` has at least one step."""
        super().__init__(bench)
        self._held = held
        self._band = held.whole.main.design.family.row_word == "row"
        self._rows = self._band
        self._digits = ""
        self._end = False
        """Goes to the end instead of a number."""

    def lines(self, width: int, height: int) -> list[Line]:
        """The number typed so far, and what going there would mean."""
        kind = "row" if self._rows else ("knot" if self._band else "step")
        target, texts = self._meaning(kind)
        place = "end" if self._end else self._digits or "_"
        items = [Item(f"go to {kind}: {place}", chosen=True)]
        foot = "digits   " + ("r row   k knot   " if self._band else "") + "e end   "
        foot += "enter: go   escape: stay" if target is not None else "escape: stay"
        return page("GO TO", texts, items, foot, width, height, self.palette)

    @property
    def _target(self) -> Sequence[int] | None:
        """The steps tied at the place typed so far; None when there is no such place."""
        held = self._held
        if self._end:
            return held.order.sequence
        number = int(self._digits or 0)
        if not self._rows:
            return held.order.sequence[: number - 1] if 1 <= number <= held.whole.size else None
        part = held.whole.main
        return range(part.first + part.work.span(number).first) if 1 <= number <= part.work.rows else None

    def _meaning(self, kind: str) -> tuple[Sequence[int] | None, list[str]]:
        held, target = self._held, self._target
        whole, progress = held.whole, held.progress
        many = f"{whole.main.work.rows} rows" if self._rows else f"{whole.size} {kind}s"
        if target is None:
            return None, [f"This piece has {many}." if self._digits else f"Which {kind}? This piece has {many}."]
        out, tied = progress.jump(target)
        if len(target) == whole.size:
            texts = ["To the end: every step counted as done."]
        elif held.way.by == "segments" and self._rows:
            texts = [f"There: all rows before it, {len(target)} of {whole.size}; the rest is replanned."]
        else:
            number = held.order.sequence[len(target)]
            part, step = whole.part_of(number), whole.step(number)
            place = f"{part.design.family.step_word} {len(target) + 1} of {whole.size}"
            texts = [f"There: {place}, {step_words.spoken(part, step)}."]
        one = "step" if kind == "step" else "knot"
        made, undone = ("done", "not done") if kind == "step" else ("tied", "undone")
        if out:
            texts.append(f"{counted(len(out), one)} {made} now will be counted as {undone}.")
        if tied:
            texts.append(f"{counted(len(tied), one)} not {made} yet will be counted as {made}.")
        if not out and not tied:
            texts.append("That is where you are.")
        if whole.main.design.family.step_view.strings_move:
            design = whole.main.design
            hanging = hanging_after(whole, held.order, target)
            said = _said_in_short(design.say_of(string) for string in hanging)
            texts.append(f"Strings there, from the left: {said}.")
        return target, texts

    def on_key(self, event: Key) -> None:
        """Digits type the number, enter goes there."""
        event.stop()
        if event.key == "escape":
            self.dismiss(None)
            return
        if event.key == "enter":
            target = self._target
            if target is not None:
                self.dismiss(target)
            return
        if event.key.isdigit() and len(event.key) == 1:
            self._digits, self._end = (self._digits + event.key)[:6], False
        elif event.key == "backspace":
            self._digits, self._end = self._digits[:-1], False
        elif event.key == "e":
            self._digits, self._end = "", True
        elif event.key in ("r", "k") and self._band:
            self._rows = event.key == "r"
        self.show()


def _said_in_short(names: Iterable[str]) -> str:
    """The names side by side, cut where they are longer than a screen."""
    found: list[str] = []
    room = MOST_SAID
    for name in names:
        found.append(name[:room])
        room -= len(name)
        if room <= 0:
            break
    return " ".join(found)
