"""Goes to any row, knot or step, and first shows what that means."""

from collections.abc import Iterable, Sequence

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.lines_screen import LinesScreen
from benchmate.bench.screens.page import Item, page
from benchmate.bench.terminal.judged_key import Key
from benchmate.craft.progress import hanging_after
from benchmate.craft.start_band_finish import WholePiece
from benchmate.craft.wording import step_words
from benchmate.craft.wording.counting import counted
from benchmate.display.cells import Line
from benchmate.store.open_piece import OpenPiece

MOST_SAID = 30_000
"""About how many characters the names of all strings together may have: more than any screen shows."""


class JumpScreen(LinesScreen[Sequence[int]]):
    """Takes the number of a row, a knot or a step; the result is the steps tied there, in a possible order.

    In every way of working, a row begins when all rows before it are tied.
    """

    def __init__(self, bench: Bench, held: OpenPiece) -> None:
        """`held` has at least one step."""
        super().__init__(bench)
        self._held = held
        self._kinds = _kinds(held.whole)
        self._kind = next(iter(self._kinds.values()))
        self._digits = ""
        self._end = False
        """Goes to the end instead of a number."""

    def lines(self, width: int, height: int) -> list[Line]:
        """The number typed so far, and what going there would mean."""
        target, texts = self._meaning()
        place = "end" if self._end else self._digits or "_"
        items = [Item(f"go to {self._kind}: {place}", chosen=True)]
        kinds = "".join(f"{key} {kind}   " for key, kind in self._kinds.items()) if len(self._kinds) > 1 else ""
        foot = f"digits   {kinds}e end   "
        foot += "enter: go   escape: stay" if target is not None else "escape: stay"
        return page("GO TO", texts, items, foot, width, height, self.palette)

    @property
    def _target(self) -> Sequence[int] | None:
        """The steps tied at the place typed so far; None when there is no such place."""
        held = self._held
        if self._end:
            return held.order.sequence
        number = int(self._digits or 0)
        if not 1 <= number <= self._count:
            return None
        band = held.whole.main
        if self._kind == "row":
            return range(band.first + band.work.span(number).first)
        return held.order.sequence[: number - 1 + (0 if self._kind == "step" else band.first)]

    @property
    def _count(self) -> int:
        """How many there are of what the number counts. Knots are those of the band, steps those of the whole piece."""
        band = self._held.whole.main.work
        return {"row": band.rows, "step": self._held.whole.size}.get(self._kind, band.size)

    def _meaning(self) -> tuple[Sequence[int] | None, list[str]]:
        held, target, kind = self._held, self._target, self._kind
        whole, progress = held.whole, held.progress
        if target is None:
            has = "band" if len(whole.parts) > 1 and kind != "step" else "piece"
            many = f"{'The band' if has == 'band' else 'This piece'} has {counted(self._count, kind)}."
            return None, [many if self._digits else f"Which {kind}? {many}"]
        out, tied = progress.jump(target)
        if len(target) == whole.size:
            texts = ["To the end: every step counted as done."]
        elif held.way.by == "segments" and kind == "row":
            texts = [f"There: all rows before it, {len(target)} of {whole.size}; the rest is replanned."]
        else:
            number = held.order.sequence[len(target)]
            part, step = whole.part_of(number), whole.step(number)
            place = step_words.numbered(whole, number, len(target) + 1)
            texts = [f"There: {place}, {step_words.spoken(part, step)}."]
        changed = {whole.part_of(each).design.family.step_word for each in (*out, *tied)}
        one = changed.pop() if len(changed) == 1 else "step"
        made, undone = ("tied", "undone") if one == "knot" else ("done", "not done")
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
        elif event.key in self._kinds:
            self._kind = self._kinds[event.key]
        self.show()


def _kinds(whole: WholePiece) -> dict[str, str]:
    """What a number may count, by the key that chooses it: the first is chosen at the start.

    Rows and knots are those of the band. Steps count through the whole piece, start and finish too.
    """
    family = whole.main.design.family
    kinds = [*(["row"] if family.row_word == "row" else []), family.step_word]
    if len(whole.parts) > 1 and "step" not in kinds:
        kinds.append("step")
    return {kind[0]: kind for kind in kinds}


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
