"""What went wrong: what the maker sees, the knots that explain it, and the question that tells them apart best."""

from collections.abc import Sequence
from itertools import product
from math import prod
from typing import NamedTuple

from benchmate.craft.start_band_finish import WholePiece
from benchmate.craft.trouble.made_otherwise import MadeOtherwise
from benchmate.craft.trouble.trouble import PAIRS_AMONG, Why, WrongKnot
from benchmate.craft.trouble.wrong_step import OtherColour, WrongStep
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.trouble_words import NO_KNOT, either, made_instead, made_words
from benchmate.craft.work import ReportProgress
from benchmate.families.registry import trouble_of
from benchmate.piece_questions.trouble.hanging_colours import NOTHING, UNKNOWN, LetteredColour, lettered, miscounted
from benchmate.piece_questions.trouble.knot_places import colour_shown, names_apart, place_of
from benchmate.store.open_piece import OpenPiece

AS_CHARTED = "The strings hang as they should. A wrong knot then shows only in its own colour: point at it."
AS_MADE = (
    "The strings hang as they should after what is known to be made otherwise. Another wrong knot then shows only in"
    " its own colour: point at it."
)
EXPLAINED_BY_NOTHING = (
    "Neither one wrong knot nor two explain that. Check the strings again. With three wrong, undo the last row ({}) and"
    " look again, row by row. Or find your place."
)
NOTHING_TELLS = "Nothing more on the band tells them apart."
ONLY_DIAGONAL = "Only a diagonal band can say what went wrong. Point at the wrong knot."
HOW_MADE = "How did you make it?"
CANNOT_TELL_MORE = "Can't tell any more?"
UNTOLD = 3
"""After so many answers in a row that nobody could tell, it is said that one explanation can be taken now."""
Explanation = tuple[WrongKnot, ...]
"""One wrong knot, or two."""


class WrongKnots(NamedTuple):
    """The knots that are wrong: how they were made, or, where nobody can tell that, which ones they are."""

    made: MadeOtherwise
    unknown: Sequence[int] = ()


class WayMade(NamedTuple):
    """A way in which the wrong knots can have been made, and what it looks like."""

    words: str
    made: MadeOtherwise


class Answer(NamedTuple):
    """An answer to a question: the letter to type, the words, and the colour's name; None where no knot is there."""

    letter: str
    words: str
    colour: str | None


class Question(NamedTuple):
    """A question that tells explanations apart: the step, where it is, and what it can show."""

    step: int
    place: str
    answers: Sequence[Answer]

    @property
    def words(self) -> str:
        """`row 14, third from the left: deep or foam?`."""
        return f"{self.place}: {self.choice}"

    @property
    def choice(self) -> str:
        """`deep or foam?`."""
        return f"{either(answer.words for answer in self.answers)}?"


class WhatWentWrong:
    """What the maker said of a band in which something is wrong. Steps are numbered through the whole piece.

    `seen` are the colours of the strings, left to right: as believed, until they are typed.
    """

    def __init__(self, held: OpenPiece) -> None:
        """`held` is not changed while this is in use."""
        self.held = held
        part = held.whole.main
        self._part = part
        self._trouble = trouble_of(part.design.family)
        self._tied = [step - part.first for step in held.progress.history if 0 <= step - part.first < part.work.size]
        self.colours: list[LetteredColour] = lettered(part.design)
        self.believed = [part.design.body.colour_of(string) for string in held.progress.hanging if string]
        self.seen: list[str] = [*self.believed]
        self.shows: dict[int, str | None] = {}
        self._unasked: list[int] = []
        self._told: list[int | None] = []
        """The knots that the maker said something about, in turn; None where an explanation was chosen."""
        self._chosen: Explanation | None = None
        self._left: tuple[Why | None, Sequence[WayMade]] | None = None
        """The ways that are left by what was found."""
        self.found: Why | None = None

    @property
    def possible(self) -> bool:
        """False where the family has no answer to this, and before the first knot of the band."""
        return self._trouble.knows_ways and bool(self._tied)

    @property
    def knows_strings(self) -> bool:
        """Whether it can be said where a string gives out."""
        return self._trouble.knows_ways

    def is_band(self, step: int) -> bool:
        """True for a step of the band, of which a colour can be told."""
        return 0 <= step - self._part.first < self._part.work.size

    def look(self, report: ReportProgress | None = None) -> Why | None:
        """What explains all that the maker said; changes nothing. What `report` raises ends the search."""
        if self._chosen is not None:
            return self._about(self._chosen)
        first = self._part.first
        shows = {step - first: colour for step, colour in self.shows.items()}
        unasked = [step - first for step in self._unasked]
        found = self._trouble.why(self._part.work, self._tied, self.seen, shows, report, unasked=unasked)
        if found is None:
            return None
        mistakes = [tuple(wrong._replace(step=wrong.step + first) for wrong in mistake) for mistake in found.mistakes]
        return found._replace(mistakes=mistakes, ask=None if found.ask is None else found.ask + first)

    # What the maker says.

    def hang(self, seen: Sequence[str]) -> None:
        """Tells how the strings hang."""
        self.seen, self.found = [*seen], None

    def tell(self, step: int, colour: str | None) -> None:
        """Tells the colour that a knot shows; None: no knot is there."""
        self.shows[step] = colour
        self._told.append(step)
        self.found = None

    def point(self, step: int, colour: str | None) -> None:
        """Tells the colour of a knot that the maker points at, as in `tell`; it is no answer that is taken back."""
        self.shows[step] = colour
        self.found = None

    def cannot_tell(self, step: int) -> None:
        """Tells that the colour of a knot cannot be told; it is not asked about again."""
        self._unasked.append(step)
        self._told.append(step)
        self.found = None

    def take_back(self) -> bool:
        """Takes back what was said last about a knot; False when nothing was."""
        if not self._told:
            return False
        step = self._told.pop()
        if step is None:
            self._chosen = None
        elif step in self._unasked:
            self._unasked.remove(step)
        else:
            del self.shows[step]
        self.found = None
        return True

    @property
    def answered(self) -> bool:
        """True when there is an answer to take back."""
        return bool(self._told)

    @property
    def tells_no_more(self) -> bool:
        """True where the last answers in a row were that the maker cannot tell, and several explanations are left."""
        last = self._told[-UNTOLD:]
        return len(self.explanations) > 1 and len(last) == UNTOLD and all(step in self._unasked for step in last)

    def forget(self) -> None:
        """Forgets all that was said about knots; how the strings hang stays."""
        self.shows.clear()
        self._unasked.clear()
        self._told.clear()
        self._chosen = self.found = None

    def answer(self, letter: str) -> bool:
        """Answers the question with a letter; False where that is no answer to it."""
        question = self.question
        if question is None:
            return False
        if letter == UNKNOWN:
            self.cannot_tell(question.step)
            return True
        for answer in question.answers:
            if answer.letter == letter.casefold():
                self.tell(question.step, answer.colour)
                return True
        return False

    # What was found.

    @property
    def question(self) -> Question | None:
        """The question that tells the explanations apart best; None where no answer would."""
        if self.found is None or self.found.ask is None:
            return None
        given = {answer.colour: answer for answer in self._all_answers}
        answers = [given[colour] for colour in self.found.answers]
        return Question(self.found.ask, place_of(self.held, self.found.ask), answers)

    def question_about(self, step: int) -> Question:
        """Which colour a knot shows, of all but the one that it should show."""
        others = self._other_colours(step)
        if others:
            answers = [each for each in self._all_answers if each.colour in others]
        else:
            due = colour_shown(self.held.whole, step)
            answers = [each for each in self._all_answers if each.colour != due]
        return Question(step, place_of(self.held, step), answers)

    def colour_is_enough(self, step: int) -> bool:
        """Whether the colour that a knot shows is all that is asked of it, as that tells what must come out."""
        return bool(self._other_colours(step))

    def wrong_together(self, step: int, colour: str) -> Sequence[int]:
        """The steps to mark as wrong where a knot was made in another colour: the knot, and what that may hold."""
        wrong = WrongStep(step - self._part.first, (OtherColour(colour),))
        held = self._trouble.held_by(self._part.work, self._tied, wrong)
        return [step, *(self._part.first + other for other in held)]

    def _other_colours(self, step: int) -> Sequence[str]:
        return self._trouble.other_colours(self._part.work, step - self._part.first) if self.is_band(step) else ()

    @property
    def believed_words(self) -> str:
        """What the strings are believed to hang by: `As charted`, or as far as the maker told what was made."""
        return "As really made" if self.held.made else "As charted"

    def places_words(self, explanation: Explanation) -> str:
        """Where the knots of an explanation are: `row 14, third from the left`; two of them with `and`."""
        return "; and ".join(place_of(self.held, wrong.step) for wrong in explanation)

    @property
    def _all_answers(self) -> list[Answer]:
        told = [Answer(each.letter, each.label, each.name) for each in self.colours]
        return [*told, Answer(NOTHING, NO_KNOT, None)]

    @property
    def explanations(self) -> Sequence[Explanation]:
        """The explanations found, nearest first."""
        return () if self.found is None else self.found.mistakes

    @property
    def settled(self) -> bool:
        """True when one explanation is left and no question would say more of it."""
        return self.found is not None and self.found.total == 1 and self.found.ask is None

    def choose(self, explanation: Explanation) -> None:
        """Tells that this is what happened. What is asked from then on is only how its knots were made."""
        self._chosen = explanation
        self._told.append(None)
        self.found = None

    def _about(self, explanation: Explanation) -> Why:
        """How the knots of an explanation can have been made, and the colour of theirs that tells most of it."""
        ways = self.ways_made(explanation)
        if not ways:
            return Why(False, [], 0, None)
        steps = [wrong.step for wrong in explanation]
        known = tuple(WrongKnot(step, tuple(dict.fromkeys(way.made[step] for way in ways))) for step in steps)
        for step in steps:
            shown = (colour_shown(self.held.whole.made_otherwise(way.made), step) for way in ways)
            colours = tuple(dict.fromkeys(shown))
            if len(colours) > 1 and step not in (*self.shows, *self._unasked):
                return Why(False, [known], 1, step, colours)
        return Why(False, [known], 1, None)

    @property
    def wrong(self) -> WrongKnots | None:
        """What happened, once that is settled and known; None where it has to be asked how the knots were made."""
        ways = self.ways_left
        return WrongKnots(ways[0].made) if len(ways) == 1 else None

    @property
    def ways_left(self) -> Sequence[WayMade]:
        """Every way in which the knots of the one explanation that is left can have been made; empty before that."""
        if not self.settled:
            return []
        if self._left is None or self._left[0] is not self.found:
            self._left = self.found, self.ways_made(self.explanations[0])
        return self._left[1]

    @property
    def not_known(self) -> WrongKnots:
        """The knots of the one explanation that is left, of which the maker cannot tell how they all were made."""
        ways = [way.made for way in self.ways_left]
        steps = [wrong.step for wrong in self.explanations[0]]
        known = {step: ways[0][step] for step in steps if len({way[step] for way in ways}) == 1}
        return WrongKnots(known, [step for step in steps if step not in known])

    def ways_made(self, explanation: Explanation) -> list[WayMade]:
        """Every way in which the knots of an explanation can have been made that explains all that was said."""
        steps = [wrong.step for wrong in explanation]
        all_ways = (dict(zip(steps, made, strict=True)) for made in product(*(wrong.made for wrong in explanation)))
        pieces = ((made, self.held.whole.made_otherwise(made)) for made in all_ways)
        called = names_apart(self.held, steps)
        return [WayMade(self._way_words(made, piece, called), made) for made, piece in pieces if self._explains(piece)]

    def _explains(self, whole: WholePiece) -> bool:
        """Whether such a band hangs and shows all as the maker said."""
        part, hanging = self._part, whole.at_start()
        for step in self._tied:
            whole.main.work.change_places(step, hanging)
        as_seen = [part.design.body.colour_of(string) for string in hanging] == self.seen
        return as_seen and all(colour_shown(whole, step) == colour for step, colour in self.shows.items())

    def _way_words(self, made: MadeOtherwise, piece: WholePiece, called: Sequence[str]) -> str:
        """`forward-backward, shows foam`; `left out`; of two knots each with what it is `called`."""
        words = []
        for (step, how), name in zip(made.items(), called, strict=True):
            place = f"{name}: " if len(made) > 1 else ""
            colour = colour_shown(piece, step)
            shows = "" if colour is None else f", shows {self._part.design.say(colour)}"
            words.append(f"{place}{made_words(how)}{shows}")
        return "; ".join(words)

    # In words.

    def found_words(self, undo: str) -> str:
        """What was found, in a sentence; `undo` is the key or the word that undoes the last step."""
        found = self.found
        if found is None:
            return ""
        if found.as_charted:
            return AS_MADE if self.held.made else AS_CHARTED
        if not found.total:
            cannot_be = miscounted(self.seen, self.believed, self._part.design)
            if cannot_be:
                return f"{cannot_be} Look at the strings again."
            among = f"two of the last {PAIRS_AMONG:,}" if len(self._tied) > PAIRS_AMONG else "two"
            return EXPLAINED_BY_NOTHING.replace("two", among, 1).format(undo)
        pair = len(found.mistakes[0]) > 1
        if found.total == 1:
            if self._chosen is not None:
                return f"Taken as wrong: {'these two knots' if pair else 'this knot'}."
            return f"{'These two knots are' if pair else 'This knot is'} wrong."
        if not pair:
            return f"{counted(found.total, 'knot')} could be wrong."
        # Answers mostly rule out ways before they rule out pairs.
        ways = sum(prod(len(wrong.made) for wrong in each) for each in found.mistakes)
        many = f", in up to {ways} ways" if found.total == len(found.mistakes) else ""
        return f"{found.total} pairs of knots explain it{many}."

    @property
    def alike_words(self) -> str:
        """Why nothing is asked although several explanations are left; empty where that is not so.

        Where a knot whose colour could not be told would tell them apart, that knot is named.
        """
        if self.found is None or self.found.total < 2 or self.found.ask is not None:
            return ""
        would_tell = [place_of(self.held, step) for step in self._unasked if len(self._could_show(step)) > 1]
        if not would_tell:
            return NOTHING_TELLS
        return f"Only what you could not tell would tell them apart: {'; '.join(would_tell)}."

    def _could_show(self, step: int) -> Sequence[str | None]:
        """The colours that a knot can show by the explanations found."""
        first = self._part.first
        found = [tuple(wrong._replace(step=wrong.step - first) for wrong in each) for each in self.explanations]
        return self._trouble.could_show(self._part.work, found, step - first)

    def explanation_words(self, explanation: Explanation) -> str:
        """An explanation: `row 14, third from the left: backward instead of forward`; two of them with `and`."""
        return "; and ".join(self.wrong_words(wrong) for wrong in explanation)

    def wrong_words(self, wrong: WrongKnot) -> str:
        """A wrong knot: `row 14, third from the left: made backward instead of forward, or left out`."""
        made = made_instead(wrong.made, self.held.whole.how_made(wrong.step))
        return f"{place_of(self.held, wrong.step)}: {made}"
