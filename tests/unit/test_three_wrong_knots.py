"""Three wrong knots and more at once: row by row undone and asked about again, they all come out on the tool's word."""

from pathlib import Path
from random import Random

import pytest

from benchmate.craft.trouble.made_otherwise import EVERY_KIND, Made, swaps, token
from benchmate.piece_opening import Kept
from benchmate.piece_questions.trouble import known_mistakes
from benchmate.piece_questions.trouble.knot_places import colour_shown
from benchmate.piece_questions.trouble.ways_on import WayOn, WaysOn
from benchmate.piece_questions.trouble.what_went_wrong import EXPLAINED_BY_NOTHING, WhatWentWrong, WrongKnots
from benchmate.store.open_piece import OpenPiece
from tests.measure.band_in_hand import BandInHand
from tests.running import ROOT
from tests.screen.benches import begun, written_to
from tests.screen.erring import TWELVE

MOST_INQUIRIES = 40
CHEVRON = (ROOT / "designs/tidewater-chevron.yaml").read_text()


class Maker:
    """Ties knots otherwise than charted, then does what the tool says, and answers what it asks by the band."""

    def __init__(self, held: OpenPiece, wrong: dict[int, Made]) -> None:
        self.held = held
        self.band = BandInHand(held.whole.strings)
        self.done = held.progress.done
        self.unexplained = self.misled = 0
        for step in held.progress.history:
            self._make(step, wrong)

    def _make(self, step: int, wrong: dict[int, Made]) -> None:
        made = wrong[step] if step in wrong else self.held.whole.how_made(step)
        left = self.held.whole.main.design.family.words.place_across(self.held.whole.step(step))
        self.band.make(step, left, token(made))

    @property
    def hangs_right(self) -> bool:
        """Whether the strings hang as the tool shows them."""
        strings = self.held.whole.strings
        return self.band.hangs() == [strings[string - 1] for string in self.held.progress.hanging]

    @property
    def odd(self) -> list[int]:
        """The knots of another colour than the tool draws."""
        drawn = self.held.whole
        return [step for step in self.held.progress.history if self.band.shows(step) != colour_shown(drawn, step)]

    def puts_right(self) -> None:
        """Asks what went wrong, and does what is said, until the band is as charted. Raises AssertionError."""
        for _ in range(MOST_INQUIRIES):
            if self.hangs_right and not self.odd:
                if self.held.progress.done == self.done:
                    return
                self._tie_again()
                continue
            self._asks()
        raise AssertionError("led astray")

    def _asks(self) -> None:
        went = WhatWentWrong(self.held)
        went.hang(self.band.hangs())
        if self.hangs_right:
            went.point(self.odd[-1], self.band.shows(self.odd[-1]))
        self._answers(went)
        if not went.explanations:
            assert went.found_words("left") == EXPLAINED_BY_NOTHING.format("left")
            self.unexplained += 1
            self._undo_a_row()
            return
        if not went.settled:
            went.choose(went.explanations[0])
            self._answers(went)
        WaysOn(self.held, WrongKnots(went.ways_left[0].made)).choose(WayOn.TAKE_OUT)
        self._take_out()
        while known := known_mistakes.known(self.held):
            self.held.mark_wrong(*known)
            self._take_out()
        self.misled += not self.hangs_right
        if self.hangs_right:
            self._tie_again()

    def _answers(self, went: WhatWentWrong) -> None:
        went.found = went.look()
        while went.question is not None:
            went.tell(went.question.step, self.band.shows(went.question.step))
            went.found = went.look()

    def _undo_a_row(self) -> None:
        progress, row_of = self.held.progress, self.held.whole.row_of
        row = max(map(row_of, progress.history))
        while progress.last is not None and row_of(progress.last) == row:
            self.band.take_out(progress.last)
            self.held.back()
            progress = self.held.progress

    def _take_out(self) -> None:
        while self.held.wrong is not None:
            self.band.take_out(self.held.must_come_out()[0])
            self.held.finish_step()

    def _tie_again(self) -> None:
        while self.held.progress.done < self.done:
            number, _ = self.held.current_step()
            assert number is not None
            self._make(number, {})
            self.held.finish_step()


@pytest.mark.parametrize("design", [TWELVE, CHEVRON])
def test_row_by_row_undone_all_wrong_knots_come_out(kept: Kept, tmp_path: Path, design: str) -> None:
    path = written_to(tmp_path, design)
    unexplained = misled = 0
    for seed in range(20):
        chance = Random(seed)
        held = begun(kept, path).held
        done = min(140, held.whole.size - 10)
        held.jump(done)
        steps = chance.sample(range(done - 60, done), chance.randint(3, 5))
        ways = {step: [way for way in EVERY_KIND if swaps(way) != swaps(held.whole.how_made(step))] for step in steps}
        maker = Maker(held, {step: chance.choice(ways[step]) for step in steps})
        maker.puts_right()
        assert held.mistakes == {}
        assert held.progress.done == done
        unexplained += maker.unexplained
        misled += maker.misled
    assert unexplained > 10
    assert design == TWELVE or misled, "several wrong knots look like one, and the strings show it when that is out"
