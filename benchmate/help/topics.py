"""The help topics and their pages.

A page is a text file in `pages/`, which can also be read as it is. Its first line is its summary; `page_layout` lays
out the rest. A line `{keys}` is replaced by the table of keys from the settings.
"""

from collections.abc import Mapping
from functools import cache
from importlib.resources import files

from benchmate.actions import ACTIONS, shown_key
from benchmate.help.page_layout import laid_out
from benchmate.settings import DEFAULTS

TOPICS = (
    *("start", "bench", "heights", "knots", "keys", "wrong", "different", "ending", "segments", "pictures", "braids"),
    *("voice", "pace", "pedals", "plain", "pieces", "making", "design", "json"),
    *("settings", "data", "completion", "cautions"),
)
"""Every topic, in the order for a newcomer."""

KEYS_TABLE = "{keys}"
"""Replaced by the table of keys."""


def summary(topic: str) -> str:
    """The summary of a topic's page, in one line."""
    return _text(topic).partition("\n")[0]


def page(topic: str, width: int, keys: Mapping[str, tuple[str, ...]] = DEFAULTS.keys) -> list[str]:
    """The page of a topic in lines of at most `width` characters; `keys` are the keys of every action.

    In the table of keys, a key of two cells may make a line one cell wider.
    """
    text = _text(topic).partition("\n")[2]
    if KEYS_TABLE in text:
        text = text.replace(KEYS_TABLE, _keys_table(keys))
    return laid_out(text, width)


def topic_list(width: int) -> list[str]:
    """Every topic with its summary, in lines of at most `width` characters."""
    return laid_out("\n".join(f"  {topic}  {summary(topic)}" for topic in TOPICS), width)


@cache
def _text(topic: str) -> str:
    return (files("benchmate.help") / "pages" / f"{topic}.txt").read_text(encoding="utf-8")


def _keys_table(keys: Mapping[str, tuple[str, ...]]) -> str:
    rows = ((", ".join(map(shown_key, keys[action.name])) or "no key", action) for action in ACTIONS)
    return "\n".join(f"  {shown}  {action.says} ({action.name})" for shown, action in rows)
