"""Asks what a knot shows that the maker points at, or how it was made."""

from collections.abc import Sequence
from typing import NamedTuple

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.trouble.knot_colour_screen import ColourQuestionScreen
from benchmate.bench.screens.trouble.lettered_band import HERE, WRONG, Band
from benchmate.bench.screens.trouble.question_page import answers_heard, question_page
from benchmate.craft.trouble.made_otherwise import EVERY_KIND, Made
from benchmate.craft.wording.trouble_words import made_words
from benchmate.display.cells import Line
from benchmate.piece_questions.trouble.knot_places import place_across
from benchmate.piece_questions.trouble.known_mistakes import due
from benchmate.piece_questions.trouble.what_went_wrong import WhatWentWrong


class Shows(NamedTuple):
    """The knot shows a colour; None: no knot is there."""

    colour: str | None


class WasMade(NamedTuple):
    """The maker knows how the knot was made."""

    made: Made


class PointedScreen(ColourQuestionScreen[Shows | WasMade]):
    """A letter tells the colour of a knot, a digit how it was made; the result is what the maker said."""

    def __init__(self, bench: Bench, went: WhatWentWrong, step: int) -> None:
        """`step` is a tied knot of the band."""
        super().__init__(bench, went, step)
        charted = due(went.held, step)
        taken = {answer.letter for answer in self._question.answers}
        digits = [digit for digit in "123456789" if digit not in taken]
        ways = [way for way in EVERY_KIND if way is not None and way is not charted]
        self._ways = dict(zip(digits, ways, strict=False))

    def lines(self, width: int, height: int) -> list[Line]:
        """The question, the colours and the ways, and the band."""
        went, step = self._went, self._step
        held = went.held
        letters = {colour.name: colour.letter for colour in went.colours}
        row, at = held.whole.step(step).row, place_across(held.whole, step)
        seen, tied, title = held.whole.on_screen(self.depth), held.progress.is_tied, went.believed_words
        signs = {**dict.fromkeys(held.mistakes, WRONG), step: HERE}
        band = Band(seen, letters, tied, signs, row, at, title=title, says={WRONG: "wrong"}, shown=went.shows)
        ways = ", ".join(f"{digit} {made_words(way)}" for digit, way in self._ways.items())
        charted = f"In the chart: {made_words(held.charted.how_made(step))}."
        foot = ["letter: its colour", "digit: how you made it", "escape: back"]
        return question_page(
            self._asks,
            [self._colours, f"{charted} Made otherwise: {ways}"],
            [],
            foot,
            band,
            width,
            height,
            self.palette,
        )

    def heard(self) -> Sequence[str]:
        """The question and all answers."""
        ways = answers_heard((digit, made_words(way)) for digit, way in self._ways.items())
        return [*self._colours_heard, "Or how you made it", *ways, "escape: back"]

    def take_character(self, typed: str) -> None:
        """A letter or a digit answers."""
        answer = self._colour_typed(typed)
        if answer is not None:
            self.dismiss(Shows(answer.colour))
        elif typed in self._ways:
            self.dismiss(WasMade(self._ways[typed]))
