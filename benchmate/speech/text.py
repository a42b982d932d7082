"""Cleaning text for a speech engine, so that it contains words and no commands."""

from unicodedata import category, normalize

LONGEST = 300
"""The most characters of one prompt."""
MOST_READ = 10 * LONGEST
"""The most characters that are read: composing a long run of combining marks takes quadratic time."""
MARKS = frozenset("[]<>{}|\\^~`")
"""Characters that some engines take for commands: markup, phonemes, bracketed commands."""


def cleaned(text: str) -> str:
    """`text` as one line of words: composed (NFC), words separated by single spaces, at most `LONGEST` characters.

    Control, format, surrogate, private and unassigned characters are left out; each of `MARKS` becomes a space. A text
    that is too long is cut after a whole word, if it has a space; only its first `MOST_READ` characters are read.
    Cleaning a cleaned text changes nothing.
    """

    kept = "".join(map(_spoken, normalize("NFC", text[:MOST_READ])))
    words = " ".join(normalize("NFC", kept).split())
    if len(words) <= LONGEST:
        return words
    head = words[: LONGEST + 1]
    return (head[: head.rfind(" ")] if " " in head else head[:LONGEST]).rstrip()


def _spoken(character: str) -> str:
    if character in MARKS or character.isspace():
        return " "
    return "" if category(character)[0] == "C" else character
