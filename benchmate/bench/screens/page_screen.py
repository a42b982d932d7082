"""Screens that are one page, seen and heard."""

from collections.abc import Sequence
from typing import NamedTuple, TypeVar

from benchmate.bench.screens.lines_screen import LinesScreen
from benchmate.bench.screens.page import Item, page
from benchmate.craft.wording.prompt_parts import sentences
from benchmate.display.cells import Line
from benchmate.speech.text import LONGEST

T = TypeVar("T")
MORE = ", more on the screen"
"""Ends texts that are too long for the voice."""


class Page(NamedTuple):
    """What stands on a page; three spaces separate the parts of the foot."""

    heading: str
    texts: Sequence[str]
    items: Sequence[Item]
    foot: str


class PageScreen(LinesScreen[T]):
    """A screen that is one page. Subclasses define `page`; what is seen and what is heard come from it."""

    def page(self) -> Page:
        """The page as it is now."""
        raise NotImplementedError

    def lines(self, width: int, height: int) -> list[Line]:
        """The page."""
        return page(*self.page(), width, height, self.palette)

    def heard_first(self) -> Sequence[str]:
        """The whole page but what is not chosen: heading, texts, the chosen item or all answers, the keys."""
        heading, texts, items, foot = self.page()
        keys = [] if _answers(items) else [", ".join(foot.replace("/", " or ").split("   "))]
        first, last = [heading.capitalize()], [*_heard(items), *keys]
        return [*first, *_shortened(texts, [*first, *last]), *last]

    def heard(self) -> Sequence[str]:
        """The chosen item, or all answers, then the texts."""
        _, texts, items, _ = self.page()
        first = _heard(items)
        return [*first, *_shortened(texts, first)]


def _shortened(texts: Sequence[str], others: Sequence[str]) -> Sequence[str]:
    """The texts, cut after a word where the voice would else leave out some of the `others`."""
    room = LONGEST - len(sentences(*others)) - len(". ")
    words = sentences(*texts)
    if len(words) <= room:
        return texts
    return [words[: max(0, room - len(MORE)) + 1].rpartition(" ")[0].rstrip(",;:.") + MORE]


def _answers(items: Sequence[Item]) -> bool:
    """True for answers, each with its own key; false for a list in which one is chosen."""
    return bool(items) and not any(item.chosen for item in items)


def _heard(items: Sequence[Item]) -> list[str]:
    if _answers(items):
        return [f"{item.key}: {item.text}" for item in items]
    # Where nothing is typed yet, there is nothing to hear.
    return [item.text.removesuffix(": _") for item in items if item.chosen]
