"""The alphabet: which characters there are, which share a drawing, and which are a letter with an accent."""

from functools import lru_cache
from types import ModuleType
from typing import NamedTuple
from unicodedata import lookup, normalize

from benchmate.letters import rows5, rows7, rows9
from benchmate.letters.glyphs import GROUND, Glyph, Lines, accented, hooked, inked, read_blocks, standing


class Face(NamedTuple):
    """The alphabet in one height.

    `rows` is the height of a plain capital in knots, `gap` the empty knots between two letters in the direction of
    reading, and `glyphs` has a drawing for every character.
    """

    rows: int
    gap: int
    glyphs: dict[str, Glyph]


class _Source(NamedTuple):
    drawings: ModuleType
    gap: int
    space: int


_SOURCES = {5: _Source(rows5, 1, 2), 7: _Source(rows7, 1, 3), 9: _Source(rows9, 2, 4)}
"""The drawings in each height, and the widths in knots of the gap between letters and of a space."""

HEIGHTS = tuple(_SOURCES)
"""How many rows a plain capital may stand tall."""

_SPELT = {
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
"""Words that stand in the drawings for characters that are easily taken for others, by their names in Unicode."""

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
"""Capitals with the very form of a Latin one, or of a Greek one, by their names in Unicode."""

SHARED = {
    lookup(f"{script} CAPITAL LETTER {name}"): drawn
    for script, names in _SHARED.items()
    for name, drawn in names.items()
}
"""Characters that have no drawing of their own, and the one whose drawing they share."""

COMPOSED = (
    *"ÀÁÂÃÄÅÇÈÉÊËÌÍÎÏÑÒÓÔÕÖÙÚÛÜÝàáâãäåçèéêëìíîïñòóôõöùúûüýÿ",
    *"ĀāĂăĄąĆćČčĎĒēĖėĘęĚěĞğĠġĪīĮįİĹĺŃńŇňŌōŐőŔŕŘřŚśŞşŠšŤŪūŬŭŮůŰűŲųŸŹźŻżŽž",
    "Й",
)
"""Letters made of a letter that is drawn and an accent."""

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
    """The alphabet with capitals of `rows` knots, one of `HEIGHTS`; raises KeyError for another height."""
    source = _SOURCES[rows]
    glyphs = {" ": Glyph((GROUND * source.space,) * rows, 0, 0)}
    for name, lines in read_blocks(source.drawings.DRAWINGS):
        glyphs[lookup(_SPELT[name]) if name in _SPELT else name] = standing(lines, rows)
    accents: dict[str, list[Lines]] = {}
    for name, lines in read_blocks(source.drawings.ACCENTS):
        accents.setdefault(name, []).append(inked(lines))
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
    # An accent takes the place of the dot.
    base = glyphs[lookup(_SPELT["dotless"]) if letter == "i" else letter]
    return accented(base, accents[_ABOVE[mark]], leans_right=_ABOVE[mark] != "grave")
