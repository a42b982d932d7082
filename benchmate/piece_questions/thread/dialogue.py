"""Questions that follow one another, written once for every front: the bench shows them, plain mode prints them.

A dialogue is a generator. It yields what to ask, and is sent the answer.
"""

from collections.abc import Generator, Mapping, Sequence
from typing import NamedTuple, TypeAlias, TypeVar

from benchmate.piece_questions.typed_numbers import Asked, Typed, Wish
from benchmate.store.thread.box import Box


class Choose(NamedTuple):
    """One of some choices; the answer is its place, from 0, or None for leaving, which does what `leaves` says.

    `at` is the place that is chosen at first; `to_read` follows the question.
    """

    heading: str
    question: str
    choices: Sequence[str]
    to_read: Sequence[str] = ()
    at: int = 0
    leaves: str = "back"


class Number(NamedTuple):
    """A number, which is `typed` already; the answer is a Typed. `wishes` are the others there are, in words."""

    asked: Asked
    wishes: Mapping[Wish, str]
    typed: str = ""


class Name(NamedTuple):
    """A line of text; the answer is that line, or None for leaving."""

    heading: str
    question: str
    typed: str = ""


class OpenBox(NamedTuple):
    """Leads through the box; `kinds` are the names of all gauges. There is no answer."""

    box: Box
    kinds: Sequence[str]


class Say(NamedTuple):
    """What was done, or why not. There is no answer."""

    text: str
    refused: bool = False


OpenQuestion: TypeAlias = Choose | Number | Name | OpenBox
Question: TypeAlias = OpenQuestion | Say
Answer: TypeAlias = int | Typed | str | None
T = TypeVar("T")
Dialogue: TypeAlias = Generator[Question, Answer, T]


def after_sayings(dialogue: Dialogue[T], question: Question) -> tuple[str, OpenQuestion]:
    """What the dialogue says first, from this question on, and what it asks then. Raises StopIteration at its end."""
    said = ""
    while isinstance(question, Say):
        said, question = question.text, next(dialogue)
    return said, question


def choose(question: Choose) -> Dialogue[int | None]:
    """Asks for one of some choices."""
    answer = yield question
    assert answer is None or isinstance(answer, int)
    return answer


def number(question: Number) -> Dialogue[Typed]:
    """Asks for a number."""
    answer = yield question
    assert isinstance(answer, Typed)
    return answer


def name(question: Name) -> Dialogue[str | None]:
    """Asks for a line of text."""
    answer = yield question
    assert answer is None or isinstance(answer, str)
    return answer
