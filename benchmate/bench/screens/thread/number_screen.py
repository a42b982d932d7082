"""Asks for a number, mostly a length, in type that is read from a metre away."""

from collections.abc import Mapping, Sequence

from textual import events

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.lines_screen import ARROWS_AND_BACKSPACE
from benchmate.bench.screens.page import Item, foot_lines
from benchmate.bench.screens.page_screen import Page, PageScreen
from benchmate.bench.terminal.judged_key import Key
from benchmate.bench.zones.large_field import large
from benchmate.display.cells import Line, clipped, text_line
from benchmate.piece_questions.typed_numbers import MEANS, MOST_TYPED, TAKES_IT, Asked, Typed, Wish, judge

KEYS = {"escape": Wish.SKIP}
"""The keys of what else can be wished, beside enter, where a screen has no others."""
MOST_TEXT, ROOMY = 2, 16
"""The most lines of what there is to know in a window of fewer lines than this; in others it is a quarter of them."""
TYPES = frozenset(" .,/-\"'")
"""What may be typed beside letters and digits."""


class NumberScreen(PageScreen[Typed]):
    """A number, typed. A number that is far from usual is asked about once, and taken by the second enter."""

    repeats = ARROWS_AND_BACKSPACE
    types = True

    def __init__(
        self,
        bench: Bench,
        asked: Asked,
        typed: str = "",
        keys: Mapping[str, Wish] = KEYS,
        means: Mapping[Wish, str] | None = None,
        *,
        begun: str = "",
    ) -> None:
        """`typed` stands there at first; the first character that is typed takes its place.

        Where the number was `begun` on the screen before, that stands there instead, and typing goes on after it.

        `keys` are those of what else can be wished, and `means` what these do, where the usual words do not fit.
        """
        super().__init__(bench)
        self._asked = asked
        self._typed = begun or typed
        self._fresh = bool(typed) and not begun
        self._keys = keys
        self._means = {**MEANS, **(means or {})}
        self._says = ""
        self._doubted: float | None = None

    @property
    def asked(self) -> object:
        """Whether a number that is far from usual is to be taken."""
        return self._doubted

    def page(self) -> Page:
        """The question, what is typed, and what it is taken for."""
        asked = self._asked
        # What a number is taken for comes first: a small window has no room for all of it.
        texts = [self._says] if self._says else [*self._taken_for(), *asked.texts]
        wishes = "   ".join(f"{key}: {self._means[wish]}" for key, wish in self._keys.items())
        foot = f"digits, then enter   {wishes}"
        return Page(asked.heading, texts, [Item(f"{asked.question}: {self._typed or self._blank}", chosen=True)], foot)

    @property
    def _blank(self) -> str:
        """What stands there until something is typed: `? cm`."""
        return f"? {self._asked.unit}".rstrip()

    def _taken_for(self) -> list[str]:
        number = self._asked.read(self._typed) if self._typed else None
        return [] if number is None else [f"That is {self._asked.words(number)}."]

    def heard_first(self) -> Sequence[str]:
        """The heading, the question, what there is to know, and the keys."""
        asked = self._asked
        *_, foot = self.page()
        return [asked.heading.capitalize(), *self._parts(), foot.replace("   ", ", ")]

    def heard(self) -> Sequence[str]:
        """What is typed, as it is taken, then what is said about it; before anything is typed, the question."""
        return self._parts()

    def _parts(self) -> list[str]:
        asked = self._asked
        number = asked.read(self._typed) if self._typed else None
        typed = self._typed.replace(",", ".") if number is None else asked.spoken(number)
        in_unit = f"In {asked.spoken_unit}." if asked.unit and not typed else ""
        return [part for part in (typed, self._says, asked.question, *asked.texts, in_unit) if part]

    def lines(self, width: int, height: int) -> list[Line]:
        """The heading, the question and what is typed as large as they fit, what there is to know, and the keys."""
        palette, asked = self.palette, self._asked
        heading, texts, _, foot = self.page()
        feet = [
            text_line(part, width, palette.quiet, palette.panel) for part in foot_lines(foot.split("   "), width, 2)
        ]
        room = max(2, height - 1 - len(feet))
        most = MOST_TEXT if height < ROOMY else room // 4
        told = [part for text in texts for part in clipped(text, max(1, width - 2), most)][:most]
        ink, ground = (palette.alarm_ink, palette.alarm) if self._says else (palette.ink, palette.ground)
        below = [text_line(text, width, ink, ground, bold=True) for text in told]
        room = max(2, room - len(below))
        question = large(asked.question, width, room // 2, palette.ground)
        typed = large(self._typed or self._blank, width, room - room // 2, palette.panel)
        head = text_line(heading, width, palette.ink, palette.head, bold=True)
        return [head, *question, *typed, *below, *feet][:height]

    def on_key(self, event: Key) -> None:
        """Types, takes, and whatever else can be wished."""
        event.stop()
        key = event.key
        if key in self._keys:
            self.dismiss(Typed(self._keys[key]))
        elif key == "enter":
            self._take()
        elif key == "backspace":
            self._change("" if self._fresh else self._typed[:-1])
        elif event.is_printable and event.character is not None:
            self._type(event.character)
        self.show()

    def on_paste(self, event: events.Paste) -> None:
        """Takes in the first line of what is pasted."""
        event.stop()
        self._type(next(iter(event.text.splitlines()), ""))
        self.show()

    def _type(self, text: str) -> None:
        kept = "".join(sign for sign in text if (sign.isascii() and sign.isalnum()) or sign in TYPES)
        if kept:
            self._change(((("" if self._fresh else self._typed) + kept).lstrip())[:MOST_TYPED])

    def _change(self, text: str) -> None:
        self._typed, self._fresh, self._says, self._doubted = text, False, "", None

    def _take(self) -> None:
        judged = judge(self._asked, self._typed, self._doubted)
        self._doubted = judged.doubted
        if judged.number is not None:
            self.dismiss(Typed(Wish.TAKE, judged.number))
        else:
            self._says = f"{judged.says} {TAKES_IT}" if judged.doubted is not None else judged.says
