"""Numbered choices in plain mode: a line for each, and the number that is answered."""

from collections.abc import Sequence

from benchmate.plain.answers import Answers
from benchmate.plain.lines import Lines


def choose(lines: Lines, answers: Answers, question: str, choices: Sequence[str]) -> int | None:
    """The chosen place, from 0. None when nothing is chosen: an empty line, `q` or the end of input.

    The question comes first, then `1: …`, `2: …`; an answer that is no such number is answered with a notice.
    """
    lines.say(question)
    for number, words in enumerate(choices, 1):
        lines.say(f"{number}: {words}")
    while (answer := answers.next()) not in (None, "", "q"):
        assert answer is not None
        if answer.isascii() and answer.isdigit() and len(answer) < 7 and 1 <= int(answer) <= len(choices):
            return int(answer) - 1
        lines.notice(f"Type a number from 1 to {len(choices)}, or an empty line for none.")
    return None
