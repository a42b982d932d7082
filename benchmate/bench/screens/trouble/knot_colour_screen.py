"""Asks which colour a knot shows, in a family where that alone tells what must come out with it."""

from collections.abc import Sequence

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.lines_screen import LinesScreen
from benchmate.bench.screens.trouble.chosen_knot_picture import picture_of
from benchmate.bench.screens.trouble.question_page import answers_heard, question_page
from benchmate.bench.terminal.judged_key import Key
from benchmate.display.cells import Line, beside, width_of, wrap
from benchmate.piece_questions.trouble.what_went_wrong import WhatWentWrong


class KnotColourScreen(LinesScreen[str]):
    """A letter tells the colour; the result is its name."""

    def __init__(self, bench: Bench, went: WhatWentWrong, step: int) -> None:
        """`step` is a tied knot whose colour is enough to know."""
        super().__init__(bench)
        self._went = went
        self._step = step
        self._question = went.question_about(step)

    def lines(self, width: int, height: int) -> list[Line]:
        """The question, the colours, and the picture with the knot in its place, where both have room."""
        told = ", ".join(f"{answer.letter} {answer.words}" for answer in self._question.answers)
        held = self._went.held.on_screen(self.depth)
        drawn = picture_of(self._went, held, self._step, width, height, self.palette)
        wide = width - (width_of(drawn[0]) if drawn else 0)
        if len(wrap(told, max(1, wide - 2))) > height // 2:
            # Every colour has to be read; the picture may go.
            drawn, wide = [], width
        foot = ["letter: its colour", "escape: back"]
        page = question_page(self._asks, [told], [], foot, None, wide, height, self.palette)
        return beside([page, drawn]) if drawn else page

    @property
    def _asks(self) -> str:
        return f"{self._question.place}: which colour does it show?"

    def heard(self) -> Sequence[str]:
        """The question and all answers."""
        told = answers_heard((answer.letter, answer.words) for answer in self._question.answers)
        return [self._asks, *told, "escape: back"]

    def take_key(self, event: Key) -> bool:
        """A letter answers."""
        if event.key == "escape":
            self.dismiss(None)
            return True
        typed = (event.character or "").casefold()
        for answer in self._question.answers:
            if typed == answer.letter:
                self.dismiss(answer.colour)
        return True
