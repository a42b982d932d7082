"""Asks how the strings hang: they are shown as believed, and a letter a string corrects them."""

from collections.abc import Mapping, Sequence

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.lines_screen import ARROWS_AND_BACKSPACE, LinesScreen
from benchmate.bench.screens.page import foot_lines
from benchmate.bench.screens.trouble.question_page import SPOKEN
from benchmate.bench.terminal.judged_key import Key
from benchmate.bench.zones.large_field import large
from benchmate.craft.colours.colour import best_ground, ink_on
from benchmate.craft.wording.prompt_parts import Detail, joined, position
from benchmate.display import large_type
from benchmate.display.cells import Line, Span, centred, clipped, line, text_line, wrap
from benchmate.display.palette import Palette
from benchmate.piece_questions.trouble.hanging_colours import HangingColours, LetteredColour, in_words, key_in_words

QUESTION = "How do the strings hang?"
AS_CHARTED = "As charted"
LOW = 16
"""In a window of fewer lines, the letters of the strings need all there is room for."""
WIDEST = 12
"""The most cells that a string takes."""
KEYS = (
    "letter: colour",
    "enter: so they {}",
    "left/right/number: move",
    "escape: back",
    "backspace",
    "up/down: pick",
)


class HangingScreen(LinesScreen[Sequence[str]]):
    """Shows the strings from left to right; the result is their colours by name, as the maker sees them."""

    repeats = ARROWS_AND_BACKSPACE
    types = True
    question = QUESTION
    """What is asked, in large type."""
    do, does = "hang", "hangs"
    """What the strings do, and one of them."""

    def __init__(
        self,
        bench: Bench,
        believed: Sequence[str],
        colours: Sequence[LetteredColour],
        values: Mapping[str, str],
        seen: Sequence[str] = (),
        by: str = AS_CHARTED,
    ) -> None:
        """`believed` are the colours of at least one string; `values` how the colours look on this screen.

        `seen` are the colours that were typed before, `by` what the strings are believed to hang by.
        """
        super().__init__(bench)
        self._colours = colours
        self._values = values
        self._by = by
        self.hanging = HangingColours(believed, {colour.name: colour.letter for colour in colours})
        self.hanging.colours = [*(seen or believed)]

    def lines(self, width: int, height: int) -> list[Line]:
        """The question, the strings, the letters of the colours, and the keys."""
        palette = self.palette
        changed = wrap(self._changed(width - 2, 1 if height < LOW else 2), width - 2)
        feet = foot_lines([key.format(self.do) for key in KEYS], width, 3)
        below = [
            *(text_line(text, width, palette.ink, palette.ground, bold=True) for text in self._key(width, height)),
            *(text_line(text, width, palette.ink, palette.ground) for text in changed),
            *(text_line(text, width, palette.quiet, palette.panel) for text in feet),
        ]
        room = max(4, height - len(below))
        above = max(1, min(room // 3, room - 9)) if room >= 12 else 1
        heading = large(self.question, width, above, palette.field)
        strip = hanging_strip(self.hanging, self._colours, self._values, width, room - len(heading), palette)
        return [*heading, *strip, *below][:height]

    def _key(self, width: int, height: int) -> Sequence[str]:
        return clipped(key_in_words(self._colours), width - 2, max(1, height // 6))

    def _changed(self, width: int, most: int) -> str:
        """The strings that do not hang as believed, those that `most` lines hold; that they all do, else."""
        corrected = self.hanging.corrected
        if not corrected:
            return f"{self._by} so far. Correct what {self.does} differently."
        labels = {colour.name: colour.label for colour in self._colours}
        due = "chart" if self._by == AS_CHARTED else "so far"
        first = [
            f"{at + 1}: {labels[self.hanging.colours[at]]}, {due} {labels[self.hanging.believed[at]]}"
            for at in corrected
        ]
        shown = len(first)
        while shown > 1 and len(wrap(_and_more(first, shown), width)) > most:
            shown -= 1
        return _and_more(first, shown)

    def heard_first(self) -> Sequence[str]:
        """The question, how the strings hang as believed, and the keys."""
        believed = in_words(self.hanging.believed, self._colours)
        return [
            QUESTION,
            f"{self._by}, from the left: {believed}",
            f"Type a letter for each string: {letters_heard(self._colours)}",
            "Left or right: move, a number: to that string, enter: so they hang, escape: back",
        ]

    def heard(self) -> Sequence[str]:
        """The string at the cursor, and its colour."""
        hanging, count = self.hanging, len(self.hanging.colours)
        if hanging.at == count:
            return ["That was the last string. Enter: so they hang"]
        labels = {colour.name: colour.label for colour in self._colours}
        return [joined([position(hanging.at + 1, count, Detail.SHORT), labels[hanging.colours[hanging.at]]])]

    @property
    def asked(self) -> object:
        """The string at the cursor: a letter that is held down types one of them."""
        return self.hanging.at

    def take_key(self, event: Key) -> bool:
        """A letter types a colour, a number goes to its string; enter answers."""
        hanging = self.hanging
        if event.key == "escape":
            self.dismiss(None)
        elif event.key == "enter":
            self.dismiss(list(hanging.colours))
        elif event.key in ("left", "right"):
            hanging.walk(1 if event.key == "right" else -1)
            self.show()
        elif event.key in ("home", "end"):
            hanging.move(-len(hanging.colours))
            if event.key == "end":
                hanging.walk(-1)
            self.show()
        elif event.key in ("up", "down"):
            hanging.pick(1 if event.key == "down" else -1)
            self.show()
        elif event.key == "backspace":
            hanging.back()
            self.show()
        elif event.character is not None and (hanging.type(event.character) or hanging.go_to(event.character)):
            self.show()
        return True


def letters_heard(colours: Sequence[LetteredColour]) -> str:
    """The letters of the colours by ear: `d deep, f foam`."""
    return ", ".join(f"{SPOKEN.get(colour.letter, colour.letter)} {colour.label}" for colour in colours)


def _and_more(texts: Sequence[str], shown: int) -> str:
    more = [f"{len(texts) - shown} more"] if shown < len(texts) else []
    return "; ".join([*texts[:shown], *more])


def hanging_strip(
    hanging: HangingColours,
    colours: Sequence[LetteredColour],
    values: Mapping[str, str],
    width: int,
    height: int,
    palette: Palette,
) -> list[Line]:
    """Exactly `height` lines, at least 3: the numbers of the strings, their colours with letters, and the cursor.

    Above a corrected string stands the letter of the chart.
    """
    count = len(hanging.colours)
    cell = max(3, min(WIDEST, (width - 2) // max(1, count)))
    shown = max(1, min(count, (width - 2) // cell))
    first = min(max(0, hanging.at - shown // 2), count - shown)
    ground = best_ground(palette.string_grounds, list(values.values()))
    ink = ink_on(ground)
    letters = {colour.name: colour.letter for colour in colours}
    tall = max(1, height - 3)
    # All letters are drawn alike.
    large_letters = tall >= 3 and all(large_type.draw(letter, cell - 1, tall) for letter in letters.values())
    rows: list[list[Span]] = [[Span(" ", ink, ground)] for _ in range(tall + 3)]
    rows[0] = [Span("<" if first else " ", ink, ground, True)]
    for at in range(first, first + shown):
        name, here = hanging.colours[at], at == hanging.at
        was = hanging.believed[at]
        value, wide = values[name], cell - 1
        number = f">{at + 1}<" if here and len(str(at + 1)) + 2 <= wide else str(at + 1)
        rows[0].append(Span(centred(number, wide), ground if here else ink, ink if here else ground, here))
        drawn = large_type.draw(letters[name], wide, tall) if large_letters else None
        parts = [centred(row, wide) for row in drawn] if drawn else [centred(letters[name].upper(), wide)]
        above = (tall - len(parts)) // 2
        block = [" " * wide] * above + parts + [" " * wide] * (tall - above - len(parts))
        for row, text in zip(rows[1:], block, strict=False):
            row.append(Span(text, ink_on(value), value, True))
        below = f"({letters[was]})" if was != name else ""
        below = below if len(below) <= wide else below.strip("()")
        rows[tall + 1].append(Span(centred(below, wide), ink, ground, True))
        rows[tall + 2].append(Span(("^" * wide) if here else " " * wide, ink, ground, True))
        for row in rows:
            row.append(Span(" ", ink, ground))
    if first + shown < count:
        rows[0].append(Span(">", ink, ground, True))
    return [line(row, width, ground) for row in rows][:height]
