"""Turns a text into a chart, with the letters in one line along the band.

The band is knotted from its top and the text runs along it, so it runs down the chart, with the letters' height across
the band. The letters are turned clockwise: they read from the start of the band to its end, with their tops to the
right. Upside down they are turned the other way: they read from the end to the start, with their tops to the left.

Plain capitals, digits and small letters without a tail fit into the chosen number of rows. Accents add as many rows as
needed at the letters' tops; tails, commas and hooks add them at the feet.
"""

from typing import NamedTuple
from unicodedata import category, normalize

from benchmate.craft.design import MOST_STEPS, MOST_STRINGS
from benchmate.craft.thread.gauge import FLOSS, Gauge
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.length_words import fine_words
from benchmate.files.safe_text import hidden_in, quoted
from benchmate.letters.alphabet import HEIGHTS, Face, face
from benchmate.letters.glyphs import GROUND, Glyph

_LONGEST_TITLE = 60
_MOST_NAMED = 10
_MOST_PLACES = 3


class CannotSet(ValueError):
    """A text that cannot be set. The message says why, in words safe to show."""


class MissingCharacter(NamedTuple):
    """A character that is not in the alphabet, and its places in the composed text, from 1."""

    character: str
    places: tuple[int, ...]


class NotInAlphabet(CannotSet):
    """A text with characters that are not in the alphabet: all of them, in the order they first occur."""

    def __init__(self, missing: tuple[MissingCharacter, ...], with_capitals: tuple[str, ...]) -> None:
        self.missing = missing
        """The characters with their places."""
        message = f"the alphabet has no {_named(missing)}"
        if with_capitals:
            message += f"; use the capital for {_listed([quoted(each) for each in with_capitals], _MOST_NAMED)}"
        super().__init__(message)


class Setting(NamedTuple):
    """A text ready to be knotted.

    `chart` has a line of `.` (ground) and `#` (ink) for each row of knots, top row first, all of one width. A plain
    capital is `rows` knots tall. Accents take `above` more, tails `below` more.
    """

    text: str
    chart: tuple[str, ...]
    rows: int
    above: int
    below: int
    upside_down: bool

    @property
    def wide(self) -> int:
        """The number of columns: knots in a row."""
        return len(self.chart[0])

    @property
    def long(self) -> int:
        """The number of rows along the band."""
        return len(self.chart)

    @property
    def words(self) -> str:
        """The height and direction of the letters, in one sentence."""
        more = [f"{self.above} more for accents"] if self.above else []
        more += [f"{self.below} more for tails"] if self.below else []
        field = f"Capitals {self.rows} knots tall" + (", " + " and ".join(more) if more else "")
        if self.upside_down:
            return f"{field}; they read from the end of the band to its start, tops to the left."
        return f"{field}; they read from the start of the band to its end, tops to the right."


class Measures(NamedTuple):
    """The size of a band by a gauge: in knots and rows, and in mm; for people in `units`."""

    wide: int
    long: int
    width_mm: float
    length_mm: float
    gauge: Gauge
    units: str = "cm"

    @property
    def words(self) -> str:
        """Such as `17 knots wide (4.2 cm), 96 rows long (18.2 cm)`, and whether that is an estimate."""
        knots = f"{counted(self.wide, 'knot')} wide ({fine_words(self.width_mm, self.units)})"
        rows = f"{counted(self.long, 'row')} long ({fine_words(self.length_mm, self.units)})"
        estimate = "" if self.gauge.seen else ", estimated for six-strand floss; measure a swatch for your own"
        return f"{knots}, {rows}{estimate}"


def set_text(text: str, rows: int, *, upside_down: bool = False, edge: int = 1, ends: int = 2) -> Setting:
    """The text, composed (NFC), in letters of 5, 7 or 9 rows.

    `edge` is the number of ground columns along each edge, `ends` the number of ground rows before and after the text.
    Raises NotInAlphabet with every character that is missing. Raises CannotSet for a text that is empty, blank or has
    control characters, for another height, for negative margins, and for over 500 columns or 200,000 knots.
    """
    if rows not in HEIGHTS:
        raise CannotSet(f"letters can be {', '.join(map(str, HEIGHTS[:-1]))} or {HEIGHTS[-1]} rows tall, not {rows}")
    if min(edge, ends) < 0:
        raise CannotSet("a margin must be a whole number from 0, such as 2")
    text = normalize("NFC", text)
    used = face(rows)
    _check(text, used)
    glyphs = [used.glyphs[character] for character in text]
    above, below = max(glyph.above for glyph in glyphs), max(glyph.below for glyph in glyphs)
    wide = above + rows + below + 2 * edge
    long = sum(glyph.width for glyph in glyphs) + used.gap * (len(glyphs) - 1) + 2 * ends
    if wide > MOST_STRINGS:
        raise CannotSet(f"the band would be {wide} knots wide; the limit is {MOST_STRINGS}")
    if wide * long > MOST_STEPS:
        raise CannotSet(f"the text would take {wide * long} knots, in {long} rows of {wide}; the limit is {MOST_STEPS}")
    turned = {character: _turned(used.glyphs[character], above, below, edge) for character in set(text)}
    empty = GROUND * wide
    chart = [empty] * ends
    for place, character in enumerate(text):
        chart += [empty] * (used.gap if place else 0)
        chart += turned[character]
    chart += [empty] * ends
    if upside_down:
        chart = [row[::-1] for row in reversed(chart)]
    return Setting(text, tuple(chart), rows, above, below, upside_down)


def measures(setting: Setting, gauge: Gauge = FLOSS, units: str = "cm") -> Measures:
    """The size of the setting by the gauge."""
    wide, long = setting.wide, setting.long
    return Measures(wide, long, wide * gauge.wide_mm, long * gauge.base_mm, gauge, units)


def title_of(text: str) -> str:
    """The text as the title of its design: on one line, and cut where it is long."""
    words = " ".join(text.split())
    return words if len(words) <= _LONGEST_TITLE else words[: _LONGEST_TITLE - 1].rstrip() + "…"


def _check(text: str, used: Face) -> None:
    if not text:
        raise CannotSet("the text is empty")
    if hidden := hidden_in(text):
        at = [f"U+{ord(each):04X} at place {place}" for place, each in enumerate(text, 1) if each in hidden]
        raise CannotSet(f"the text has control or other hidden characters: {_listed(at, _MOST_NAMED)}")
    places: dict[str, list[int]] = {}
    for place, character in enumerate(text, 1):
        if character not in used.glyphs:
            places.setdefault(character, []).append(place)
    if places:
        missing = tuple(MissingCharacter(character, tuple(at)) for character, at in places.items())
        raise NotInAlphabet(missing, tuple(each for each in places if each.upper() in used.glyphs))
    if not text.strip(" "):
        raise CannotSet("the text is only spaces")


def _named(missing: tuple[MissingCharacter, ...]) -> str:
    names = []
    for character, places in missing:
        place = f"{'place' if len(places) == 1 else 'places'} {_listed([*map(str, places)], _MOST_PLACES)}"
        point = f"U+{ord(character):04X}"
        # A combining mark would join the character before it.
        name = f"{point} ({place})" if category(character)[0] == "M" else f"{quoted(character)} ({point}, {place})"
        names.append(name)
    return _listed(names, _MOST_NAMED)


def _listed(parts: list[str], most: int) -> str:
    if len(parts) > most:
        parts = [*parts[:most], f"{len(parts) - most} more"]
    return " and ".join([", ".join(parts[:-1]), parts[-1]] if len(parts) > 1 else parts)


def _turned(glyph: Glyph, above: int, below: int, edge: int) -> list[str]:
    """The letter turned clockwise, one row of knots for each of its columns: foot to the left, top to the right."""
    left = GROUND * (edge + below - glyph.below)
    right = GROUND * (edge + above - glyph.above)
    return [left + "".join(column) + right for column in zip(*reversed(glyph.lines), strict=True)]
