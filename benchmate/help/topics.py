"""The help topics and their pages.

A page is a text file in `pages/`, which can also be read as it is. Its first line is its summary; `page_layout` lays
out the rest. A line `{keys}` is replaced by the table of keys from the settings.
"""

from collections.abc import Mapping
from functools import cache
from importlib.resources import files

from benchmate.actions import ACTIONS, shown_key
from benchmate.help.page_layout import in_sentences, laid_out
from benchmate.settings import DEFAULTS

TOPICS = (
    *("start", "bench", "heights", "knots", "keys", "wrong", "trouble", "lost", "different", "ending", "segments"),
    *("pictures", "braids", "voice", "pace", "pedals", "listening", "plain", "pieces", "making", "thread", "gauge"),
    *("box", "cut", "fit", "design", "json", "settings", "data", "completion", "cautions"),
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
    return laid_out(_body(topic, keys), width)


def page_in_sentences(topic: str, keys: Mapping[str, tuple[str, ...]] = DEFAULTS.keys) -> list[str]:
    """The page of a topic to be read aloud: a paragraph, an example or a row of a table each, without columns."""
    return in_sentences(_body(topic, keys))


def topic_list(width: int) -> list[str]:
    """Every topic with its summary, in lines of at most `width` characters."""
    return laid_out("\n".join(f"  {topic}  {summary(topic)}" for topic in TOPICS), width)


def _body(topic: str, keys: Mapping[str, tuple[str, ...]]) -> str:
    text = _text(topic).partition("\n")[2]
    return text.replace(KEYS_TABLE, _keys_table(keys)) if KEYS_TABLE in text else text


@cache
def _text(topic: str) -> str:
    return (files("benchmate.help") / "pages" / f"{topic}.txt").read_text(encoding="utf-8")


def _keys_table(keys: Mapping[str, tuple[str, ...]]) -> str:
    rows = ((", ".join(map(shown_key, keys[action.name])) or "no key", action) for action in ACTIONS)
    return "\n".join(f"  {shown}  {action.says} ({action.name})" for shown, action in rows)
