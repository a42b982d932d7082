"""The words of the list in plain mode, each with what it does."""

from typing import NamedTuple


class Word(NamedTuple):
    """A word, what is typed after it, and what it does."""

    word: str
    after: str
    says: str


WORDS = (
    Word("open", "PATH", "begin from a design file, or continue its piece"),
    Word("find", "TEXT", "list what has this text in its title"),
    Word("about", "3", "say everything about line 3"),
    Word("new", "3", "begin another piece of the design of line 3"),
    Word("rename", "3 NAME", "give the piece a name of its own; without NAME, its design's title again"),
    Word("aside", "3", "put the piece aside; alone: list the pieces put aside"),
    Word("back", "3", "put the piece back; alone: go back to the previous list"),
    Word("copy", "3", "copy the piece, with its progress"),
    Word("delete", "3", "delete the piece, after a question"),
    Word("undelete", "3", "take the piece out of the bin; alone: take back the piece deleted last"),
    Word("take", "3", "take over the piece, open in another window"),
    Word("lessons", "", "list the lessons"),
    Word("designs", "", "list the designs"),
    Word("order", "", "list the designs by family, or by difficulty"),
    Word("finished", "", "list the finished pieces"),
    Word("bin", "", "list what is in the bin"),
    Word("thread", "", "gauges, a swatch, your measurements, your box"),
    Word("list", "", "say this list again"),
    Word("more", "", "show more of the list"),
    Word("key", "", "say what the abbreviations mean"),
    Word("help", "TOPIC", "say a help page; alone: list the pages"),
    Word("?", "", "say these words"),
    Word("q", "", "leave this list; from the first list, leave the program"),
)
"""Every word. The opening line and `?` are made from this."""


def opening() -> str:
    """The line that names every word."""
    named = ", ".join(each.word for each in WORDS if each.word not in ("?", "q"))
    return f"Type a number to open its line, or a word: {named}. ?: what each does. q: leave."


def all_words() -> list[str]:
    """What each does, one a line."""
    rows = (f"{each.word} {each.after}".strip() + f": {each.says}" for each in WORDS)
    return ["3: open line 3: continue the piece, begin the design, or go to that list", *rows]
