"""Cleans what a terminal sends, so that every piece passed on is one that the framework's parser takes at once.

A terminal sends more than keys: answers, mouse reports, pasted text, keys in newer forms, and sometimes noise. Whatever
it sends is data: it ends nothing, and nothing in it keeps later keys from working.
"""

import re
from codecs import getincrementaldecoder
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from textual._ansi_sequences import ANSI_SEQUENCES_KEYS
from textual._keyboard_protocol import FUNCTIONAL_KEYS
from textual.constants import ESCAPE_DELAY

ESCAPE, CTRL_C = "\x1b", "\x03"
ALWAYS = frozenset({CTRL_C, "\x1b[99;5u"})
"""Ctrl+c, in both forms: it works whatever else arrives."""
SEQUENCE_WAIT = ESCAPE_DELAY
"""Seconds without input after which an unfinished sequence is over; alone, its beginning was a key of its own.

A tenth, unless the environment says otherwise.
"""
PASTE_WAIT = 1.0
"""Seconds without input after which a paste whose end never came is over."""
LONGEST_PASTE = 1 << 20
"""The most characters of a paste."""
LONGEST = 256
"""The most characters of a sequence; a longer one is dropped whole."""
STRINGS = "]P_^"
"""What follows the escape that begins a string, such as a terminal's answer; no string is a key."""
PASTE_BEGINS, PASTE_ENDS = "\x1b[200~", "\x1b[201~"
LAST_CODE, MOST_DIGITS = 0x10FFFF, 7
"""The last code of a character, and the digits it has."""
REPEAT, RELEASE = "2", "3"
"""The newer protocol's events of a key that is held down, and of one let go."""
MODIFIED = 27
"""The number of a function key that means: another key, held together with these."""
WIDEST, TALLEST = 1500, 600
"""The largest window that a terminal's report is believed about, in cells."""

_PASSED = re.compile(r"\x1b\[(?:[IO]|\?(?:2026|2048);\d\$y)")
"""Focus gained and lost, and the answers to the framework's own questions."""
_RESIZED = re.compile(r"\x1b\[48;(\d{1,4})(?::\d+)*;(\d{1,4})(?::\d+)*;[1-9]\d{0,5}(?::\d+)*;[1-9]\d{0,5}(?::\d+)*t")
_MOUSE = re.compile(r"\x1b\[<(\d{1,4});-?\d+;-?\d+M")
"""A button of the mouse going down, as a terminal reports it (SGR form, mode 1006): the button, and where."""
_BUTTONS = {0: "mouseleft", 2: "mouseright"}
"""The buttons by their numbers. The wheel, a motion and a drag have other numbers."""
_HELD_WITH = 4 | 8 | 16
"""In the number of a button: shift, alt and ctrl, which do not matter."""
_KEY = re.compile(
    r"\x1b\[(?P<code>\d{0,7})(?::(?P<shifted>\d{0,7}))?(?::\d{0,7})?"
    r"(?:;(?P<held_with>\d{0,3})(?::(?P<event>[123]))?(?:;(?P<text>[\d:]*))?)?(?P<end>[u~A-FHPQRS])"
)
"""A key in the newer keyboard protocol: its code and the shifted one, the keys held with it, the event, the text."""
_SHIFT, _LOCKS = 1, 64 | 128


class Typed(NamedTuple):
    """One key, or one message of the terminal, as the parser takes it.

    `held` is true when the terminal says that the key repeats because it is held down, `alt` when the key was pressed
    together with alt. `button` is true for a button of the mouse, of which `sequence` is the name; no parser knows it.
    """

    sequence: str
    held: bool = False
    alt: bool = False
    button: bool = False


class KeyStream:
    """Turns bytes, in reads of any size, into what the parser takes; drops the rest.

    Bytes that are no text, pastes, releases of keys, answers to other programs, and sequences that are unknown or cut
    short are dropped; of what a mouse does, all but its two buttons going down.
    """

    def __init__(self) -> None:
        self._decode = getincrementaldecoder("utf-8")(errors="ignore").decode
        self._at = float("-inf")
        self._sequence = ""
        self._pasted: int | None = None
        self._end = ""

    def feed(self, data: bytes, at: float) -> Iterator[Typed]:
        """What the bytes read at the time `at` (in seconds) complete."""
        self._at = at
        for sign in self._decode(data):
            yield from self._take(sign)

    def quiet(self, at: float) -> Iterable[Typed]:
        """To call when nothing was there to read at the time `at`; gives up what has been unfinished for too long."""
        waited = at - self._at
        if self._pasted is not None and waited >= PASTE_WAIT:
            self._pasted = None
        return self._cut_short() if waited >= SEQUENCE_WAIT else ()

    def _take(self, sign: str) -> Iterable[Typed]:
        if self._pasted is not None:
            return self._in_paste(sign)
        if sign == CTRL_C:
            self._sequence = ""
            return (Typed(sign),)
        if not self._sequence:
            if sign == ESCAPE:
                self._sequence = sign
                return ()
            return (Typed(sign),)
        if len(self._sequence) > 1 and self._sequence[1] in STRINGS:
            return self._in_string(sign)
        return self._in_sequence(sign)

    def _in_paste(self, sign: str) -> Iterable[Typed]:
        assert self._pasted is not None
        self._pasted += 1
        self._end = (self._end + sign)[-len(PASTE_ENDS) :]
        if self._end == PASTE_ENDS or self._pasted >= LONGEST_PASTE:
            self._pasted = None
        return (Typed(sign),) if sign == CTRL_C else ()

    def _in_string(self, sign: str) -> Iterable[Typed]:
        begun = self._sequence
        if begun.endswith(ESCAPE):
            self._sequence = ""
            return () if sign == "\\" else (*self._take(ESCAPE), *self._take(sign))
        if sign == "\x07":
            self._sequence = ""
        elif sign == ESCAPE:
            self._sequence += sign
        elif _is_control(sign):
            return (*self._cut_short(), *self._take(sign))
        elif len(begun) == 2:
            # What it says does not matter, only that it says something.
            self._sequence += sign
        return ()

    def _in_sequence(self, sign: str) -> Iterable[Typed]:
        whole = self._sequence + sign
        if sign == ESCAPE or (len(whole) > 2 and (_is_control(sign) or not sign.isascii())):
            return (*self._cut_short(), *self._take(sign))
        if whole in ANSI_SEQUENCES_KEYS:
            self._sequence = ""
            return (Typed(whole),)
        if len(whole) == 2:
            goes_on = sign in "[O" or sign in STRINGS
            self._sequence = whole if goes_on else ""
            return () if goes_on else (Typed(sign, alt=True),)
        if self._goes_on(whole):
            # Longer than the longest means that it is dropped, so the rest need not be kept.
            self._sequence = whole[:LONGEST]
            return ()
        self._sequence = ""
        return self._complete(whole)

    @staticmethod
    def _goes_on(whole: str) -> bool:
        """Whether more must follow these three or more characters."""
        if whole[1] == "O":
            return False
        # Two kinds that the grammar of sequences does not know: a mouse report, and function keys of a console.
        if whole[2] == "M":
            return len(whole) < 6
        return whole == "\x1b[[" or " " <= whole[-1] <= "?"

    def _complete(self, whole: str) -> Iterable[Typed]:
        if whole == PASTE_BEGINS:
            self._pasted, self._end = 0, ""
            return ()
        if len(whole) > LONGEST:
            return ()
        if _PASSED.fullmatch(whole) or _is_resize(whole):
            return (Typed(whole),)
        mouse = _MOUSE.fullmatch(whole)
        if mouse is not None:
            name = _BUTTONS.get(int(mouse[1]) & ~_HELD_WITH)
            return () if name is None else (Typed(name, button=True),)
        key = _KEY.fullmatch(whole)
        return () if key is None else _keys(key)

    def _cut_short(self) -> Iterable[Typed]:
        """What an unfinished sequence is: the escape key or one with alt if hardly begun, otherwise nothing."""
        begun, self._sequence = self._sequence, ""
        if begun == ESCAPE:
            return (Typed(begun),)
        return (Typed(begun[1], alt=True),) if len(begun) == 2 else ()


def _is_control(sign: str) -> bool:
    return sign < " " or sign == "\x7f"


def _is_resize(whole: str) -> bool:
    found = _RESIZED.fullmatch(whole)
    return found is not None and 0 < int(found[1]) <= TALLEST and 0 < int(found[2]) <= WIDEST


def _keys(key: re.Match[str]) -> Iterable[Typed]:
    """A key of the newer protocol in its older form: without alternate codes and event; a release is nothing."""
    code, held_with, end = int(key["code"] or "1"), key["held_with"] or "", key["end"]
    modified = end == "~" and code == MODIFIED
    known = end == "u" or modified or f"{code}{end}" in FUNCTIONAL_KEYS
    if key["event"] == RELEASE or not known or not _is_character(code):
        return
    texts = [int(each) for each in (key["text"] or "").split(":") if each and len(each) <= MOST_DIGITS]
    texts = [each for each in texts if _is_character(each) and (modified or chr(each).isprintable())]
    if not texts and key["shifted"] and (int(held_with or "1") - 1) & ~_LOCKS == _SHIFT:
        texts = [int(key["shifted"])] if _is_character(int(key["shifted"])) else []
    if not texts and (modified or not code):
        return
    held = key["event"] == REPEAT
    for text in texts:
        yield Typed(f"\x1b[{code};{held_with};{text}{end}", held)
    if not texts:
        yield Typed(f"\x1b[{code}{held_with and f';{held_with}'}{end}", held)


def _is_character(code: int) -> bool:
    return code <= LAST_CODE and not 0xD800 <= code <= 0xDFFF
