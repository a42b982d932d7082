"""Unexpected errors, as one line of text for the screen."""

LONGEST = 200
"""The most characters shown of an error's own text."""


def in_one_line(error: Exception) -> str:
    """The kind of error and its text, on one line and without control characters."""
    text = "".join(sign if sign.isprintable() else " " for sign in str(error)[:LONGEST])
    return ": ".join(filter(None, (type(error).__name__, " ".join(text.split()))))
