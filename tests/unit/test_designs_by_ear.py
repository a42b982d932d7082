"""Every shipped design, heard: the prompts parse back into all its moves, however it is worked and worded."""

from collections.abc import Hashable

import pytest

from benchmate.craft.design import steps_in
from benchmate.craft.orders import Order
from benchmate.craft.start_band_finish import WholePiece
from benchmate.craft.ways import NAMES, Way, order_of
from benchmate.craft.wording.prompt_parts import Level
from benchmate.craft.wording.prompts import MOST, PIECE_DONE
from benchmate.craft.work import Step
from benchmate.families.diagonal.body import Diagonal, DiagonalKnot
from benchmate.families.steps.body import WrittenStep
from benchmate.piece_opening import whole_of
from benchmate.store.open_piece import PRESSES
from tests.ear.phrases import NAMINGS
from tests.ear.picture import Picture
from tests.listening import Maker, by_ear, count, is_heard, move_of, prompts_of, seen_from, situation
from tests.shelf import FILES

QUICK_KNOT = 3.0
"""Seconds a quick hand takes for a knot, two half hitches of 1.5 seconds (from memory; most hands take longer)."""
WORDS_A_MINUTE = 150
Heard = dict[Hashable, tuple[Hashable, str]]
"""What was to be done for a prompt in a situation, and the prompt."""


def hear_all(whole: WholePiece, order: Order, level: Level, press: str, names: str, heard: Heard) -> None:
    """Hears a whole piece, and checks every move; no two different ones may be heard alike in the same situation."""
    maker, at, before, spoken = Maker(whole, names), 0, "", 0
    for words, ahead in prompts_of(whole, order, level, press, names):
        assert len(words) <= MOST
        spoken += count(words) if level is Level.SPARSE else 0
        if not ahead:
            assert words == PIECE_DONE[level]
            break
        part = whole.part_of(ahead[0])
        steps = [whole.step(number) for number in ahead]
        written = [step for step in steps if isinstance(step, WrittenStep)]
        if len(written) > 1:
            maker.hears_written(words, written)
        else:
            moves = maker.hears(words)
            wanted = [move_of(part, number - part.first) for number in ahead]
            assert press == "knot" or len(moves) == len(wanted), words
            for move, other in zip(moves, wanted, strict=False):
                assert is_heard(move, other), (words, move, other)
            ear = maker.ear
            here = situation(ear), before, by_ear(words)
            meant = tuple(seen_from(ear, move) for move in wanted)
            assert heard.setdefault(here, (meant, words))[0] == meant, (heard[here], words)
            maker.ties(moves[: len(wanted)])
        at, before = at + len(ahead), by_ear(words)
    assert at == whole.size
    assert all(len(ear.hanging) == 1 for _, ear in maker.ears if isinstance(ear, Picture)), "all others were cut"
    if press == "knot" and isinstance(whole.main.design.body, Diagonal):
        # What is said of a knot must fit into the seconds that it takes quick hands, to whom the voice says little.
        assert 60 / WORDS_A_MINUTE * spoken / whole.size <= QUICK_KNOT


MANY, LARGE = 60, 150
"""Designs of more steps in a repeat than `MANY` are heard for one repeat, others for two; the rest is the same again.

Those of more than `LARGE` are heard in every other combination of way, level and press: whole, each pair of a way and a
level, of a way and a press, but not all three together.
"""


@pytest.mark.parametrize("name", FILES)
def test_every_design_is_heard_whole(name: str) -> None:
    file = FILES[name]
    design = file.design
    repeats = min(design.repeats, 1 if steps_in(design, 1) > MANY else 2)
    heard: dict[Hashable, Heard] = {}
    for way, by in enumerate(NAMES if design.family.has_mirror_image else NAMES[:1]):
        whole = whole_of(file, repeats, Way(by))
        order = order_of(whole, Way(by))
        # Where no pair of strings stays as it is, both names for that are never heard.
        names = list(NAMINGS) if any(map(_stays, map(whole.step, range(whole.size)))) else ["chart"]
        for level, detail in enumerate(Level):
            for counts, press in enumerate(PRESSES):
                if whole.size > LARGE and (way + level + counts) % 2:
                    continue
                # Each name with each way, level and press, though not with all of them together.
                called = names[(level + counts // 2) % len(names)]
                hear_all(whole, order, detail, press, called, heard.setdefault((detail, press, called), {}))


def _stays(step: Step) -> bool:
    return isinstance(step, DiagonalKnot) and step.knot is not None and not step.knot.swaps
