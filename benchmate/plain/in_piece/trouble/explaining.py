"""What went wrong, line by line: how the strings hang, then a question at a time until the wrong knot is known."""

from collections.abc import Sequence

from benchmate.craft.wording.trouble_words import CANNOT_TELL
from benchmate.piece_questions.trouble.hanging_colours import (
    UNKNOWN,
    CannotRead,
    in_words,
    key_in_words,
    read_hanging,
    typed_as,
)
from benchmate.piece_questions.trouble.knot_places import rows_back
from benchmate.piece_questions.trouble.what_went_wrong import (
    CANNOT_TELL_MORE,
    HOW_MADE,
    ONLY_DIAGONAL,
    Answer,
    Explanation,
    Question,
    WhatWentWrong,
    WrongKnots,
)
from benchmate.plain.asking_between_steps import BACK, BEFORE, LEAVING, SAME
from benchmate.plain.choices import WentBack, place_of
from benchmate.plain.in_piece.session import Session
from benchmate.plain.in_piece.trouble.ways_on_by_line import WENT_BACK, choose, search, ways

LIST, UNDO = "list", "undo"
LISTED = 5
"""The most explanations that are named with a question; `list` has them all."""


def strings(session: Session, given: str) -> None:
    """Asks how the strings hang, then finds the wrong knot, and asks how to go on."""
    if session.blocked():
        return
    went = WhatWentWrong(session.held)
    if went.possible:
        find_out(session, went, given)
    else:
        session.refuse(ONLY_DIAGONAL if session.held.progress.done else "Nothing is tied yet.")


def find_out(session: Session, went: WhatWentWrong, given: str = "") -> None:
    """Asks how the strings hang and what knots show, back and forth, until a way on is taken or the maker leaves.

    Raises WentBack where the maker goes back from a knot that was pointed at.
    """
    while _hang(session, went, given) and _Explaining(session, went).goes_back():
        given = ""


def _hang(session: Session, went: WhatWentWrong, given: str) -> bool:
    """Asks how the strings hang; False where the maker leaves. Raises WentBack."""
    colours, seen = went.colours, went.seen
    if not given:
        by = went.believed_words if seen == went.believed else "As you typed"
        session.say(f"{by} they hang, from the left: {in_words(seen, colours)}.")
        session.say(f"How do they hang? A letter a string, such as {typed_as(seen, colours)}.")
        session.say(f"{key_in_words(colours)}. 3={colours[0].letter}: only the third is another.")
        back = f"{BACK}: {BEFORE}; " if went.shows else ""
        session.say(f"{SAME}: they hang so; {back}{LEAVING}.")
    answer: str | None = given or session.hear_answer()
    while answer is not None:
        if answer == BACK and went.shows:
            raise WentBack
        try:
            went.hang(seen if answer == SAME else read_hanging(answer, seen, colours))
        except CannotRead as error:
            session.notice(str(error))
            answer = session.hear_answer()
        else:
            return True
    return False


def labelled(answers: Sequence[Answer], answer: str) -> Answer | None:
    """The answer whose letter, or whose words in full, were typed."""
    return next((each for each in answers if answer in (each.letter, each.words.casefold())), None)


def offered(answers: Sequence[Answer]) -> str:
    """The answers with their letters: `d deep, f foam`."""
    return ", ".join(f"{answer.letter} {answer.words}" for answer in answers)


class _Explaining:
    """The questions after the strings were typed."""

    def __init__(self, session: Session, went: WhatWentWrong) -> None:
        self._session = session
        self._went = went
        self._named: Sequence[Explanation] = ()
        """The explanations that were named last, so that they are not read out again."""

    def goes_back(self) -> bool:
        """Asks until a way on is taken or the maker leaves; True where the strings are to be asked about again."""
        session, went = self._session, self._went
        while True:
            if went.found is None:
                went.found = search(session, went.look)
            if went.found is None:
                return False
            if went.settled:
                done = self._lead_on()
            elif went.explanations:
                session.say(f"{went.found_words(UNDO)} {went.alike_words}".rstrip())
                done = self._asked()
            else:
                session.say(went.found_words(UNDO))
                if went.found.as_charted:
                    session.say("Type wrong to point at a knot.")
                return not went.found.as_charted
            if done:
                return False
            if went.found is not None and not went.take_back():
                return True

    def _lead_on(self) -> bool:
        """Asks how the knot was made where that is not known, then how to go on. False where the maker goes back."""
        went, left = self._went, self._went.ways_left
        while True:
            wrong = went.wrong
            if wrong is None:
                self._session.say(f"{went.found_words(UNDO)} {_capital(went.places_words(went.explanations[0]))}.")
                says = [*(way.words for way in left), CANNOT_TELL]
                chosen = choose(self._session, HOW_MADE, len(says), says.__getitem__)
                if chosen is None or chosen == WENT_BACK:
                    return chosen is None
                wrong = went.not_known if chosen == len(left) else WrongKnots(left[chosen].made)
            if ways(self._session, wrong):
                return True
            if went.wrong is not None:
                return False

    def _asked(self) -> bool:
        """Asks the question that tells the explanations apart, or which one it is; True where the maker leaves.

        False with something told, and nothing found since, or to go back.
        """
        question = self._went.question
        if question is None:
            return self._choose() is None
        self._name()
        self._ask(question)
        return self._answered(question) is None

    def _name(self) -> None:
        """Says where the knots of the first explanations are, unless that was said last."""
        found = self._went.explanations[:LISTED]
        if found != self._named and len(found) > 1:
            for at, explanation in enumerate(found, 1):
                self._session.say(f"{at}: {self._went.places_words(explanation)}")
        self._named = found

    def _ask(self, question: Question) -> None:
        back, count = rows_back(self._session.held, question.step), len(self._went.explanations)
        if self._went.tells_no_more:
            self._session.say(f"{CANNOT_TELL_MORE} {LIST}: see each, a number takes one.")
        self._session.say(f"{_capital(question.words)} It is {back}.")
        others = f"a number: that is the one; {LIST}: all {count}; " if count > 1 else ""
        told = f"{offered(question.answers)}, {UNKNOWN} {CANNOT_TELL}"
        self._session.say(f"{told}; {others}{BACK}: {BEFORE}; {LEAVING}.")

    def _answered(self, question: Question) -> int | None:
        """Takes in one answer; None where the maker leaves."""
        session, went = self._session, self._went
        while (answer := session.hear_answer()) is not None:
            place = place_of(answer, len(went.explanations))
            if answer == BACK:
                return WENT_BACK
            several = len(went.explanations) > 1
            if answer == LIST and several:
                return self._choose()
            if answer == UNKNOWN:
                went.cannot_tell(question.step)
                return 0
            if said := labelled(question.answers, answer):
                went.tell(question.step, said.colour)
                return 0
            if place is not None and several:
                went.choose(went.explanations[place])
                return 0
            numbers = f"a number, {LIST}, {BACK}" if several else BACK
            told = f"{offered(question.answers)}, {UNKNOWN} {CANNOT_TELL}"
            session.notice(f"That is no answer here. Type {told}, {numbers}, or an empty line to leave it.")
        return None

    def _choose(self) -> int | None:
        """Takes in the explanation that the maker chooses from all, the nearest first; None where the maker leaves."""
        went, found = self._went, self._went.explanations
        words = went.explanation_words
        chosen = choose(self._session, "Which is it?", len(found), lambda at: words(found[at]))
        if chosen is not None and chosen != WENT_BACK:
            went.choose(found[chosen])
        elif chosen == WENT_BACK and went.question is not None:
            # The question before is the one that was asked when the list was wanted.
            self._ask(went.question)
            return self._answered(went.question)
        return chosen


def _capital(words: str) -> str:
    return f"{words[0].upper()}{words[1:]}"
