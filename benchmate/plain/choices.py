"""Numbered choices in plain mode: a line for each, and the number that is answered."""

from collections.abc import Sequence

from benchmate.plain.answers import Answers
from benchmate.plain.lines import Lines
from benchmate.plain.pages import Pages

MOST_DIGITS = 6
MORE, GO_BACK = "more", "back"


class WentBack(Exception):
    """The person goes back to the question before."""


def choose(lines: Lines, answers: Answers, question: str, choices: Sequence[str], back: str = "") -> int | None:
    """The chosen place, from 0. None when nothing is chosen: an empty line, `q` or the end of input.

    The question comes first, then `1: …`, `2: …`, in pages; an answer that is no such number is answered with a notice.
    Where `back`, a sentence, says what the word back leads to, that word raises WentBack.
    """
    pages = Pages(lines)
    pages.begin([question, *numbered(choices), *([back] if back else [])])
    while (answer := answers.next()) is not None and answer.strip() not in ("", "q"):
        place = place_of(answer.strip(), len(choices))
        if place is not None:
            return place
        if back and answer.strip() == GO_BACK:
            raise WentBack
        if pages.more and answer.strip() == MORE:
            pages.next()
        else:
            numbers = "1" if len(choices) == 1 else f"a number from 1 to {len(choices)}"
            others = f"{GO_BACK}, or an empty line to leave it" if back else "or an empty line for none"
            lines.notice(f"Type {numbers}, {others}.")
    return None


def numbered(choices: Sequence[str]) -> list[str]:
    """The lines of the choices, each with its number."""
    return [f"{number}: {words}" for number, words in enumerate(choices, 1)]


def place_of(answer: str, count: int) -> int | None:
    """The place, from 0, that an answer names among so many; None when it names none."""
    number = whole_number(answer)
    return number - 1 if number is not None and 1 <= number <= count else None


def whole_number(text: str) -> int | None:
    """The number, of at most six plain digits; None for anything else."""
    return int(text) if text.isascii() and text.isdigit() and len(text) <= MOST_DIGITS else None
