"""Setting a text: letters in a line along the band, turned a quarter and written down as a chart.

The band is knotted from its top, and the text runs along it, so a line of text goes down the chart: the height of the
letters lies across the band. The letters are turned clockwise: they read from the start of the band to its end, and
their tops point to the right edge. Upside down they are turned the other way: they read from the end to the start, and
their tops point to the left edge.

Plain capitals, digits and small letters without a tail keep to the named number of rows. For an accent with no room
over its letter the field grows on the side of the tops, and for tails, commas and hooks on the side of the feet, by as
many rows as the text needs and no more.
"""

from typing import NamedTuple
from unicodedata import category, normalize

from benchmate.craft.design import MOST_STEPS, MOST_STRINGS
from benchmate.craft.gauge import ALPHA_ROW, KNOT_WIDE
from benchmate.craft.wording.counting import counted
from benchmate.families.alpha.writing import alpha_text
from benchmate.files.words import hidden_in, quoted
from benchmate.letters.alphabet import HEIGHTS, Face, face
from benchmate.letters.glyphs import GROUND, INK, Glyph

GROUND_COLOUR, INK_COLOUR = "#efe8da", "#27364a"
"""Undyed linen and a blue near black: 10 to 1 in contrast."""

_LONGEST_TITLE = 60
_MOST_NAMED = 10
_MOST_PLACES = 3


class CannotSet(ValueError):
    """A text that cannot be set; the message says why in plain words that are safe to show."""


class Lacking(NamedTuple):
    """A character the alphabet has no letter for, and its places in the composed text, from 1."""

    character: str
    places: tuple[int, ...]


class NoSuchCharacter(CannotSet):
    """A text with characters the alphabet lacks: all of them, in the order they first occur."""

    def __init__(self, lacking: tuple[Lacking, ...], with_capitals: tuple[str, ...]) -> None:
        self.lacking = lacking
        """The characters with their places."""
        message = f"the alphabet has no {_named(lacking)}"
        if with_capitals:
            message += f"; it has the capital of {_listed([quoted(each) for each in with_capitals], _MOST_NAMED)}"
        super().__init__(message)


class Setting(NamedTuple):
    """A text as it is to be knotted.

    `chart` has a line of `.` (ground) and `#` (ink) for each row of knots, top row first, all of one width. Across the
    band a plain capital takes `rows` knots, what stands higher `above` more, and what hangs below `below` more.
    """

    text: str
    chart: tuple[str, ...]
    rows: int
    above: int
    below: int
    upside_down: bool

    @property
    def wide(self) -> int:
        """Knots in a row: the columns of the chart."""
        return len(self.chart[0])

    @property
    def long(self) -> int:
        """Rows of knots along the band."""
        return len(self.chart)

    @property
    def words(self) -> str:
        """How the letters stand, in one sentence."""
        more = [f"{self.above} more for what stands higher"] if self.above else []
        more += [f"{self.below} more for what hangs below"] if self.below else []
        field = f"Capitals {self.rows} knots tall" + (", " + " and ".join(more) if more else "")
        if self.upside_down:
            return f"{field}; the letters read from the end of the band to its start, with their tops to the left."
        return f"{field}; the letters read from the start of the band to its end, with their tops to the right."


class Gauge(NamedTuple):
    """What a knot of an alpha band measures in mm: across the band, and along it from one row to the next."""

    knot_width: float
    row_height: float
    from_swatch: bool = True


DEFAULT_GAUGE = Gauge(KNOT_WIDE, ALPHA_ROW, from_swatch=False)
"""Six-strand floss, derived from the geometry of the thread and not measured: weak until a swatch corrects it."""


class Measures(NamedTuple):
    """How large a setting comes out by a gauge: in knots and rows, and in mm."""

    wide: int
    long: int
    width_mm: float
    length_mm: float
    gauge: Gauge

    @property
    def words(self) -> str:
        """Such as `17 knots wide (4.2 cm), 96 rows long (18.2 cm)`, and how far that can be trusted."""
        knots = f"{counted(self.wide, 'knot')} wide ({self.width_mm / 10:.1f} cm)"
        rows = f"{counted(self.long, 'row')} long ({self.length_mm / 10:.1f} cm)"
        weak = "" if self.gauge.from_swatch else ", by the default gauge, which is weak until a swatch corrects it"
        return f"{knots}, {rows}{weak}"


def set_text(text: str, rows: int, *, upside_down: bool = False, edge: int = 1, ends: int = 2) -> Setting:
    """The text, composed (NFC), in letters of 5, 7 or 9 rows.

    `edge` is the number of columns of ground along either edge, `ends` that of rows of ground before and after. Raises
    NoSuchCharacter with every character the alphabet lacks, and CannotSet for text that is empty, only spaces or has
    control characters in it, for another height, for negative margins, and for more than 500 columns or 200,000 knots.
    """
    if rows not in HEIGHTS:
        raise CannotSet(f"letters are {_listed([*map(str, HEIGHTS)], len(HEIGHTS))} rows tall, not {rows}")
    if min(edge, ends) < 0:
        raise CannotSet("a margin cannot be less than no knots")
    text = normalize("NFC", text)
    used = face(rows)
    _check(text, used)
    glyphs = [used.glyphs[character] for character in text]
    above, below = max(glyph.above for glyph in glyphs), max(glyph.below for glyph in glyphs)
    wide = above + rows + below + 2 * edge
    long = sum(glyph.width for glyph in glyphs) + used.gap * (len(glyphs) - 1) + 2 * ends
    if wide > MOST_STRINGS:
        raise CannotSet(f"the band would be {wide} knots wide: at most {MOST_STRINGS} can be worked")
    if wide * long > MOST_STEPS:
        raise CannotSet(
            f"the text makes {wide * long} knots, in {long} rows of {wide}: at most {MOST_STEPS} can be worked"
        )
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


def measures(setting: Setting, gauge: Gauge = DEFAULT_GAUGE) -> Measures:
    """How large the setting comes out by the gauge: each knot across and each row along counts once."""
    wide, long = setting.wide, setting.long
    return Measures(wide, long, wide * gauge.knot_width, long * gauge.row_height, gauge)


def design_text(setting: Setting, *, ground: str = GROUND_COLOUR, ink: str = INK_COLOUR) -> str:
    """The setting as the text of an alpha design, its base strings in the colour of the ground (`#rrggbb`)."""
    colours = {"ground": ground, "ink": ink}
    key = {GROUND: "ground", INK: "ink"}
    return alpha_text(_title(setting.text), colours, "ground", key, setting.chart, notes=setting.words)


def letters_design(text: str, rows: int, *, upside_down: bool = False, edge: int = 1, ends: int = 2) -> str:
    """The text as the text of an alpha design in the default colours; arguments and errors are those of `set_text`."""
    return design_text(set_text(text, rows, upside_down=upside_down, edge=edge, ends=ends))


def _check(text: str, used: Face) -> None:
    if not text:
        raise CannotSet("there is no text to set: it is empty")
    if hidden := hidden_in(text):
        at = [f"U+{ord(each):04X} in place {place}" for place, each in enumerate(text, 1) if each in hidden]
        raise CannotSet(f"the text has control or other hidden characters in it: {_listed(at, _MOST_NAMED)}")
    places: dict[str, list[int]] = {}
    for place, character in enumerate(text, 1):
        if character not in used.glyphs:
            places.setdefault(character, []).append(place)
    if places:
        lacking = tuple(Lacking(character, tuple(at)) for character, at in places.items())
        raise NoSuchCharacter(lacking, tuple(each for each in places if each.upper() in used.glyphs))
    if not text.strip(" "):
        raise CannotSet("there is no text to set: it is only spaces")


def _named(lacking: tuple[Lacking, ...]) -> str:
    names = []
    for character, places in lacking:
        place = f"{'place' if len(places) == 1 else 'places'} {_listed([*map(str, places)], _MOST_PLACES)}"
        point = f"U+{ord(character):04X}"
        # A mark alone would join the sign before it.
        name = f"{point} ({place})" if category(character)[0] == "M" else f"{quoted(character)} ({point}, {place})"
        names.append(name)
    return _listed(names, _MOST_NAMED)


def _listed(parts: list[str], most: int) -> str:
    if len(parts) > most:
        parts = [*parts[:most], f"{len(parts) - most} more"]
    return " and ".join([", ".join(parts[:-1]), parts[-1]] if len(parts) > 1 else parts)


def _turned(glyph: Glyph, above: int, below: int, edge: int) -> list[str]:
    """The letter turned clockwise, a row of knots for each of its columns: foot to the left, top to the right."""
    left = GROUND * (edge + below - glyph.below)
    right = GROUND * (edge + above - glyph.above)
    return [left + "".join(column) + right for column in zip(*reversed(glyph.lines), strict=True)]


def _title(text: str) -> str:
    words = " ".join(text.split())
    return words if len(words) <= _LONGEST_TITLE else words[: _LONGEST_TITLE - 1].rstrip() + "…"
