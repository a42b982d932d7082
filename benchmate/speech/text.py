"""What may be handed to a speech engine: words, and nothing that could drive it."""

from unicodedata import category, normalize

LONGEST = 300
"""The most characters of one prompt."""
LOOKED_AT = 10 * LONGEST
"""The most characters that are looked at: a long run of combining marks takes the square of its length to compose."""
MARKS = frozenset("[]<>{}|\\^~`")
"""Marks that some engine takes for a command: markup, phonemes, its own bracketed orders."""


def cleaned(text: str) -> str:
    """`text` as one line of words: composed (NFC), spaces single and none at the ends, at most `LONGEST` characters.

    Control, format, surrogate, private and unassigned characters are left out; each of `MARKS` parts words, as a space
    does. What is too long ends with a whole word where it has a space at all; of `text` itself, only
    the first `LOOKED_AT` characters count. Cleaning twice changes nothing more.
    """
    kept = "".join(map(_spoken, normalize("NFC", text[:LOOKED_AT])))
    words = " ".join(normalize("NFC", kept).split())
    if len(words) <= LONGEST:
        return words
    head = words[: LONGEST + 1]
    return (head[: head.rfind(" ")] if " " in head else head[:LONGEST]).rstrip()


def _spoken(character: str) -> str:
    if character in MARKS or character.isspace():
        return " "
    return "" if category(character)[0] == "C" else character
