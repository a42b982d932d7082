"""The lost place: what the maker sees, the places that fit, the best next question, and what setting a place means."""

from collections.abc import Sequence
from itertools import groupby, takewhile
from typing import NamedTuple

from benchmate.craft.progress import hanging_after
from benchmate.craft.trouble.made_otherwise import MadeOtherwise
from benchmate.craft.trouble.trouble import Place, Places
from benchmate.craft.trouble.wrong_step import OtherColour, OtherMove, WrongStep
from benchmate.craft.work import ReportProgress
from benchmate.families.registry import trouble_of
from benchmate.piece_questions.trouble.place_questions import Answer, Asked, Candidate, PlaceQuestions, Told
from benchmate.store.open_piece import OpenPiece


class FoundPlace(NamedTuple):
    """The steps tied at a place, in a possible order, and the one wrong step among them where the place needs one.

    A wrong knot of a diagonal band is in `made`, and stays known as made so. A step of another family is `wrong`: it is
    to be taken out, after the steps that it holds: `held_by_it`; or the move `now` puts it right.
    """

    target: Sequence[int]
    made: MadeOtherwise
    wrong: WrongStep | None = None
    now: OtherMove | None = None
    held_by_it: Sequence[int] = ()

    def set_in(self, held: OpenPiece) -> None:
        """Sets the piece to the place."""
        out = () if self.wrong is None or self.now is not None else (self.wrong.step, *self.held_by_it)
        held.jump_to(self.target, self.made, wrong=out)


class Searched(NamedTuple):
    """What was seen and told, what fits, and whether that takes one wrong knot; and how many answers there were."""

    seen: Sequence[str] | None
    told: Told
    places: Places
    with_one_wrong: bool
    answers: int


def can_find(held: OpenPiece) -> bool:
    """Whether a lost place in this piece can be found."""
    main = held.whole.main
    return bool(main.work.size) and trouble_of(main.design.family).finds_places


class LostPlace:
    """The search for the place in a piece: what hangs, then one question after the other."""

    def __init__(self, held: OpenPiece) -> None:
        """`held` is a piece in which a place can be found."""
        self.held = held
        self.main = main = held.whole.main
        self._trouble = trouble_of(main.design.family)
        end = main.first + main.work.size
        tied = [number for number in held.progress.history if main.first <= number < end]
        rest = (number for number in held.order.sequence if main.first <= number < end)
        self.sequence = [
            number - main.first for number in (*tied, *(each for each in rest if not held.progress.is_tied(each)))
        ]
        """The steps of the band as they were tied, and then in working order."""
        self.remembered = len(tied)
        """How many of them are counted as done."""
        self._questions = PlaceQuestions(main.work, self._trouble, self.sequence)
        self.searched: Searched | None = None
        self.answers: list[Answer] = []
        self._candidates: list[Candidate] = []

    @property
    def place(self) -> Sequence[int]:
        """Where in the sequence each step of the band is."""
        return self._questions.place

    @property
    def in_slots(self) -> bool:
        """Whether the strands lie in slots, of which some are empty."""
        return self.strings_tell and not self.main.design.family.step_view.strings_hang

    @property
    def strings_tell(self) -> bool:
        """Whether the strings as they hang tell something about the place."""
        return self._trouble.hanging_tells

    @property
    def believed(self) -> list[str]:
        """The colours of the strings as they hang where the piece is counted to be; empty for an empty slot."""
        body = self.main.design.body
        return [body.colour_of(string) if string else "" for string in self.held.progress.hanging]

    # The search.

    def search(self, seen: Sequence[str] | None, report: ReportProgress | None = None) -> Searched:
        """The places that fit what is seen; where none does, those that one wrong knot explains. Changes nothing."""
        work, told = self.main.work, self._told
        last = list(takewhile(lambda colour: colour is not None, reversed(told)))
        places = self._trouble.where(work, self.sequence, seen, [colour for colour in reversed(last) if colour])
        assert places is not None
        if any(self._fits(found) for place in places.places for found in _candidates(place)):
            return Searched(seen, told, places, False, len(self.answers))
        found = self._trouble.where_with_one_wrong(work, self.sequence, seen, told, report, near=self.remembered)
        return Searched(seen, told, places if found is None else found, found is not None, len(self.answers))

    def take_in(self, searched: Searched) -> None:
        """Goes on with what was found."""
        self.searched = searched
        found = [candidate for place in searched.places.places for candidate in _candidates(place)]
        found.sort(key=lambda place: abs(place.done - self.remembered))
        self._candidates = found
        self._narrow()

    @property
    def needs_search(self) -> bool:
        """True where other places than those that were listed can fit what was answered."""
        searched, told = self.searched, self._told
        if searched is None:
            return False
        if told[len(told) - len(searched.told) :] != searched.told or len(self.answers) < searched.answers:
            return True
        if not self.fitting:
            return bool(self.answers) and not searched.with_one_wrong
        return self._is_cut and told != searched.told

    @property
    def _is_cut(self) -> bool:
        searched = self.searched
        return searched is not None and searched.places.total > len(
            {(place.done, place.wrong and place.wrong.step) for place in searched.places.places}
        )

    @property
    def _told(self) -> Told:
        """The colours of the last knots as far as the maker named any, oldest first; None for one that is not known."""
        named = ((answer.asked.back, answer.colour) for answer in self.answers if answer.asked is not None)
        by_back = {back: colour for back, colour in named if back and colour is not None}
        return [by_back.get(back) for back in range(max(by_back, default=0), 0, -1)]

    def _narrow(self) -> None:
        self.fitting = [place for place in self._candidates if self._fits(place)]
        """The places that fit all answers, those nearest to where the piece is counted to be first."""
        alike = groupby(self.fitting, lambda place: (place.done, place.wrong))
        self.places = [list(places) for _, places in alike]
        """The same, with the ways in which one wrong knot can have been made together."""

    def _fits(self, place: Candidate) -> bool:
        return all(answer.fits(place) for answer in self.answers)

    @property
    def count(self) -> int:
        """How many places fit, wherever a wrong knot is; of very many, only the listed ones count."""
        searched = self.searched
        if searched is not None and not searched.with_one_wrong and not self.answers:
            return searched.places.total
        return len({place.done for place in self.fitting})

    @property
    def may_be_more(self) -> bool:
        """Whether more places fit than are listed."""
        return self._is_cut and not self.answers

    @property
    def may_be_wrong(self) -> bool:
        """Whether a wrong knot can explain what no place shows that fits as charted."""
        return self.searched is not None and not self.searched.with_one_wrong

    # Questions and answers.

    def question(self) -> Asked | None:
        """The question that leaves fewest places on the average; None where none tells any apart."""
        first = not self.strings_tell or self._is_cut
        return self._questions.next(self.fitting, self.answers, self._found_by, first_that_tells=first)

    @property
    def _found_by(self) -> Told:
        """The last knots by which the places were found."""
        return [] if self.searched is None else self.searched.told

    def answer(self, asked: Asked, colour: str | None) -> None:
        """Takes in the colour of the knot that was asked about; None: there is no such knot."""

        def fits(place: Candidate) -> bool:
            return self._questions.shows(place, asked, self._found_by) == colour

        self._add(Answer(fits, asked, colour))

    def choose(self, at: int) -> Candidate | None:
        """The place that the maker chooses; None where it is not known yet how its wrong knot was made."""
        chosen = self.places[at]
        if len(chosen) == 1 or (len(self.places) == 1 and self.question() is None):
            return chosen[0]
        self._add(Answer(lambda place: place in chosen))
        return None if self.question() is not None else self.fitting[0]

    def cannot_tell(self, asked: Asked) -> None:
        """The maker cannot tell the colour of that knot: another one is asked about."""
        self._add(Answer(lambda _: True, asked))

    def _add(self, answer: Answer) -> None:
        self.answers.append(answer)
        self._narrow()

    def take_back(self) -> bool:
        """Takes the last answer back; False where there is none."""
        if not self.answers:
            return False
        self.answers.pop()
        self._narrow()
        return True

    # Numbers that the maker counts on the band.

    @property
    def row(self) -> int | None:
        """The row that the maker is in, once that is said."""
        return next((answer.row for answer in self.answers if answer.row is not None), None)

    def say_number(self, number: int) -> bool:
        """Takes in the row, or once that is known, how many of its knots are made. False where no place is there.

        Where nothing but the last knots tells the place, one of them may be wrong, if there is such a row at all.
        """
        row, work = self.row, self.main.work
        if row is None:
            answer = Answer(lambda place: number in self.rows_at(place), row=number)
            may_be = 1 <= number <= work.rows
        else:
            answer = Answer(lambda place: self._made_in(row, place) == number)
            may_be = number <= work.span(row).end - work.span(row).first
        may_be = may_be and self.row_may_be_another
        if not may_be and not any(map(answer.fits, self.fitting)):
            return False
        self._add(answer)
        return True

    @property
    def row_may_be_another(self) -> bool:
        """Whether the maker may name a row in which no place fits as charted: a wrong knot is looked for then."""
        return self.may_be_wrong and not self.strings_tell

    def rows_at(self, place: Candidate) -> set[int]:
        """The rows a maker can mean there: that of the last knot and that of the next one."""
        work = self.main.work
        return {work.row_of(step) for step in self.sequence[max(0, place.done - 1) : place.done + 1]}

    def _made_in(self, row: int, place: Candidate) -> int:
        first, end = self.main.work.span(row)
        return sum(self.place[step] < place.done for step in range(first, end))

    # The place that is set.

    def found(self, place: Candidate) -> FoundPlace:
        """What setting the piece to a place means."""
        main, progress = self.main, self.held.progress
        start = [number for number in self.held.order.sequence if number < main.first]
        if not place.done and not self.remembered:
            start = [number for number in progress.history if number < main.first]
        band = [main.first + step for step in self.sequence[: place.done]]
        end = main.first + main.work.size
        finish = [number for number in progress.history if number >= end] if place.done == main.work.size else []
        target = [*start, *band, *finish]
        if place.wrong is None:
            return FoundPlace(target, {})
        number, made = main.first + place.wrong, place.made
        if self._trouble.knows_ways and not isinstance(made, OtherColour | OtherMove):
            return FoundPlace(target, {number: made})
        wrong = WrongStep(place.wrong, (made,))
        now = self._trouble.puts_right(main.work, hanging_after(self.held.whole, self.held.order, target), wrong)
        held = [main.first + step for step in self._trouble.held_by(main.work, self.sequence[: place.done], wrong)]
        return FoundPlace(target, {}, wrong._replace(step=number), now, held)


def _candidates(place: Place) -> list[Candidate]:
    """What the maker can have before the hands at a place, by the ways in which its wrong knot can have been made."""
    done, wrong, last = place
    if wrong is None:
        return [Candidate(done, None, None, last)]
    return [Candidate(done, wrong.step, made, last) for made in wrong.made]
