"""Asks for a thread of the box, a field a line."""

from collections.abc import Sequence

from textual import events

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.lines_screen import ARROWS_AND_BACKSPACE
from benchmate.bench.screens.page import Item
from benchmate.bench.screens.page_screen import Page, PageScreen
from benchmate.bench.terminal.judged_key import Key
from benchmate.craft.colours.terminal_colours import nearest
from benchmate.craft.thread.box_thread import BoxThread
from benchmate.files.css import parse_colour
from benchmate.piece_questions.thread import box_form
from benchmate.piece_questions.thread.box_form import ASKED, SORTS
from benchmate.piece_questions.typed_numbers import TAKES_IT

CHOSEN = ("kind", "sort")
"""The fields in which one of a few things is chosen with the arrows."""
MOST_TYPED = 200


class BoxFormScreen(PageScreen[Sequence[BoxThread]]):
    """A thread to add or to correct; the result is None when nothing is to change."""

    repeats = ARROWS_AND_BACKSPACE
    types = True

    def __init__(self, bench: Bench, kinds: Sequence[str], thread: BoxThread | None) -> None:
        """`thread` is the one to correct; None for a new one."""
        super().__init__(bench)
        self._kinds = list(kinds)
        self._thread = thread
        self._draft = (
            box_form.new_draft(bench.settings.units)
            if thread is None
            else box_form.draft_of(thread, bench.settings.units)
        )
        self._at = 0
        self._fresh = True
        """Whether the first character that is typed takes the place of what stands in the field."""
        self._says = ""
        self._unusual: frozenset[str] = frozenset()

    @property
    def _fields(self) -> list[str]:
        return box_form.asked(self._draft, new=self._thread is None)

    @property
    def _field(self) -> str:
        return self._fields[self._at]

    @property
    def asked(self) -> object:
        """The field, and what is unusual in it."""
        return self._at, self._says

    def page(self) -> Page:
        """A line for each field."""
        items = [self._item(at, field) for at, field in enumerate(self._fields)]
        last = self._at == len(items) - 1
        change = "left/right: change   " if self._field in CHOSEN else "type it   "
        enter = f"enter: {'keep it' if last else 'next'}   "
        foot = f"{change}{enter}up/down   escape: change nothing"
        return Page("A THREAD" if self._thread is None else "CORRECT", [self._says] if self._says else [], items, foot)

    def _item(self, at: int, field: str) -> Item:
        value = getattr(self._draft, field)
        shown = SORTS[value] if field == "sort" else value
        cursor = "_" if at == self._at and field not in CHOSEN else ""
        colour = parse_colour(value.strip()) if field == "colour" else None
        swatch = "" if colour is None else nearest(colour, self.depth)
        return Item(f"{ASKED[field]}: {shown}{cursor}", chosen=at == self._at, swatch=swatch)

    def heard(self) -> Sequence[str]:
        """What is wrong, then the chosen field as it stands."""
        value = getattr(self._draft, self._field)
        field = f"{ASKED[self._field]}: {SORTS[value] if self._field == 'sort' else value}"
        return [*([self._says] if self._says else []), field.removesuffix(": ")]

    def on_key(self, event: Key) -> None:
        """Types, chooses, and ends."""
        event.stop()
        key = event.key
        if key == "escape":
            self.dismiss(None)
        elif key == "enter":
            self._go_on()
        elif key in ("up", "down", "tab"):
            self._go_to(min(max(0, self._at + (-1 if key == "up" else 1)), len(self._fields) - 1))
        elif self._field in CHOSEN:
            if key in ("left", "right", "space"):
                self._choose(-1 if key == "left" else 1)
        elif key == "backspace":
            self._change("" if self._replaces else getattr(self._draft, self._field)[:-1])
        elif event.is_printable and event.character is not None:
            self._type(event.character)
        self.show()

    def on_paste(self, event: events.Paste) -> None:
        """Takes in the first line of what is pasted."""
        event.stop()
        if self._field not in CHOSEN:
            self._type(next(iter(event.text.splitlines()), ""))
        self.show()

    def _type(self, text: str) -> None:
        shown = "".join(sign for sign in text if sign.isprintable())
        self._change((("" if self._replaces else getattr(self._draft, self._field)) + shown)[:MOST_TYPED])

    @property
    def _replaces(self) -> bool:
        """Whether what is typed takes the place of a usual value, which nobody has typed."""
        return self._fresh and self._thread is None

    def _go_to(self, at: int) -> None:
        self._at, self._fresh, self._says = at, True, ""

    def _choose(self, by: int) -> None:
        of = self._kinds if self._field == "kind" else list(SORTS)
        value = getattr(self._draft, self._field)
        at = of.index(value) if value in of else -1
        self._change(of[(at + by) % len(of)])

    def _change(self, value: str) -> None:
        self._draft = self._draft._replace(**{self._field: value})
        self._says, self._fresh = "", False
        # What is usual for a length depends on what it is.
        self._unusual -= {self._field, "length" if self._field == "sort" else self._field}

    def _go_on(self) -> None:
        """Goes to the next field, or from the last one keeps the thread, unless something is wrong with what stands."""
        fields = self._fields
        units, new, last = self.bench.settings.units, self._thread is None, self._at == len(fields) - 1
        only = None if last else self._field
        doubt = box_form.doubt_about(self._draft, self._kinds, units, new=new, taken=self._unusual, only=only)
        if doubt is None and not last:
            self._go_to(self._at + 1)
        elif doubt is None:
            self.dismiss(box_form.threads(self._draft, units, 0 if self._thread is None else self._thread.number))
        elif doubt.unusual:
            # The next enter, wherever the cursor is, takes it.
            self._says = f"{doubt.says} {TAKES_IT}"
            self._unusual |= {doubt.field}
        else:
            self._says, self._at = doubt.says, fields.index(doubt.field)
