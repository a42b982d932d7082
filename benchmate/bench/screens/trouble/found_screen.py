"""What explains how the strings hang: each explanation drawn on the band, and a question until one is left."""

from collections.abc import Mapping, Sequence

from benchmate.actions import shown_key
from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.trouble.lettered_band import HERE, WRONG, Band
from benchmate.bench.screens.trouble.question_page import NARROW, answers_heard, keys_heard, question_page
from benchmate.bench.screens.trouble.search_screen import GoBack, SearchingScreen
from benchmate.bench.terminal.judged_key import Key
from benchmate.craft.start_band_finish import WholePiece
from benchmate.craft.trouble.trouble import Why
from benchmate.craft.wording.trouble_words import CANNOT_TELL, made_instead
from benchmate.display.cells import Line
from benchmate.piece_questions.trouble.hanging_colours import UNKNOWN
from benchmate.piece_questions.trouble.knot_places import place_across, rows_back
from benchmate.piece_questions.trouble.what_went_wrong import (
    CANNOT_TELL_MORE,
    HOW_MADE,
    WhatWentWrong,
    WrongKnots,
)

TAKE_ONE = f"{CANNOT_TELL_MORE} up/down: see each, enter takes one."
LOOKING = "Looking for the wrong knot"
SIGNS = "123456789abcdefg"
"""The keys for ways: two knots can have been made in sixteen."""
FEW = 3
"""So many ways in which a knot can have been made fit into any window."""
COULD_BE_WRONG, IS_WRONG = {WRONG: "could be wrong"}, {WRONG: "wrong"}
IF_SO, AS_MADE = "If x is wrong", "As really made"
"""What is drawn beside an explanation that is looked at, and beside the one that is left."""
STOPPED = "The search was stopped. Enter: search again."


class FoundScreen(SearchingScreen[WrongKnots | GoBack]):
    """Asks until one explanation is left, and how its knots were made; the result is what was wrong.

    None: the maker leaves, to point at a knot. `BACK`: back to how the strings hang.
    """

    def __init__(self, bench: Bench, went: WhatWentWrong) -> None:
        """`went` knows how the strings hang, or what knots show."""
        super().__init__(bench)
        self._went = went
        self._at: int | None = None
        """The explanation that is looked at; None for the knot that is asked about."""
        self._from = 0
        """The first of the ways that are shown, where there are many."""
        self._drawn: tuple[Why | None, int, WholePiece] | None = None

    def on_mount(self) -> None:
        """Begins the search."""
        self._look()

    def _look(self) -> None:
        self._at, self._from = None, 0
        self.begin_search(self._went.look, self._take_in)

    def _take_in(self, found: Why | None) -> None:
        went = self._went
        went.found = found
        if went.wrong is not None:
            self.dismiss(went.wrong)
        elif went.explanations and went.question is None and not went.ways_left:
            self._at = 0

    def lines(self, width: int, height: int) -> list[Line]:
        """The question, how far back its knot is, the answers, what was found, and the band."""
        wrong = self._went.places_words(self._went.explanations[0]) if self._ways else ""
        found = (
            [self._take_one, self._found_words, wrong, self._this]
            if self._at is None
            else [self._this, self._found_words]
        )
        texts = [text for text in found if text]
        band = self._band if len(self._ways) <= FEW or width >= NARROW else None
        return question_page(self._asks, self._answers, texts, self._keys, band, width, height, self.palette)

    @property
    def asked(self) -> object:
        """The search, or the question."""
        return self.search, self._went.question, self._at

    @property
    def _asks(self) -> str:
        went, question = self._went, self._went.question
        if self.search is not None:
            return f"{LOOKING}{self.share_words}"
        if went.found is None:
            return "Search stopped"
        if went.found.as_charted:
            return "As charted"
        if not went.explanations:
            return "Nothing fits"
        if self._at is not None:
            return went.places_words(went.explanations[self._at]).capitalize()
        if went.ways_left:
            return HOW_MADE
        return "" if question is None else question.words

    @property
    def _found_words(self) -> str:
        """What was found; and why nothing more is asked, where that is so."""
        alike = self._went.alike_words if self.search is None else ""
        undo = next(map(shown_key, self.bench.settings.keys["back"]), "no key")
        return f"{self._went.found_words(undo)} {alike}".rstrip()

    @property
    def _take_one(self) -> str:
        """How to go on without an answer, after several that could not be told."""
        asks = self.search is None and self._went.question is not None
        return TAKE_ONE if asks and self._went.tells_no_more else ""

    @property
    def _answers(self) -> Sequence[str]:
        question = self._went.question
        if self._at is not None:
            return []
        if question is None:
            ways = [f"{UNKNOWN} {CANNOT_TELL}", *self._ways.values()] if self._ways else []
            return ways[self._from :]
        told = [f"{answer.letter} {answer.words}" for answer in question.answers]
        back = rows_back(self._went.held, question.step).capitalize()
        return [f"{back}.", ", ".join([*told, f"{UNKNOWN} {CANNOT_TELL}"])]

    @property
    def _ways(self) -> Mapping[str, str]:
        """The ways in which the wrong knot, or two of them, can have been made, by the keys that answer."""
        return {key: f"{key} {way.words}" for key, way in zip(SIGNS, self._went.ways_left, strict=False)}

    @property
    def _this(self) -> str:
        """The explanation that is looked at, where its place is said already."""
        went = self._went
        if self._at is None or not went.explanations:
            return "" if self.search is not None or went.found is not None else STOPPED
        explanation = went.explanations[self._at]
        made = "; and ".join(made_instead(wrong.made, went.held.whole.how_made(wrong.step)) for wrong in explanation)
        return f"{self._at + 1} of {len(went.explanations)}: {made}"

    @property
    def _keys(self) -> Sequence[str]:
        if self.search is not None:
            return ["escape: stop the search"]
        if not self._went.explanations:
            on = "enter: search again" if self._went.found is None else "enter: point at a knot"
            return [on, *self._back]
        if self._ways:
            more = ["up/down: more"] if len(self._ways) > FEW else []
            return ["1, 2 …: so you made it", *more, *self._back]
        chosen = [] if self._at is None else ["enter: this one"]
        return [*chosen, "up/down: see each", *self._back]

    @property
    def _back(self) -> Sequence[str]:
        return ["escape: back", f"backspace: {'answer again' if self._went.answered else 'the strings'}"]

    @property
    def _band(self) -> Band | None:
        """The band with the knot that is asked about, or as it would be by the explanation that is looked at."""
        went, question = self._went, self._went.question
        if not went.explanations:
            return None
        held = went.held
        piece, explanation = held.whole, went.explanations[self._at or 0]
        step = explanation[0].step
        signs = {wrong.step: WRONG for wrong in explanation}
        title, says = went.believed_words, COULD_BE_WRONG
        if self._at is not None or len(went.explanations) == 1:
            # However its knots were made, those after them are the same.
            piece = self._explained(self._at or 0)
            title, says = (IF_SO, IS_WRONG) if len(went.explanations) > 1 else (AS_MADE, IS_WRONG)
        else:
            signs = {wrong.step: WRONG for each in went.explanations for wrong in each}
        if self._at is None and question is not None:
            step = question.step
            signs[step] = HERE
        elif self._at is None and went.ways_left:
            signs = dict.fromkeys(signs, HERE)
        letters = {colour.name: colour.letter for colour in went.colours}
        row, at = held.whole.step(step).row, place_across(held.whole, step)
        seen = piece.on_screen(self.depth)
        return Band(seen, letters, held.progress.is_tied, signs, row, at, title=title, says=says, shown=went.shows)

    def _explained(self, at: int) -> WholePiece:
        """The piece as an explanation has it; the last one is kept, as it is drawn again and again."""
        if self._drawn is None or self._drawn[0] is not self._went.found or self._drawn[1] != at:
            way, *_ = self._went.ways_made(self._went.explanations[at])
            self._drawn = self._went.found, at, self._went.held.whole.made_otherwise(way.made)
        return self._drawn[2]

    def heard(self) -> Sequence[str]:
        """What was found, what is asked and how to answer it, and the keys."""
        question, keys = self._went.question, keys_heard(self._keys)
        if self.search is not None:
            return [f"{LOOKING}, escape: stop"] if self.takes_long else []
        if self._at is not None:
            return [f"{self._asks}, {self._this}", self._found_words, *keys]
        if self._ways:
            wrong = self._went.places_words(self._went.explanations[0])
            return [wrong, HOW_MADE, *self._ways.values(), *answers_heard([(UNKNOWN, CANNOT_TELL)]), *keys]
        if question is None:
            return [self._found_words or STOPPED, *keys]
        answers = [*((answer.letter, answer.words) for answer in question.answers), (UNKNOWN, CANNOT_TELL)]
        far = rows_back(self._went.held, question.step)
        return [self._found_words, question.words, far, *answers_heard(answers), *keys_heard([self._take_one]), *keys]

    def take_key(self, event: Key) -> bool:
        """A letter answers the question, up and down look at the explanations."""
        went = self._went
        if event.key == "escape":
            if not self.stop_search():
                self.dismiss(None)
        elif self.search is not None or not self.is_mounted:
            # Nothing is asked yet.
            return True
        elif went.ways_left and event.character is not None and event.character in (*self._ways, UNKNOWN):
            known = event.character != UNKNOWN
            self.dismiss(WrongKnots(went.ways_left[SIGNS.index(event.character)].made) if known else went.not_known)
        elif event.key in ("up", "down", "left", "right") and went.explanations:
            (self._scroll if went.ways_left else self._walk)(-1 if event.key in ("up", "left") else 1)
        elif event.key == "enter" and self._at is not None:
            self._take(self._at)
        elif event.key == "enter" and went.found is not None and not went.explanations:
            self.dismiss(None)
        elif event.key == "backspace" and not went.answered:
            self.dismiss(GoBack.BACK)
        elif (
            (event.key == "enter" and went.found is None)
            or (event.key == "backspace" and went.take_back())
            or (self._at is None and event.character is not None and went.answer(event.character))
        ):
            self._look()
            self.show()
        return True

    def _take(self, at: int) -> None:
        """Takes the explanation as what happened; where it can have been made in several ways, asks which one."""
        self._went.choose(self._went.explanations[at])
        self._look()
        self.show()

    def _scroll(self, by: int) -> None:
        """Shows the ways from a later one on, or from the one before; few are always all there."""
        if len(self._ways) > FEW:
            self._from = min(max(0, self._from + by), len(self._ways))
            self.show()

    def _walk(self, by: int) -> None:
        """Looks at the next explanation or the one before, and from the first one back at the question."""
        last = len(self._went.explanations) - 1
        at = (-1 if self._at is None else self._at) + by
        self._at = None if at < 0 and self._went.question is not None else min(max(0, at), last)
        self.show()
