"""The alphabet: its characters, the ones that share a drawing, and the letters with accents."""

from functools import lru_cache
from types import ModuleType
from typing import NamedTuple
from unicodedata import lookup, normalize

from benchmate.letters import rows5, rows7, rows9
from benchmate.letters.glyphs import GROUND, Glyph, Lines, accented, as_glyph, hooked, read_blocks, without_empty_rows


class Face(NamedTuple):
    """The alphabet at one height.

    `rows` is the height of a plain capital in knots, `gap` the number of empty knots between two letters, and `glyphs`
    has the drawing of every character.
    """

    rows: int
    gap: int
    glyphs: dict[str, Glyph]


class _Source(NamedTuple):
    drawings: ModuleType
    gap: int
    space: int


_SOURCES = {5: _Source(rows5, 1, 2), 7: _Source(rows7, 1, 3), 9: _Source(rows9, 2, 4)}
"""The drawings at each height, and the widths in knots of the gap between letters and of a space."""

HEIGHTS = tuple(_SOURCES)
"""The possible heights of a plain capital, in rows."""

_WORDS = {
    "dotless": "LATIN SMALL LETTER DOTLESS I",
    "ze": "CYRILLIC CAPITAL LETTER ZE",
    "ou": "CYRILLIC CAPITAL LETTER U",
    "soft": "CYRILLIC CAPITAL LETTER SOFT SIGN",
    "open": "LEFT SINGLE QUOTATION MARK",
    "shut": "RIGHT SINGLE QUOTATION MARK",
    "en": "EN DASH",
    "times": "MULTIPLICATION SIGN",
    "backslash": "REVERSE SOLIDUS",
}
"""Words used in the drawings for characters that look like others, with the characters' Unicode names."""

_SHARED = {
    "GREEK": {
        **{"ALPHA": "A", "BETA": "B", "EPSILON": "E", "ZETA": "Z", "ETA": "H", "IOTA": "I", "KAPPA": "K", "MU": "M"},
        **{"NU": "N", "OMICRON": "O", "RHO": "P", "TAU": "T", "UPSILON": "Y", "CHI": "X"},
    },
    "CYRILLIC": {
        **{"A": "A", "VE": "B", "IE": "E", "KA": "K", "EM": "M", "EN": "H", "O": "O", "ER": "P", "ES": "C", "TE": "T"},
        **{"HA": "X", "BYELORUSSIAN-UKRAINIAN I": "I", "GHE": "Γ", "PE": "Π", "EF": "Φ", "IO": "Ë", "YI": "Ï"},
    },
}
"""Capitals with exactly the form of a Latin or Greek one, by Unicode name."""

SHARED = {
    lookup(f"{script} CAPITAL LETTER {name}"): drawn
    for script, names in _SHARED.items()
    for name, drawn in names.items()
}
"""Characters without their own drawing, each with the character whose drawing it shares."""

COMPOSED = (
    *"ÀÁÂÃÄÅÇÈÉÊËÌÍÎÏÑÒÓÔÕÖÙÚÛÜÝàáâãäåçèéêëìíîïñòóôõöùúûüýÿ",
    *"ĀāĂăĄąĆćČčĎĒēĖėĘęĚěĞğĠġĪīĮįİĹĺŃńŇňŌōŐőŔŕŘřŚśŞşŠšŤŪūŬŭŮůŰűŲųŸŹźŻżŽž",
    "Й",
)
"""Letters composed of a drawn letter and an accent."""

_ABOVE = {
    "\u0300": "grave",
    "\u0301": "acute",
    "\u0302": "circumflex",
    "\u0303": "tilde",
    "\u0304": "macron",
    "\u0306": "breve",
    "\u0307": "dot",
    "\u0308": "diaeresis",
    "\u030a": "ring",
    "\u030b": "double-acute",
    "\u030c": "caron",
}
_BELOW = {"\u0327": "cedilla", "\u0328": "ogonek"}


@lru_cache(maxsize=len(_SOURCES))
def face(rows: int) -> Face:
    """The alphabet with capitals `rows` knots tall, one of `HEIGHTS`. Raises KeyError for any other height."""
    source = _SOURCES[rows]
    glyphs = {" ": Glyph((GROUND * source.space,) * rows, 0, 0)}
    for name, lines in read_blocks(source.drawings.DRAWINGS):
        glyphs[lookup(_WORDS[name]) if name in _WORDS else name] = as_glyph(lines, rows)
    accents: dict[str, list[Lines]] = {}
    for name, lines in read_blocks(source.drawings.ACCENTS):
        accents.setdefault(name, []).append(without_empty_rows(lines))
    for character in COMPOSED:
        glyphs[character] = _composed(character, glyphs, accents)
    for character, drawn in SHARED.items():
        glyphs[character] = glyphs[drawn]
    return Face(rows, source.gap, glyphs)


def _composed(character: str, glyphs: dict[str, Glyph], accents: dict[str, list[Lines]]) -> Glyph:
    letter, mark = list(normalize("NFD", character))
    if mark in _BELOW:
        (hook,) = accents[_BELOW[mark]]
        return hooked(glyphs[letter], hook, at_the_right=_BELOW[mark] == "ogonek")
    # An accent replaces the dot.
    base = glyphs[lookup(_WORDS["dotless"]) if letter == "i" else letter]
    return accented(base, accents[_ABOVE[mark]], leans_right=_ABOVE[mark] != "grave")
