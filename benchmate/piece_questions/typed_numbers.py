"""What a person is asked to type, how it is read, and when it is asked about once more."""

from collections.abc import Callable, Sequence
from enum import Enum
from typing import NamedTuple

from benchmate.craft.thread import plausible
from benchmate.craft.thread.box_thread import MOST_MM
from benchmate.craft.wording.gauge_words import small_words
from benchmate.craft.wording.length_words import fine_spoken, fine_words, mm_of

TAKES_IT = "Enter again takes it."
"""Follows a question about a number that is far from usual."""
MOST_TYPED = 12
"""The most characters of a number with its unit."""
MOST_COUNTED = 100_000


class Wish(Enum):
    """What an answer asks for.

    Take the number, skip it, go to the one before, skip the rest, correct what the question rests on, or leave it all.
    """

    TAKE = "take"
    SKIP = "skip"
    BACK = "back"
    REST = "rest"
    CORRECT = "correct"
    LEAVE = "leave"


MEANS = {Wish.SKIP: "skip", Wish.BACK: "the one before", Wish.REST: "skip the rest", Wish.LEAVE: "leave"}
"""What an answer asks for, in words."""


class Typed(NamedTuple):
    """An answer; there is a number where the wish is to take it."""

    wish: Wish
    number: float = 0.0


class Asked(NamedTuple):
    """A number to ask for: the heading and the question in a few words, what to know, and how what is typed is read.

    `words` and `spoken` say a number; `refused` says what to type. `doubt` asks about a number that is far from usual.
    """

    heading: str
    question: str
    texts: Sequence[str]
    read: Callable[[str], float | None]
    words: Callable[[float], str]
    spoken: Callable[[float], str]
    refused: str
    doubt: Callable[[float], str | None] = lambda _: None
    impossible: Callable[[float], str | None] = lambda _: None
    """Why a number cannot be; it is never taken."""
    in_full: str = ""
    """The question in full, for those who do not see the heading over it; empty where it is one already."""
    unit: str = ""
    """What a number alone is in, where it is a length."""

    @property
    def spoken_unit(self) -> str:
        """The unit as a voice says it."""
        return "centimetres" if self.unit == "cm" else self.unit


class Judged(NamedTuple):
    """What became of something typed: the number where it is taken, else what to say."""

    number: float | None
    says: str = ""
    doubted: float | None = None
    """The number that was asked about."""


def judge(asked: Asked, text: str, doubted: float | None) -> Judged:
    """Takes or refuses what was typed, or asks about it; `doubted` is the number that was asked about last."""
    number = asked.read(text)
    if number is None:
        return Judged(None, asked.refused)
    why = asked.impossible(number)
    if why is not None:
        return Judged(None, why)
    question = asked.doubt(number)
    if question is not None and number != doubted:
        return Judged(None, question, number)
    return Judged(number)


def length(
    heading: str,
    question: str,
    what: str | None,
    units: str,
    texts: Sequence[str] = (),
    *,
    doubt: Callable[[float], str | None] | None = None,
    small: bool = False,
) -> Asked:
    """A length of a kind that `plausible` knows, or of none; `doubt` asks about it first.

    What was typed is said to the millimetre, as it was typed; a `small` one to a tenth.
    """
    zero = what is not None and plausible.may_be_none(what)

    def read(text: str) -> float | None:
        mm = mm_of(text, units)
        return mm if mm is not None and (mm > 0 or zero) and mm <= MOST_MM else None

    def doubts(mm: float) -> str | None:
        first = None if doubt is None else doubt(mm)
        return first if first is not None or what is None else plausible.question(what, mm, units)

    example = "16.5" if units == "cm" else "6 3/8"
    least = "" if zero else " above 0"
    return Asked(
        heading,
        question,
        texts,
        read,
        lambda mm: (small_words if small else fine_words)(mm, units),
        lambda mm: (small_words if small else fine_spoken)(mm, units),
        f"Type a length{least}, such as {example}; a number alone is in {units}.",
        doubts,
        unit=units,
    )


def count(
    heading: str, question: str, texts: Sequence[str] = (), *, doubt: Callable[[float], str | None] = lambda _: None
) -> Asked:
    """A whole number above 0."""

    def read(text: str) -> float | None:
        digits = text.strip()
        whole = int(digits) if digits.isascii() and digits.isdigit() and len(digits) <= MOST_TYPED else 0
        return float(whole) if 0 < whole <= MOST_COUNTED else None

    def words(number: float) -> str:
        return f"{number:.0f}"

    return Asked(heading, question, texts, read, words, words, "Type a whole number above 0, such as 20.", doubt)
