"""The topics there is help on, and the text of their pages.

A page is a text file in `pages/`, written to be read raw. Its first line says in a few words what it is about; the rest
is laid out by `page_layout`. `{keys}` on a line of its own stands for the table of keys, which the settings know.
"""

from collections.abc import Mapping
from functools import cache
from importlib.resources import files

from benchmate.actions import ACTIONS, shown_key
from benchmate.help.page_layout import laid_out
from benchmate.settings import DEFAULTS

TOPICS = (
    *("start", "bench", "knots", "keys", "wrong", "turn", "segments", "pictures", "braids"),
    *("voice", "pace", "pedals", "plain", "pieces", "making", "design", "json"),
    *("settings", "data", "completion", "cautions"),
)
"""Every topic, in the order a newcomer would read them."""

KEYS_TABLE = "{keys}"
"""Stands in a page for the table of keys."""


def says(topic: str) -> str:
    """What the page of a topic is about, in one line."""
    return _text(topic).partition("\n")[0]


def page(topic: str, width: int, keys: Mapping[str, tuple[str, ...]] = DEFAULTS.keys) -> list[str]:
    """The page of a topic in lines of at most `width` characters; `keys` are the keys of every action.

    In the table of keys a sign of two cells may make a line one cell wider.
    """
    text = _text(topic).partition("\n")[2]
    if KEYS_TABLE in text:
        text = text.replace(KEYS_TABLE, _keys_table(keys))
    return laid_out(text, width)


def topic_list(width: int) -> list[str]:
    """Every topic with what its page is about, in lines of at most `width` characters."""
    return laid_out("\n".join(f"  {topic}  {says(topic)}" for topic in TOPICS), width)


@cache
def _text(topic: str) -> str:
    return (files("benchmate.help") / "pages" / f"{topic}.txt").read_text(encoding="utf-8")


def _keys_table(keys: Mapping[str, tuple[str, ...]]) -> str:
    rows = ((", ".join(map(shown_key, keys[action.name])) or "no key", action) for action in ACTIONS)
    return "\n".join(f"  {shown}  {action.says} ({action.name})" for shown, action in rows)
