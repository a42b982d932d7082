"""The lost place: what the maker sees, the places that fit, the best next question, and what setting a place means."""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from functools import cached_property
from itertools import groupby
from typing import NamedTuple

from benchmate.craft.trouble.last_knots import MOST_TOLD, LastKnots
from benchmate.craft.trouble.made_otherwise import Made, MadeOtherwise
from benchmate.craft.trouble.trouble import Places, WrongKnot
from benchmate.craft.work import ReportProgress
from benchmate.families.registry import trouble_of
from benchmate.store.open_piece import OpenPiece

MOST_COMPARED = 200
"""Up to so many places, single knots are asked about too."""
MOST_ASKED = 40
"""How many single knots are considered for a question at most."""
MOST_COUNTED_BACK = 100
"""So many knots back are asked about at most, and only where those up to `MOST_TOLD` tell nothing."""
MOST_LOOKED_AT = 200_000
"""So many knots are looked at for that in all, so that a press takes no time."""
CLEARLY_BETTER = 0.7
"""A knot that is harder to find is asked about only where it leaves so much less to look at."""


class FoundPlace(NamedTuple):
    """The steps tied at a place, in a possible order, and the one wrong knot among them where the place needs one."""

    target: Sequence[int]
    made: MadeOtherwise


class Candidate(NamedTuple):
    """A place that fits: so many steps of the band are done, and perhaps one of them was made in another way.

    `wrong` is that step of the band, None where there is none. `last` are the colours of the last knots there.
    """

    done: int
    wrong: int | None
    made: Made
    last: Sequence[str]


class Asked(NamedTuple):
    """A question about one knot: the last one or so many `back`, or (`back` is 0) a step of the band.

    `colours` are the answers, those that leave most places first; None: there is no such knot.
    """

    back: int
    step: int
    colours: Sequence[str | None]


class Answer(NamedTuple):
    """What the maker answered. It leaves the places that it `fits`; all where the maker could not tell.

    Either it is the colour of the knot that was `asked` about, or a number: `row`, or how many knots that row has.
    """

    fits: Callable[[Candidate], bool]
    asked: Asked | None = None
    colour: str | None = None
    row: int | None = None


class Searched(NamedTuple):
    """What was seen and told, what fits, and whether that takes one wrong knot."""

    seen: Sequence[str] | None
    told: Sequence[str]
    places: Places
    with_one_wrong: bool


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
        self.searched: Searched | None = None
        self.answers: list[Answer] = []
        self._candidates: list[Candidate] = []

    @cached_property
    def place(self) -> Sequence[int]:
        """Where in the sequence each step of the band is."""
        found = [0] * len(self.sequence)
        for at, step in enumerate(self.sequence):
            found[step] = at
        return found

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
        places = self._trouble.where(work, self.sequence, seen, told)
        assert places is not None
        if places.places or seen is None:
            return Searched(seen, told, places, False)
        found = self._trouble.where_with_one_wrong(work, self.sequence, seen, told, report, near=self.remembered)
        return Searched(seen, told, places if found is None else found, found is not None)

    def take_in(self, searched: Searched) -> None:
        """Goes on with what was found."""
        self.searched = searched
        found: list[Candidate] = []
        for done, wrong, last in searched.places.places:
            if wrong is None:
                found.append(Candidate(done, None, None, last))
            else:
                found += [Candidate(done, wrong.step, made, last) for made in wrong.made]
        found.sort(key=lambda place: abs(place.done - self.remembered))
        self._candidates = found
        self._narrow()

    @property
    def needs_search(self) -> bool:
        """True where other places than those that were listed can fit what was answered."""
        searched, told = self.searched, self._told
        if searched is None or told == searched.told:
            return False
        if told[len(told) - len(searched.told) :] != searched.told:
            return True
        return self._is_cut or (not self.fitting and not searched.with_one_wrong and searched.seen is not None)

    @property
    def _is_cut(self) -> bool:
        searched = self.searched
        return searched is not None and searched.places.total > len(
            {(place.done, place.wrong and place.wrong.step) for place in searched.places.places}
        )

    @property
    def _told(self) -> list[str]:
        """The colours of the last knots as far as the maker named them without a gap, oldest first."""
        by_back = {answer.asked.back: answer.colour for answer in self.answers if answer.asked is not None}
        found: list[str] = []
        while (colour := by_back.get(len(found) + 1)) is not None:
            found.append(colour)
        return found[::-1]

    def _narrow(self) -> None:
        self.fitting = [place for place in self._candidates if all(answer.fits(place) for answer in self.answers)]
        """The places that fit all answers, those nearest to where the piece is counted to be first."""
        alike = groupby(self.fitting, lambda place: (place.done, place.wrong))
        self.places = [list(places) for _, places in alike]
        """The same, with the ways in which one wrong knot can have been made together."""

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
        return self._trouble.knows_ways and self.searched is not None and not self.searched.with_one_wrong

    # Questions and answers.

    def question(self) -> Asked | None:
        """The question that leaves fewest places on the average; None where none tells any apart."""
        fitting = self.fitting
        best: Asked | None = None
        least = float("inf")
        for back, step, shown in self._questions(fitting):
            counts = Counter(shown)
            if len(counts) < 2 or not _is_worth_asking(counts, back):
                continue
            left = sum(count * count for count in counts.values())
            if best is None or left < CLEARLY_BETTER * least:
                best, least = Asked(back, step, tuple(colour for colour, _ in counts.most_common())), left
            if not self.strings_tell or self._is_cut:
                break
        return best or self._further_back(fitting)

    def _further_back(self, fitting: Sequence[Candidate]) -> Asked | None:
        """The first knot further back that tells places apart, or whether there is a last one at all."""
        if len(fitting) < 2:
            return None
        asked = {answer.asked.back for answer in self.answers if answer.asked is not None}
        with_wrong = any(place.wrong is not None for place in fitting)
        most = 0 if with_wrong else min(MOST_COUNTED_BACK, MOST_TOLD + MOST_LOOKED_AT // len(fitting))
        for back in (*range(MOST_TOLD + 1, most + 1), 1):
            counts = Counter(self._last(place, back) for place in fitting)
            if back not in asked and len(counts) > 1 and (back == 1 or _is_worth_asking(counts, back)):
                return Asked(back, 0, tuple(colour for colour, _ in counts.most_common()))
        return None

    def _questions(self, fitting: Sequence[Candidate]) -> Iterator[tuple[int, int, list[str | None]]]:
        """Every knot to ask about, with the colour it shows at each place; those that are easy to find come first."""
        if len(fitting) < 2:
            return
        asked = {(answer.asked.back, answer.asked.step) for answer in self.answers if answer.asked is not None}
        for back in range(1, MOST_TOLD + 1):
            if (back, 0) not in asked:
                yield back, 0, [self._last(place, back) for place in fitting]
        if len(fitting) > MOST_COMPARED:
            return
        least = min(place.done for place in fitting)
        steps = dict.fromkeys(place.wrong for place in fitting if place.wrong is not None)
        near = sorted((step for step in steps if self.place[step] < least), key=self.place.__getitem__, reverse=True)
        for step in near[:MOST_ASKED]:
            if (0, step) not in asked:
                yield 0, step, [self._shown(place, step) for place in fitting]

    def _last(self, place: Candidate, back: int) -> str | None:
        if back > MOST_TOLD and place.wrong is None:
            return self._last_knots.back(place.done, back)
        return place.last[-back] if len(place.last) >= back else None

    @cached_property
    def _last_knots(self) -> LastKnots:
        """The knots before every place, as charted."""
        return LastKnots(self._trouble.shown(self.main.work, self.sequence))

    def _shown(self, place: Candidate, step: int) -> str | None:
        assert place.wrong is not None
        explained = (WrongKnot(place.wrong, (place.made,)),)
        return self._trouble.could_show(self.main.work, [explained], step)[0]

    def answer(self, asked: Asked, colour: str | None) -> None:
        """Takes in the colour of the knot that was asked about; None: there is no such knot."""

        def fits(place: Candidate) -> bool:
            return (self._last(place, asked.back) if asked.back else self._shown(place, asked.step)) == colour

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
        """Takes in the row, or once that is known, how many of its knots are made. False where no place is there."""
        row = self.row
        if row is None:
            answer = Answer(lambda place: number in self.rows_at(place), row=number)
        else:
            answer = Answer(lambda place: self._made_in(row, place) == number)
        if not any(map(answer.fits, self.fitting)):
            return False
        self._add(answer)
        return True

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
        made = {} if place.wrong is None else {main.first + place.wrong: place.made}
        return FoundPlace([*start, *band, *finish], made)


def _is_worth_asking(counts: Counter[str | None], back: int) -> bool:
    """False where nearly all places show one colour, and the others have not so many knots: a glance tells that."""
    return not back or len(counts) > 2 or None not in counts or (back == 1 and 4 * counts[None] >= counts.total())
