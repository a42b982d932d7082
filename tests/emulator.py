"""The emulated screen of a terminal: what a program's output would show."""

from __future__ import annotations

import copy
import re
import unicodedata
from codecs import getincrementaldecoder
from collections import defaultdict
from collections.abc import Iterator
from itertools import islice
from typing import Any

import pyte
from pyte.screens import Char, Cursor, StaticDefaultDict, wcwidth

_ALTERNATE_SCREEN = frozenset({47, 1047, 1049})
_COLOUR_OPERANDS = {5: 1, 2: 3}


class Faint(Char):
    """A cell drawn faint (SGR 2), an attribute that pyte's own cells lack."""

    __slots__ = ()


class Screen(pyte.Screen):
    """pyte's screen, with an alternate screen, faint text and the palette's named colours."""

    def reset(self) -> None:
        super().reset()
        self._main: tuple[dict[int, StaticDefaultDict[int, Char]], Cursor] | None = None
        self.left: dict[int, StaticDefaultDict[int, Char]] | None = None
        """What the alternate screen showed when it was left."""

    def draw(self, data: str) -> None:
        # pyte drops the rest of a text after a zero-width character that is not a combining mark.
        if not (data.isascii() and data.isprintable()):
            data = "".join(char for char in data if wcwidth(char) > 0 or unicodedata.combining(char))
        super().draw(data)

    def resize(self, lines: int | None = None, columns: int | None = None) -> None:
        # pyte drops rows from the top; a terminal keeps the cursor's row, or the top on the alternate screen.
        if lines is not None and lines < self.lines:
            above = 0 if self._main is not None else max(0, self.cursor.y + 1 - lines)
            kept = [self.buffer[row + above] for row in range(lines)]
            self.buffer.clear()
            self.buffer.update(enumerate(kept))
            self.cursor.y = min(self.cursor.y - above, lines - 1)
            self.lines = lines
        super().resize(lines, columns)
        self.ensure_hbounds()

    def set_mode(self, *modes: int, **kwargs: Any) -> None:
        super().set_mode(*modes, **kwargs)
        if kwargs.get("private") and not _ALTERNATE_SCREEN.isdisjoint(modes) and self._main is None:
            self._main = self.buffer, copy.copy(self.cursor)
            self.buffer = defaultdict(lambda: StaticDefaultDict[int, Char](self.default_char))

    def reset_mode(self, *modes: int, **kwargs: Any) -> None:
        super().reset_mode(*modes, **kwargs)
        if kwargs.get("private") and not _ALTERNATE_SCREEN.isdisjoint(modes) and self._main is not None:
            hidden = self.cursor.hidden
            self.left = self.buffer
            self.buffer, self.cursor = self._main
            self.cursor.hidden = hidden
            self.ensure_hbounds()
            self.ensure_vbounds()
            self._main = None

    def select_graphic_rendition(self, *attrs: int) -> None:
        faint = isinstance(self.cursor.attrs, Faint)
        codes = iter(attrs or (0,))
        known: list[int] = []
        for code in codes:
            if code == 2:
                faint = True
            elif code in (38, 48, 58):
                known += _palette_codes(code, codes)
            else:
                faint = faint and code not in (0, 22)
                known.append(4 if code == 21 else code)
        if known:
            super().select_graphic_rendition(*known)
        drawn = self.cursor.attrs
        if drawn.bg == "bfightmagenta":  # as pyte 0.8.2 spells it
            drawn = drawn._replace(bg="brightmagenta")
        self.cursor.attrs = (Faint if faint else Char)(*drawn)


def _palette_codes(code: int, codes: Iterator[int]) -> list[int]:
    """The SGR codes of a 256-colour or 24-bit colour, whose operands are taken from `codes`.

    The first sixteen of the 256 are the terminal's named colours. An underline colour (58), which no cell stores, and
    numbers out of range give no codes.
    """
    kind = next(codes, 0)
    operands = list(islice(codes, _COLOUR_OPERANDS.get(kind, 0)))
    if code == 58 or not operands or max(operands) > 255:
        return []
    if kind == 5 and operands[0] < 16:
        number = operands[0]
        return [code - 8 + number if number < 8 else code + 52 + number - 8]
    return [code, kind, *operands]


def is_wide(char: str) -> bool:
    return bool(char) and wcwidth(char[0]) == 2


_STRING = r"[^\x07\x18\x1a\x1b]*"
_SEQUENCE = re.compile(
    r"\x1b(?:"
    r"\[(?P<parameters>[0-?]*)(?P<intermediate>[ -/]*)(?P<final>[@-~])"
    rf"|[\]PX^_]{_STRING}(?:[\x07\x18\x1a]|\x1b\\|(?=\x1b[^\\]|\Z))"
    r"|[ -/]+[0-~]"
    r"|[0-OQ-WYZ\\`-~]"
    r"|)|[\x80-\x9f]"
)
_UNFINISHED = re.compile(rf"\x1b(?:\[[0-?]*[ -/]*|[\]PX^_]{_STRING}\x1b?|[ -/]*)\Z")
_ESCAPES = frozenset("\x1b" + rest for rest in ("7", "8", "D", "E", "H", "M", "c", "#8"))
# The most parameters pyte accepts, by final character; it fails on more.
_MOST_PARAMETERS = dict.fromkeys("@ABCDEFGJKLMPXadeg", 1) | dict.fromkeys("Hfr", 2) | dict.fromkeys("hlm", 32)
_LAST_ERASE = {"J": 3, "K": 2}


class Feed:
    """Feeds output to the screen.

    Leaves out every sequence that pyte would fail on, print or misread. Holds back a sequence split between two reads
    until it is complete.
    """

    def __init__(self, screen: pyte.Screen) -> None:
        self._stream = pyte.Stream(screen)
        self._decode = getincrementaldecoder("utf-8")("replace").decode
        self._held = ""

    def __call__(self, output: bytes) -> None:
        text = self._held + self._decode(output)
        unfinished = _UNFINISHED.search(text)
        end = unfinished.start() if unfinished else len(text)
        self._held = text[end:]
        self._stream.feed(_SEQUENCE.sub(_understood, text[:end]))


def _understood(sequence: re.Match[str]) -> str:
    """A control sequence as pyte understands it; empty when it changes no cell or pyte does not know it.

    Of those with a parameter prefix (`<`, `=`, `>`, `?`), only setting and resetting private modes is kept, except the
    switch to 132 columns, which terminals today ignore by default.
    """
    final = sequence["final"]
    if final is None:
        return sequence[0] if sequence[0] in _ESCAPES else ""
    parameters = sequence["parameters"]
    if final in "su" and not parameters:
        return "\x1b7" if final == "s" else "\x1b8"
    if sequence["intermediate"] or final not in _MOST_PARAMETERS:
        return ""
    private = parameters[:1] == "?" and final in "hl" and parameters != "?3"
    if final == "m":
        parameters = ";".join(_with_semicolons(parameter) for parameter in parameters.split(";"))
    numbers = parameters[1:] if private else parameters
    if not re.fullmatch(r"[0-9;]*", numbers) or numbers.count(";") >= _MOST_PARAMETERS[final]:
        return ""
    if final in _LAST_ERASE and int(numbers or 0) > _LAST_ERASE[final]:
        return ""
    return f"\x1b[{parameters}{final}"


def _with_semicolons(parameter: str) -> str:
    """An SGR parameter with colons (ISO 8613-6) in the older form with semicolons: an underline style or a colour."""
    head, *rest = parameter.split(":")
    if not rest:
        return parameter
    if head == "4":
        return "24" if rest == ["0"] else "4"
    if len(rest) == 5 and rest[0] == "2":
        del rest[1]  # the colour space
    return ";".join([head, *rest])
