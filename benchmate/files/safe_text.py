"""Text from a file or a command line, made safe to print, and names and numbers in it."""

import re
from collections.abc import Iterable

MOST_QUOTED = 40
LONGEST_NAME = 500
"""The most characters of a name that a person gives, as of any line of a design."""
_HIDDEN = frozenset(("Cc", "Cf", "Cs", "Zl", "Zp"))
_MOST_COMPARED = 150


def hidden_in(text: str) -> set[str]:
    """The control, format and surrogate characters and line and paragraph separators in `text`."""
    if text.isprintable():
        return set()
    from unicodedata import category

    return {character for character in set(text) if category(character) in _HIDDEN}


def shown(text: str) -> str:
    """`text` on one line, with `?` for every character that could control a terminal."""
    return text.translate(dict.fromkeys(map(ord, hidden_in(text)), "?"))


def printable(text: str) -> str:
    """`text` with `?` for every character that could control a terminal, except line breaks and surrogates.

    All that is printed passes through here. The streams print a surrogate, which stands for a byte that is no text, as
    `\\udcff`.
    """
    if text.replace("\n", "").isprintable():
        return text
    controls = {sign for sign in hidden_in(text) if sign != "\n" and not "\ud800" <= sign <= "\udfff"}
    return text.translate(dict.fromkeys(map(ord, controls), "?")) if controls else text


_BY_NUMBER_OR_RGB = r"8;(?:5;[0-9]{1,3}|2(?:;[0-9]{1,3}){3})"
_INK, _GROUND = rf"(?:[39][0-7]|3{_BY_NUMBER_OR_RGB})", rf"(?:(?:4|10)[0-7]|4{_BY_NUMBER_OR_RGB})"
_PAINT = rf"(\x1b\[(?:0|{_INK}(?:;{_GROUND})?|{_GROUND})m)"


def painted(text: str) -> str:
    """`text` as `printable`, but with the sequences that begin and end a colour.

    These are ISO 8613-6, direct colour in RGB or one of 256 by its number, and the usual ones for sixteen colours.
    """
    parts = re.split(_PAINT, text)
    parts[::2] = map(printable, parts[::2])
    return "".join(parts)


def quoted(text: str) -> str:
    """`text` between backticks for a message: safe to print, and at most `MOST_QUOTED` characters long."""
    if len(text) > MOST_QUOTED:
        text = text[: MOST_QUOTED - 3] + "..."
    return f"`{shown(text)}`"


def is_name(text: str) -> bool:
    """True for one word of letters of any script with their combining marks, decimal digits, `-` and `_`."""
    rest = text.replace("-", "").replace("_", "")
    if rest.isascii():
        return text != "" and (rest == "" or rest.isalnum())
    from unicodedata import category

    kinds = [category(character) for character in rest]
    # A combining mark at the beginning would join the character printed before the name.
    begins_with_mark = category(text[0])[0] == "M"
    return not begins_with_mark and all(kind[0] in "LM" or kind == "Nd" for kind in kinds)


def is_gauge_name(text: str) -> bool:
    """True for a name that a gauge can have: a line of text, nothing hidden in it, and no space at its ends."""
    return 0 < len(text) <= LONGEST_NAME and text == text.strip() and not hidden_in(text)


def is_whole_number(text: str) -> bool:
    """True when `text` consists of decimal digits 0 to 9."""
    return text.isascii() and text.isdigit()


def bounded_number(text: str, most: int) -> int:
    """The value of the decimal digits `text`, or `most` + 1 for any larger value, however many digits it has."""
    digits = text.lstrip("0")
    return most + 1 if len(digits) > len(str(most)) else min(int(digits or "0"), most + 1)


def nearest(word: str, known: Iterable[str]) -> tuple[str | None, bool]:
    """The one of `known` most like `word` (None when `known` is empty), and whether it is near enough to suggest.

    Only the first 150 of `known` are compared, to limit the time.
    """
    from difflib import get_close_matches
    from itertools import islice

    by_lower = {name.lower(): name for name in islice(known, _MOST_COMPARED)}
    lower = word[:MOST_QUOTED].lower()
    found = get_close_matches(lower, by_lower, n=1, cutoff=0.0)
    if not found:
        return None, False
    return by_lower[found[0]], bool(get_close_matches(lower, found, n=1, cutoff=0.6))
