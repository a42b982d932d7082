"""Asks which colour a knot shows."""

from collections.abc import Sequence
from typing import TypeVar

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.lines_screen import LinesScreen
from benchmate.bench.screens.trouble.chosen_knot_picture import picture_of
from benchmate.bench.screens.trouble.question_page import answers_heard, question_page
from benchmate.bench.terminal.judged_key import Key
from benchmate.display.cells import Line, beside, width_of, wrap
from benchmate.piece_questions.trouble.what_went_wrong import Answer, WhatWentWrong

T = TypeVar("T")


class ColourQuestionScreen(LinesScreen[T]):
    """The base of the screens that ask which colour a knot shows. Subclasses define `take_character`."""

    def __init__(self, bench: Bench, went: WhatWentWrong, step: int) -> None:
        """`step` is a tied knot."""
        super().__init__(bench)
        self._went = went
        self._step = step
        self._question = went.question_about(step)

    @property
    def _asks(self) -> str:
        return f"{self._question.place}: which colour does it show?"

    @property
    def _colours(self) -> str:
        """The colours to choose from, each with its letter."""
        return ", ".join(f"{answer.letter} {answer.words}" for answer in self._question.answers)

    @property
    def _colours_heard(self) -> list[str]:
        """The question by ear, and the colours."""
        return [self._asks, *answers_heard((answer.letter, answer.words) for answer in self._question.answers)]

    def _colour_typed(self, typed: str) -> Answer | None:
        return next((answer for answer in self._question.answers if typed == answer.letter), None)

    def take_character(self, typed: str) -> None:
        """Acts on a character, in lower case."""
        raise NotImplementedError

    def take_key(self, event: Key) -> bool:
        """Escape goes back; any other key is a character, or nothing."""
        if event.key == "escape":
            self.dismiss(None)
        else:
            self.take_character((event.character or "").casefold())
        return True


class KnotColourScreen(ColourQuestionScreen[str]):
    """A letter tells the colour, which alone tells what must come out with the knot; the result is its name."""

    def lines(self, width: int, height: int) -> list[Line]:
        """The question, the colours, and the picture with the knot in its place, where both have room."""
        told = self._colours
        held = self._went.held.on_screen(self.depth)
        drawn = picture_of(self._went, held, self._step, width, height, self.palette)
        wide = width - (width_of(drawn[0]) if drawn else 0)
        if len(wrap(told, max(1, wide - 2))) > height // 2:
            # Every colour has to be read; the picture may go.
            drawn, wide = [], width
        foot = ["letter: its colour", "escape: back"]
        page = question_page(self._asks, [told], [], foot, None, wide, height, self.palette)
        return beside([page, drawn]) if drawn else page

    def heard(self) -> Sequence[str]:
        """The question and all answers."""
        return [*self._colours_heard, "escape: back"]

    def take_character(self, typed: str) -> None:
        """A letter answers."""
        answer = self._colour_typed(typed)
        if answer is not None:
            self.dismiss(answer.colour)
