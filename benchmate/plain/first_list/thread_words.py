"""Thread in plain mode: prints each question about it, and reads the answer."""

from collections.abc import Callable, Mapping, Sequence

from benchmate.piece_questions.thread.dialogue import Answer, Choose, Name, Number, OpenBox, Question, Say
from benchmate.piece_questions.thread.thread_questions import ThreadQuestions
from benchmate.piece_questions.typed_numbers import Wish
from benchmate.plain.asking import Talk, ask_number
from benchmate.store.database import Database
from benchmate.store.errors import StoreError
from benchmate.store.thread.box import Box

WORDS = {Wish.SKIP: "", Wish.BACK: "back", Wish.LEAVE: "q"}
"""The answers that are no number."""


class ThreadWords:
    """Leads through the questions about thread, until the person goes back to the list."""

    def __init__(
        self, talk: Talk, database: Database, units: str, keep_box: Callable[[Box, Sequence[str]], None]
    ) -> None:
        """`keep_box` leads through a box, with the names of all gauges."""
        self._talk = talk
        self._dialogue = ThreadQuestions(database, units).lead()
        self._keep_box = keep_box
        self._explained: Mapping[Wish, str] = {}

    def lead(self) -> None:
        """Asks each question, until there is none."""
        try:
            question = next(self._dialogue)
            while True:
                question = self._asked(question)
        except StopIteration:
            return

    def _asked(self, question: Question) -> Question:
        """The question that follows from the answer."""
        try:
            answer = self._answer(question)
        except StoreError as error:
            return self._dialogue.throw(error)
        return self._dialogue.send(answer)

    def _answer(self, question: Question) -> Answer:
        if isinstance(question, Say):
            (self._talk.notice if question.refused else self._talk.say)(question.text)
            return None
        if isinstance(question, OpenBox):
            self._keep_box(question.box, question.kinds)
            return None
        if isinstance(question, Choose):
            for line in [each for each in (question.question, *question.to_read) if each]:
                self._talk.say(line)
            return self._talk.choose(
                f"{question.heading.capitalize()}. An empty line: {question.leaves}.", question.choices
            )
        if isinstance(question, Name):
            self._talk.say(f"{question.question} An empty line: back.")
            answer = self._talk.hear()
            return None if answer is None or answer.strip() in ("", "q") else answer
        return self._number(question)

    def _number(self, question: Number) -> Answer:
        words = {WORDS[wish]: wish for wish in question.wishes}
        says = None if question.wishes == self._explained else question.wishes
        self._explained = question.wishes
        return ask_number(self._talk, question.asked, {**words, "q": Wish.LEAVE}, says=says)
