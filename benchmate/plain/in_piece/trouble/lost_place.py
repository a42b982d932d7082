"""A lost place, line by line: how the strings hang, then a question at a time, then the place."""

import re
from collections.abc import Sequence

from benchmate.craft.wording.prompts import Happened
from benchmate.piece_questions.trouble import lost_place_words as words
from benchmate.piece_questions.trouble.hanging_colours import (
    NOTHING,
    UNKNOWN,
    CannotRead,
    LetteredColour,
    in_words,
    key_in_words,
    lettered,
    read_colours,
    read_hanging,
)
from benchmate.piece_questions.trouble.lost_place import LostPlace, can_find
from benchmate.piece_questions.trouble.place_questions import Asked, Candidate
from benchmate.plain.asking_between_steps import BACK, BEFORE, LEAVING, SAME
from benchmate.plain.choices import WentBack, whole_number
from benchmate.plain.in_piece.session import Session
from benchmate.plain.in_piece.trouble.ways_on_by_line import search

LIST = "list"
NONE_BEFORE = "There is no question before."
FEW = 5
"""So many places are listed without a question."""
SLOT = re.compile(r"([0-9]{1,3})[:=]?(\D.*)")
"""A slot and its colour: `32d`, `32:deep`, `32=d`."""


def lost(session: Session, _: str) -> None:
    """Asks how the strings hang, then about the last knots, and sets the piece to the place that is found."""
    if session.blocked():
        return
    held = session.held
    if not can_find(held):
        session.refuse("Written steps tell no place. Type jump to go to one.")
        return
    asking = _Asking(session, LostPlace(held))
    place = asking.place()
    if place is None:
        return
    found = asking.finder.found(place)
    notice = words.notice(held, found)
    session.change(lambda: found.set_in(held), Happened.JUMPED, then=lambda: notice)


class _Left(Exception):
    """The maker leaves."""


class _Asking:
    """The questions, one after the other; each can be gone back to."""

    def __init__(self, session: Session, finder: LostPlace) -> None:
        self.finder = finder
        self._session = session
        self._colours = lettered(session.held.whole.main.design)
        self._explained = False
        self._doubted = ""
        """A colour that no place has there, typed once."""

    def place(self) -> Candidate | None:
        """The place that the maker takes; None where the maker leaves."""
        shown = self.finder.believed if self.finder.strings_tell else None
        try:
            while True:
                seen = shown = None if shown is None else self._strings(shown)
                self._search(seen)
                found = self._narrowed()
                if found is not None:
                    return found
        except _Left:
            return None

    def _search(self, seen: Sequence[str] | None) -> None:
        """Looks for the places that fit. Raises _Left where the word for that stops it."""
        found = search(self._session, lambda report: self.finder.search(seen, report))
        if found is None:
            raise _Left
        self.finder.take_in(found)

    def _hear(self) -> str:
        """The next answer. Raises _Left."""
        answer = self._session.hear_answer()
        if answer is None:
            raise _Left
        return answer

    # The strings.

    def _strings(self, shown: Sequence[str]) -> list[str]:
        """The colours of the strings as they hang, or of all slots; `shown` are those that were typed or counted."""
        session, finder, colours = self._session, self.finder, self._colours
        now = "as counted" if list(shown) == finder.believed else "as you typed"
        if finder.in_slots:
            session.say(f"Which strand lies in each filled slot? Type slots and letters, such as 1{colours[0].letter}.")
            told = ", ".join(f"{at} {_label(name, colours)}" for at, name in enumerate(shown, 1) if name)
        else:
            session.say("How do the strings hang? Type a letter for each string, from the left.")
            told = in_words(shown, colours)
            session.say(f"3={colours[0].letter}: only the third is another.")
        session.say(f"{SAME}: {now}, {told}.")
        session.say(f"{key_in_words(colours)}; {LEAVING}.")
        while True:
            answer = self._hear()
            if answer == SAME:
                return list(shown)
            if answer == BACK:
                session.notice(NONE_BEFORE)
                continue
            try:
                return _slots(answer, shown, colours) if finder.in_slots else read_hanging(answer, shown, colours)
            except CannotRead as error:
                session.notice(str(error))

    # The questions.

    def _narrowed(self) -> Candidate | None:
        """Asks until the maker takes a place; None where the strings are to be asked again."""
        session, finder = self._session, self.finder
        said = ""
        while True:
            if finder.needs_search:
                assert finder.searched is not None
                self._search(finder.searched.seen)
            if said != (said := words.fits(finder)):
                session.say(said)
            if not finder.fitting:
                if not finder.answers:
                    session.notice(words.nothing_fits(finder, ""))
                    return None
                session.notice("That answer is taken back.")
                finder.take_back()
                continue
            asked = finder.question()
            try:
                place = self._ask(asked)
            except WentBack:
                if not finder.take_back():
                    if finder.strings_tell:
                        return None
                    session.notice(NONE_BEFORE)
                continue
            if place is not None:
                return place

    def _ask(self, asked: Asked | None) -> Candidate | None:
        """Asks one question; the place where that settles it. Raises WentBack, and _Left."""
        finder = self.finder
        if asked is None and len(finder.places) == 1:
            return self._only(finder.places[0])
        if asked is None and len(finder.places) <= FEW:
            return self._chosen(self._back)
        self._say_question(asked)
        return self._answered(asked)

    def _only(self, only: Sequence[Candidate]) -> Candidate | None:
        """Asks whether the one place that fits is it; None where it is in another row. Raises WentBack, and _Left."""
        session, finder = self._session, self.finder
        choices = ["go there", *([f"it is {words.not_there(finder)}"] if finder.row_may_be_another else [])]
        at = session.ask(words.place(finder, only), choices, back=self._back)
        if at is None:
            raise _Left
        if not at:
            return only[0]
        session.say(f"Type a number: {words.counting(finder)}; {BACK}: {self._back}; {LEAVING}.")
        while True:
            answer = self._hear()
            number = whole_number(answer)
            if answer == BACK:
                raise WentBack
            if number is not None and finder.say_number(number):
                return None
            session.notice(
                f"Type a number: {words.counting(finder)}." if number is None else words.no_such_number(finder, number)
            )

    @property
    def _back(self) -> str:
        return BEFORE if self.finder.answers or not self.finder.strings_tell else "the strings again"

    def _say_question(self, asked: Asked | None) -> None:
        """Says the question and its answers; where there is none, that a number can be counted."""
        session, finder = self._session, self.finder
        if asked is None:
            session.say(words.count_asked(finder))
        else:
            session.say(words.question(finder, asked))
            session.say(f"{self._answers(asked)}.")
        if not self._explained or asked is None:
            self._explained = True
            told = [f"a number: {words.counting(finder)}", f"{LIST}: all {len(finder.places)} of them"]
            session.say(f"{'; '.join([*told, f'{BACK}: {self._back}', LEAVING])}.")

    def _answers(self, asked: Asked) -> str:
        return ", ".join(f"{letter} {says}" for letter, says in words.answers(self.finder, asked, self._colours))

    def _answered(self, asked: Asked | None) -> Candidate | None:
        """Takes in one answer; the place where that chooses one. Raises WentBack, and _Left."""
        session, finder = self._session, self.finder
        while True:
            answer = self._hear()
            number = whole_number(answer)
            if answer == BACK:
                raise WentBack
            if answer == LIST:
                try:
                    return self._chosen("the question")
                except WentBack:
                    self._say_question(asked)
                    continue
            if number is not None:
                if finder.say_number(number):
                    self._explained = False
                    return None
                session.notice(words.no_such_number(finder, number))
                continue
            try:
                self._take_in(asked, answer)
            except CannotRead as error:
                session.notice(str(error))
            else:
                return None

    def _take_in(self, asked: Asked | None, answer: str) -> None:
        """Takes in what was answered about a knot. Raises CannotRead."""
        finder = self.finder
        if asked is None:
            raise CannotRead(f"Type a number: {words.counting(finder)}; {LIST}; {BACK}; or an empty line to leave.")
        if answer == UNKNOWN:
            finder.cannot_tell(asked)
            return
        if answer == NOTHING:
            names: list[str | None] = [None]
        else:
            names = [*read_colours(answer, self._colours)]
        if len(names) > 1:
            raise CannotRead("One colour, please.")
        name, doubted = names[0], self._doubted
        self._doubted = ""
        if name not in asked.colours and (name is None or not finder.may_be_wrong or doubted != answer):
            self._doubted = answer
            raise CannotRead(self._not_offered(asked, name))
        finder.answer(asked, name)

    def _not_offered(self, asked: Asked, name: str | None) -> str:
        said = words.not_offered(self.finder, name)
        again = " If it is so, type it again: a knot may be wrong." if name and self.finder.may_be_wrong else ""
        return f"{said} Type {self._answers(asked)}; {BACK}: {self._back}.{again}"

    def _chosen(self, back: str) -> Candidate | None:
        """Lets the maker choose from all places that fit, the nearest first. Raises WentBack, and _Left."""
        finder, places = self.finder, self.finder.places
        at = self._session.ask_paged(
            "Which place is it?", len(places), lambda at: words.place(finder, places[at]), back=back
        )
        if at is None:
            raise _Left
        return finder.choose(at)


def _label(name: str, colours: Sequence[LetteredColour]) -> str:
    return next(colour.label for colour in colours if colour.name == name)


def _slots(typed: str, believed: Sequence[str], colours: Sequence[LetteredColour]) -> list[str]:
    """The colours of all slots, an empty text for an empty one. Raises CannotRead."""
    found = [""] * len(believed)
    for word in typed.replace(",", " ").split():
        match = SLOT.fullmatch(word)
        slot = 0 if match is None else int(match[1])
        named = [] if match is None else read_colours(match[2], colours)
        if not 1 <= slot <= len(found) or len(named) != 1:
            raise CannotRead(f"{word} is no slot and its colour: 1{colours[0].letter} is slot 1.")
        if found[slot - 1]:
            raise CannotRead(f"Slot {slot} is there twice.")
        found[slot - 1] = named[0]
    strands = sum(map(bool, believed))
    if sum(map(bool, found)) != strands:
        raise CannotRead(f"There are {strands} strands; you typed {sum(map(bool, found))}.")
    return found
