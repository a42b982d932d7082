"""The lengths to cut of every shipped design, heard and read: each length, its colour and its string come through."""

import pytest

from benchmate.craft.laying_out import LayingStep, aloud, printed
from benchmate.craft.start_band_finish import WholePiece
from benchmate.craft.thread.cut_list import CutList
from benchmate.craft.thread.cutting_steps.length_steps import OFF_MIDDLE
from benchmate.craft.thread.cutting_steps.to_cut import KnownThread
from benchmate.craft.thread.estimate import Estimate
from benchmate.craft.thread.length_to_cut import Length
from benchmate.craft.ways import Way
from benchmate.craft.wording.length_words import UNITS
from benchmate.craft.wording.prompt_parts import Level
from benchmate.craft.wording.spoken_length import MOST, is_short_enough
from benchmate.piece_opening import whole_of
from tests.ear.lengths import ToCut, heard, read
from tests.shelf import FILES

BANDS = [name for name, file in FILES.items() if file.design.family.row_word]
KINDS = {"diagonal": "string", "alpha": "base string", "braid": "slot"}


def cut_list(name: str, units: str) -> tuple[WholePiece, CutList, tuple[LayingStep, ...]]:
    """A design with its cut list and the steps of that."""
    file = FILES[name]
    whole = whole_of(file, file.design.repeats, Way(), thread=KnownThread(Estimate(), units))
    cutting = whole.cutting_out()
    assert whole.to_cut is not None
    assert whole.to_cut.cuts is not None
    assert cutting is not None
    return whole, whole.to_cut.cuts, cutting.steps


def is_meant(found: ToCut, length: Length, whole: WholePiece, units: str, level: Level = Level.FULL) -> None:
    """Checks all that was understood of a length. Where little is said, it may be up to the next whole inch."""
    design = whole.main.design
    assert found.colour == design.say(length.colour)
    if units == "inches":
        assert -25.4 / 16 - 1e-9 <= found.mm - length.cut_mm <= (25.4 / 16 if level is Level.FULL else 25.4) + 1e-9
    else:
        assert abs(found.mm - length.cut_mm) <= 1e-9
    if found.numbers:
        kind = KINDS[design.family.name] if length.leading is None else "leading string"
        numbers = length.strings if found.fold else tuple(sorted(length.strings))
        assert (found.kind, found.numbers) == (kind, numbers or (length.leading,))
        assert found.folded == (len(length.strings) > 1)


INCHES_TOO = 8
"""Every so many designs are heard in inches too."""


@pytest.mark.parametrize(
    ("name", "units"), [(name, units) for units in UNITS for name in (BANDS if units == "cm" else BANDS[::INCHES_TOO])]
)
def test_every_length_is_heard(name: str, units: str) -> None:
    whole, cuts, steps = cut_list(name, units)
    labels = [whole.main.design.say(colour) for colour in whole.main.design.colours]
    assert sorted(step.length for step in steps if step.length is not None) == list(range(len(cuts.lengths)))
    for number, (step, line) in enumerate(
        zip(steps, printed(whole.cutting_out() or whole.laying_out()), strict=True), 1
    ):
        assert step.length is not None
        length = cuts.lengths[step.length]
        for found in (heard(aloud(step, Level.FULL), labels, units), read(line, labels)):
            is_meant(found, length, whole, units)
            assert found.numbers
            assert (found.number, found.of) == (number, len(steps))
            assert bool(found.row) == (length.leading is not None)
            fold = cuts.fold_mm(length)
            assert bool(found.fold) == (fold is not None and fold - length.cut_mm / 2 >= OFF_MIDDLE)
            if found.fold and fold is not None:
                assert abs(found.fold - fold) <= (25.4 / 16 if units == "inches" else 5) + 1e-9
        for level in (Level.SHORT, Level.SPARSE):
            for lead in ("", "cut the lengths"):
                words = aloud(step, level, lead)
                assert len(words) <= MOST
                assert is_short_enough(words, level), words
                is_meant(heard(words, labels, units), length, whole, units, level)
        # What sets it apart from another length of its colour is heard too, where the level has room for that.
        assert heard(aloud(step, Level.SHORT), labels, units).numbers
