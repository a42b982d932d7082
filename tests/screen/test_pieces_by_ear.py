"""Two whole pieces made by a program that only hears the prompts and only presses keys: every knot is right."""

from collections.abc import Callable
from typing import Any

import pytest

from benchmate.families.alpha.body import Alpha
from benchmate.piece_opening import Kept, OpenedPiece, resume_listed
from benchmate.settings import DEFAULTS
from tests.ear.at_work import Hands
from tests.ear.phrases import DONE, without_tip
from tests.ear.picture import Picture
from tests.listening import move_of
from tests.screen.hands import sitting
from tests.voices import Recorder

BAND = """\
benchmate: 1
title: Moor at dusk
family: diagonal
colours: {plum: "#5d1a4a", straw: "#e8d48b", moss: {css: "#43602f", say: mossy green}}
strings: [straw, moss, straw, plum, plum, moss, moss, straw, straw, plum]
rows:
  - f f fb b b
  - f bf b f
  - "- fb f bf b"
  - f f b b
repeats: 2
"""
"""Ten strings, 34 knots of all four kinds."""

PICTURE = """\
benchmate: 1
title: A gull
family: alpha
colours: {deep: "#0b3c5d", foam: "#f4f1de"}
base: deep
key: {".": deep, "#": foam}
chart: |
  .##..##
  #..#...
  .##....
  ......#
"""
"""Seven columns, 28 knots of two colours."""


def tied_in(kept: Kept) -> list[Any]:
    """The steps that the store's log says are tied, in order, as a maker sees them."""
    (piece,) = kept.pieces.all()
    held = resume_listed(kept, piece).held
    assert held.progress.finished
    return [move_of(held.whole.main, number) for number in held.progress.history]


def coloured(picture: str) -> dict[tuple[int, int], str]:
    """The colour of every knot of a picture of deep and foam, by row and column, straight from its chart."""
    chart = picture.partition("chart: |\n")[2].split()
    of_sign = {".": "deep", "#": "foam"}
    return {(row, at): of_sign[sign] for row, line in enumerate(chart, 1) for at, sign in enumerate(line, 1)}


@pytest.mark.parametrize(("level", "comes_out"), [("full", 1), ("short", 9)])
async def test_a_band_with_a_wrong_knot_is_made_by_ear(
    kept: Kept, begin: Callable[..., OpenedPiece], voice: Callable[[], Recorder], level: str, comes_out: int
) -> None:
    opening = begin(BAND)
    held = opening.held
    design = held.whole.main.design
    maker = Hands([design.say(name) for name in design.strings], wrong_at=10, wrong_kind="fb")
    out = 0
    async with sitting(kept, opening, settings=DEFAULTS._replace(voice="on", level=level)) as hands:
        while (said := without_tip(voice().last)) not in DONE:
            if not maker.notices(said):
                maker.tie(said)
                await hands.press("space")
                continue
            assert maker.has_erred
            await hands.press("u")
            for _ in range(len(maker.felt.made)):
                if not maker.is_wrong(voice().last):
                    await hands.press("left")
            await hands.press("enter")
            while voice().last.startswith("take out "):
                more = maker.take_out(voice().last)
                await hands.press("space")
                out += 1
                assert (more == 0) == voice().last.startswith("all out, ")
        assert "all done" in hands.legible
        assert out == comes_out, "with less said, the wrong knot is noticed later"
    tied = tied_in(kept)
    assert sorted(maker.felt.made) == sorted(tied)
    assert maker.felt.hanging == held.progress.hanging
    assert held.took().undone == out


@pytest.mark.parametrize("press", ["knot", "run", "row"])
@pytest.mark.parametrize("level", ["full", "sparse"])
async def test_a_picture_is_made_by_ear(
    kept: Kept, begin: Callable[..., OpenedPiece], voice: Callable[[], Recorder], level: str, press: str
) -> None:
    opening = begin(PICTURE)
    body = opening.held.whole.main.design.body
    assert isinstance(body, Alpha)
    maker = Picture(body.columns, ["deep", "foam"])
    async with sitting(kept, opening, settings=DEFAULTS._replace(voice="on", level=level, press=press)) as hands:
        while (said := without_tip(voice().last)) not in DONE:
            heard = maker.hears(said)
            for knot in heard[:1] if press == "knot" else heard:
                maker.ties(knot)
            await hands.press("space")
        assert "all done" in hands.legible
    assert maker.made == tied_in(kept)
    assert maker.colours == coloured(PICTURE)
