"""Goes to any row, knot or step, and first shows what that means."""

from collections.abc import Sequence

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.lines_screen import ARROWS_AND_BACKSPACE
from benchmate.bench.screens.page import Item, fits_whole, page
from benchmate.bench.screens.page_screen import Page, PageScreen
from benchmate.bench.screens.trouble.lost_place_screen import LostPlaceScreen
from benchmate.bench.terminal.judged_key import Key
from benchmate.display.cells import Line
from benchmate.piece_questions import jump_targets
from benchmate.piece_questions.trouble.lost_place import FoundPlace, can_find
from benchmate.store.open_piece import OpenPiece

LOST = "w"
"""The key for a lost place."""


class JumpScreen(PageScreen[FoundPlace]):
    """Takes the number of a row, a knot or a step, or looks for a lost place; the result is the place to go to.

    In every way of working, a row begins when all rows before it are tied.
    """

    repeats = ARROWS_AND_BACKSPACE

    def __init__(self, bench: Bench, held: OpenPiece) -> None:
        """`held` has at least one step."""
        super().__init__(bench)
        self._held = held
        self._kinds = {kind[0]: kind for kind in jump_targets.kinds(held.whole)}
        self._kind = next(iter(self._kinds.values()))
        self._digits = ""
        self._end = False
        """Goes to the end instead of a number."""

    def lines(self, width: int, height: int) -> list[Line]:
        """The page; in a small window in fewer lines and then in fewer words, so that nothing of it is cut."""
        heading, texts, items, foot = self.page()
        if not fits_whole(texts, items, foot, width, height):
            heading, items = self._place, []
        if not fits_whole(texts, items, foot, width, height) and (target := self._target) is not None:
            texts = jump_targets.meaning(self._held, self._kind, target, briefly=True)
        return page(heading, texts, items, foot, width, height, self.palette)

    def page(self) -> Page:
        """The number typed so far, and what going there would mean."""
        target, texts = self._meaning()
        items = [Item(self._place, chosen=True)]
        kinds = "".join(f"{key} {kind}   " for key, kind in self._kinds.items()) if len(self._kinds) > 1 else ""
        lost = f"{LOST} where am I?   " if can_find(self._held) else ""
        foot = f"digits   {kinds}e end   {lost}"
        foot += "enter: go   escape: stay" if target is not None else "escape: stay"
        return Page("GO TO", texts, items, foot)

    @property
    def _place(self) -> str:
        """`go to knot: 61`."""
        return f"go to {self._kind}: {'end' if self._end else self._digits or '_'}"

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
                self.dismiss(FoundPlace(target, {}))
            return
        if event.key == LOST and can_find(self._held):
            self.app.push_screen(LostPlaceScreen(self.bench, self._held), self._found)
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

    def _found(self, place: FoundPlace | None) -> None:
        """Goes to the place that was found; else stays."""
        if place is not None:
            self.dismiss(place)
