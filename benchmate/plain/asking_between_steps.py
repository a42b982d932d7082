"""What is printed and asked in a piece.

No question is answered by an empty line, `q` or the end of input: each leaves all that was asked and changes nothing
more. What happened and the step to do now are then said, once, after the word that asked (`Questions.leave`).
"""

from abc import ABC, abstractmethod
from collections.abc import Callable, Mapping, Sequence

from benchmate.craft.wording.prompt_parts import sentences
from benchmate.plain.answers import Answers
from benchmate.plain.choices import GO_BACK, MORE, WentBack, choose, numbered, place_of, whole_number
from benchmate.plain.lines import Lines
from benchmate.speech.text import LONGEST

NOTHING_CHANGED = "Nothing is changed."
LEAVES = ("", "q")
LEAVING = "an empty line: leave it"
BACK, BEFORE = GO_BACK, "the question before"
"""A word, and where it leads."""
SAME = "same"
"""What is typed where something is as it was read out."""
MORE_TO_READ = "more on the lines"
"""What the voice says instead of the rest of a long answer."""
PAGE = 10
"""How many choices are printed at a time."""
NO_OTHERS: Mapping[str, tuple[str, str]] = {}


class Questions(ABC):
    """Prints lines, and asks questions between the steps of a piece."""

    def __init__(self, answers: Answers, lines: Lines) -> None:
        self.answers = answers
        self.lines = lines
        self._unsaid: list[str] = []
        """Lines that the voice has not said."""
        self._asking = False
        """True from the first question of a word until a step is said."""
        self._told = False
        """True when something was said since the last answer to a question."""

    def say(self, text: str) -> None:
        """Prints what was asked for; the voice says it before the next answer, unless it says a step by then."""
        self.lines.say(text)
        self._unsaid.append(text)
        self._told = True

    def notice(self, text: str) -> None:
        """Prints what the person should know, and what cannot be done."""
        self.lines.notice(text)
        self._told = True

    @abstractmethod
    def say_rest(self) -> None:
        """Says the lines aloud that were printed since the last answer, if the voice is on."""

    @abstractmethod
    def say_step_after(self) -> None:
        """Prints the step to do now, and says it aloud after the lines that were not said yet."""

    def leave(self) -> None:
        """After a word: where it asked something and said no step since, says what happened and the step again."""
        if self._asking:
            if not self._told:
                self.say(NOTHING_CHANGED)
            self.say_step_after()
        self._asking = False

    def hear(self) -> str | None:
        """The next answer to a question, as it was typed; None at the end of input."""
        self.say_rest()
        self._asking = True
        answer = self.answers.next()
        self._told = False
        return answer

    def hear_answer(self) -> str | None:
        """The next answer in small letters, without spaces around it; None where it leaves all that was asked."""
        answer = (self.hear() or "").strip().casefold()
        return None if answer in LEAVES else answer

    def ask(self, question: str, choices: Sequence[str], back: str = "") -> int | None:
        """Which of the choices, from 0; None for none of them.

        Where `back` says what the word back leads to, that word raises WentBack.
        """
        leads = f"{BACK}: {back}; {LEAVING}." if back else ""
        self._unsaid += [question, *numbered(choices), *([leads] if back else [])]
        self.say_rest()
        self._asking, self._told = True, False
        return choose(self.lines, self.answers, question, choices, leads)

    def ask_paged(
        self,
        question: str,
        count: int,
        words: Callable[[int], str],
        others: Mapping[str, tuple[str, str]] = NO_OTHERS,
        back: str = "",
    ) -> int | None:
        """Which of `count` choices, from 0, of which a few are printed at a time; None for none of them.

        An answer that is one of the `others` stands for a line, which is then the next one to be done; what that does
        is said with it. `back` is as in `ask`.
        """
        self.say(question)
        also = "; ".join(f"{word}: {says}" for word, (_, says) in others.items())
        printed = self._choices_from(0, count, words, also)
        if back:
            self.say(f"{BACK}: {back}; {LEAVING}.")
        while (answer := self.hear_answer()) is not None:
            if answer in others:
                self.answers.put_back(others[answer][0])
                self._asking = False
                return None
            if back and answer == BACK:
                raise WentBack
            place = place_of(answer, printed)
            if place is not None:
                return place
            if printed < count and answer == MORE:
                printed = self._choices_from(printed, count, words)
            else:
                numbers = "1" if printed == 1 else f"a number from 1 to {printed}"
                self.notice(f"Type {numbers}, {f'{BACK}, ' if back else ''}or an empty line to leave it.")
        return None

    def _choices_from(self, first: int, count: int, words: Callable[[int], str], also: str = "") -> int:
        """Prints the next choices; returns how many are printed in all."""
        end = min(count, first + PAGE)
        for at in range(first, end):
            self.say(f"{at + 1}: {words(at)}")
        if end < count:
            self.say(f"{count - end} more. Type {MORE}.")
        if also:
            self.say(f"Or type {also}.")
        return end

    def ask_number(self, question: str, least: int, most: int) -> int | None:
        """A whole number in that range; None for an empty line, `q` or the end of input."""
        self.say(f"{question} Type a number from {least} to {most}, or an empty line to leave it.")
        while (answer := self.hear_answer()) is not None:
            number = whole_number(answer)
            if number is not None and least <= number <= most:
                return number
            self.notice(f"Type a number from {least} to {most}, or an empty line to leave it.")
        return None


def in_a_prompt(texts: Sequence[str]) -> str:
    """The lines in one prompt; where they are too long for one, the first of them, and that there is more to read."""
    words = sentences(*(text.rstrip(".") for text in texts))
    if len(words) <= LONGEST:
        return words
    found, room = [], LONGEST - len(MORE_TO_READ)
    for text in texts:
        room -= len(text) + 2
        if room < 0:
            break
        found.append(text.rstrip("."))
    return sentences(*(found or [texts[0][: LONGEST - len(MORE_TO_READ) - 2]]), MORE_TO_READ)
