"""A thread of the box from texts that a person wrote: each is checked, and the message says what it must be."""

import re
from collections.abc import Callable, Mapping
from decimal import Decimal

from benchmate.craft.thread.box_thread import MOST_MM
from benchmate.craft.thread.gauge import FLOSS
from benchmate.craft.wording.length_words import number_of_mm
from benchmate.files.css import named_colours, parse_colour
from benchmate.files.safe_text import LONGEST_NAME, hidden_in, is_gauge_name, nearest, quoted

_PRICE = re.compile(r"\d{1,9}(?:[.,]\d{1,4})?", re.ASCII)
_YES, _NO = ("yes", "true", "1"), ("no", "false", "0")


class Unfit(ValueError):
    """A text that is none for a thread; the message says what it must be, on one line."""


def name_of(text: str) -> str:
    """The name of a thread. Raises Unfit."""
    name = text.strip()
    if not name:
        raise Unfit("a thread needs a name, such as harbour blue")
    if len(name) > LONGEST_NAME:
        raise Unfit(f"the name is longer than {LONGEST_NAME} characters, the most allowed")
    if "\n" in name or "\r" in name:
        raise Unfit("a name must be on one line")
    if hidden := hidden_in(name):
        raise Unfit(f"the character U+{ord(min(hidden)):04X} is not allowed in a name: remove it")
    return name


def colour_of(text: str, *, guess: bool = True) -> str:
    """The colour `#rrggbb`. Raises Unfit; with `guess`, which takes time, the message names the nearest colour."""
    text = text.strip()
    value = parse_colour(text)
    if value is not None:
        return value
    if not text:
        raise Unfit("a thread needs a colour: a CSS colour such as teal, or #0b3c5d")
    if text.startswith("#"):
        raise Unfit(f"{quoted(text)} is not a colour: write 3 or 6 digits after #, 0 to 9 and a to f")
    found, near = nearest(text, named_colours()) if guess else (None, False)
    raise Unfit(f"{quoted(text)} is not a CSS colour" + (f"; did you mean {quoted(found)}?" if found and near else ""))


def kind_of(text: str) -> str:
    """The name of a gauge, floss where there is no text. Raises Unfit."""
    kind = text.strip() or FLOSS.name
    if not is_gauge_name(kind):
        raise Unfit(f"{quoted(kind)} is not the name of a gauge: one line, such as floss")
    return kind


def mm_in(text: str) -> float:
    """A length in mm. Raises Unfit."""
    text = text.strip()
    if not text:
        raise Unfit("a thread needs a length in mm, such as 8000")
    return checked_mm(float(number_of_mm(text) or 0), text)


def checked_mm(mm: float, text: str) -> float:
    """A length, if a thread can have it. Raises Unfit."""
    if not 0 < mm <= MOST_MM:
        raise Unfit(f"{quoted(text)} is not a length: write mm, above 0 and up to {MOST_MM}, such as 8000")
    return mm


def price_of(text: str) -> Decimal | None:
    """The price of a skein, with a point or a comma; None where there is no text. Raises Unfit."""
    text = text.strip()
    if not text:
        return None
    if not _PRICE.fullmatch(text):
        raise Unfit(f"{quoted(text)} is not a price: write a number such as 1.20")
    return Decimal(text.replace(",", "."))


def whole_of(text: str) -> bool:
    """Whether it is a skein not cut into, yes where there is no text. Raises Unfit."""
    word = text.strip().lower()
    if word not in (*_YES, *_NO, ""):
        raise Unfit(f"{quoted(text)} must be yes for a whole skein, or no for an offcut")
    return word not in _NO


READERS: Mapping[str, Callable[[str], object]] = {
    "name": name_of,
    "colour": colour_of,
    "kind": kind_of,
    "length_mm": mm_in,
    "whole": whole_of,
    "price": price_of,
}
"""What reads each text, by the name that it has in a file."""
NEEDED = ("name", "colour", "length_mm")
"""Those that every thread has."""
