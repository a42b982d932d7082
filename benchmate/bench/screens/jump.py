"""Goes to any row, knot or step, and first shows what that means."""

from collections.abc import Sequence

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.page import Item
from benchmate.bench.screens.page_screen import Page, PageScreen
from benchmate.bench.terminal.judged_key import Key
from benchmate.piece_questions import jump_targets
from benchmate.store.open_piece import OpenPiece


class JumpScreen(PageScreen[Sequence[int]]):
    """Takes the number of a row, a knot or a step; the result is the steps tied there, in a possible order.

    In every way of working, a row begins when all rows before it are tied.
    """

    def __init__(self, bench: Bench, held: OpenPiece) -> None:
        """`held` has at least one step."""
        super().__init__(bench)
        self._held = held
        self._kinds = {kind[0]: kind for kind in jump_targets.kinds(held.whole)}
        self._kind = next(iter(self._kinds.values()))
        self._digits = ""
        self._end = False
        """Goes to the end instead of a number."""

    def page(self) -> Page:
        """The number typed so far, and what going there would mean."""
        target, texts = self._meaning()
        place = "end" if self._end else self._digits or "_"
        items = [Item(f"go to {self._kind}: {place}", chosen=True)]
        kinds = "".join(f"{key} {kind}   " for key, kind in self._kinds.items()) if len(self._kinds) > 1 else ""
        foot = f"digits   {kinds}e end   "
        foot += "enter: go   escape: stay" if target is not None else "escape: stay"
        return Page("GO TO", texts, items, foot)

    @property
    def _target(self) -> Sequence[int] | None:
        """The steps tied at the place typed so far; None when there is no such place."""
        if self._end:
            return self._held.order.sequence
        return jump_targets.target(self._held, self._kind, int(self._digits or 0))

    def _meaning(self) -> tuple[Sequence[int] | None, list[str]]:
        target = self._target
        if target is not None:
            return target, jump_targets.meaning(self._held, self._kind, target)
        many = jump_targets.how_many(self._held.whole, self._kind)
        return None, [many if self._digits else f"Which {self._kind}? {many}"]

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
