"""The same two pieces made in plain mode by a program that only reads the lines and answers: every knot is right."""

import io
import re
from collections.abc import Callable
from pathlib import Path

from benchmate import piece_opening as openings
from benchmate.exit_status import DONE
from benchmate.families.alpha.body import Alpha
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.plain import piece as plain
from benchmate.plain.answers import Answers
from benchmate.plain.lines import Lines
from tests.ear import lines
from tests.ear.at_work import Hands
from tests.ear.picture import Picture
from tests.screen.benches import written_to
from tests.screen.test_pieces_by_ear import BAND, PICTURE, coloured, tied_in

CHOICE = re.compile(r"(?P<number>\d+): (?P<knot>.*)")
THIS_ONE = "take it out and tie it again"


class Reader(Answers):
    """Answers what a maker decides who has read the lines that came since the answer before."""

    def __init__(self, out: io.StringIO, decides: Callable[[list[str]], str]) -> None:
        super().__init__(io.StringIO())
        self._printed, self._decides, self._seen = out, decides, 0

    def next(self, timeout: float | None = None) -> str | None:
        """The answer."""
        new = self._printed.getvalue()[self._seen :].splitlines()
        self._seen = len(self._printed.getvalue())
        return self._decides(new)


def make(kept: Kept, file: Path, decides: Callable[[list[str]], str]) -> OpenedPiece:
    """Makes a piece to its end."""
    opened = openings.follow(kept, str(file), openings.NO_OPTIONS, new=True)
    opened.held.hold()
    out = io.StringIO()
    assert plain.run(opened, Reader(out, decides), Lines(out, io.StringIO())) == DONE
    assert out.getvalue().splitlines()[-1].startswith("All done ")
    return opened


def test_a_band_with_a_wrong_knot_is_made_from_the_lines(kept: Kept, tmp_path: Path) -> None:
    file = written_to(tmp_path, BAND)
    design = openings.follow(kept, str(file), openings.NO_OPTIONS, new=True).held.whole.main.design
    maker = Hands([design.say(name) for name in design.strings], wrong_at=10, wrong_kind="b", reads=True)
    out = 0

    def decides(new: list[str]) -> str:
        nonlocal out
        step = lines.read(new[-1])
        if step is None:
            return chooses(new)
        if step.step.startswith("take out "):
            maker.take_out(step.step)
            out += 1
            return ""
        # The strings hang as they should: only a look at the band, a row later, shows the knot in another colour.
        if maker.has_erred and len(maker.felt.made) == 17:
            return "wrong"
        assert not maker.notices(step.step)
        maker.tie(step.step)
        return ""

    def chooses(new: list[str]) -> str:
        choices = [match for match in map(CHOICE.fullmatch, new) if match]
        this_one = [match["number"] for match in choices if match["knot"] == THIS_ONE]
        if this_one:
            return this_one[0]
        return next((match["number"] for match in choices if maker.is_wrong(match["knot"])), "more")

    held = make(kept, file, decides).held
    assert out > 1
    assert held.took().undone == out
    assert sorted(maker.felt.made) == sorted(tied_in(kept))
    assert maker.felt.hanging == held.progress.hanging


def test_a_picture_is_made_from_the_lines(kept: Kept, tmp_path: Path) -> None:
    file = written_to(tmp_path, PICTURE)
    body = openings.follow(kept, str(file), openings.NO_OPTIONS, new=True).held.whole.main.design.body
    assert isinstance(body, Alpha)
    maker = Picture(body.columns, ["deep", "foam"])

    def decides(new: list[str]) -> str:
        step = lines.read(new[-1])
        assert step
        maker.ties(lines.knot_of_picture(maker, step.step))
        return ""

    make(kept, file, decides)
    assert maker.made == tied_in(kept)
    assert maker.colours == coloured(PICTURE)
