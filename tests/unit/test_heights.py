"""The heights of letters on the step screen: the table of the help page is what the screen shows."""

import re
from typing import Any

import pytest

from benchmate.bench.step.view import view_of
from benchmate.bench.zones import half_hitch_cells
from benchmate.bench.zones.room import room_for
from benchmate.bench.zones.view_values import View
from benchmate.bench.zones.written_step import written_step
from benchmate.craft.knots import Knot
from benchmate.design_files.load import load
from benchmate.display.cells import Line, line
from benchmate.display.large_type import SMALLEST
from benchmate.display.palette import DARK
from benchmate.families.registry import zone_of
from benchmate.help.topics import page
from benchmate.piece_opening import Kept, OpenedPiece
from tests.running import ROOT
from tests.screen.benches import Large, begun, composed, drawings, legible, read, text_of
from tests.unit.test_compose import KEYS, with_pair

SIZES = [(40, 12), (80, 24), (120, 36), (200, 60), (300, 100)]
SCREEN = 24 * 8.1
"""The height of a laptop's screen in mm: 24 lines of 8.1 mm."""
PLAIN = 16 / 28
"""The height of a plain capital in cells: about 16 minutes of arc at 1 m in cells of 8.1 mm, which take 28."""
AT_A_METRE = 6.4
"""Published: 22 minutes of arc at 1 m, in mm (data for ISO 9241-3)."""
LETTERS = {
    "FORWARD": ["forward"],
    "FORWARD-BACKWARD": ["forward-backward"],
    "where a string hangs": ["5"],
    "where it goes": ["→6"],
    "its colour": ["deep"],
    "who makes the knot": ["makes the knot"],
    "the next steps": ["forward, 2 foam over 3 kelp", "f, 2 foam over 3 kelp"],
    "tags of the strings": ["ke"],
    "a written step": ["Bring both ends down through the fold"],
    "its hint": ["Pulled tight, the loop closes round the ring as a lark's head"],
    "FIRST": ["begin a new beam, leave a 9 cm tail"],
}
"""Rows of the tables, with the texts measured, as they stand in shipped designs."""


BARE = View(
    title="",
    done=0,
    of=1,
    mode="tie",
    number=0,
    n=1,
    word="",
    note="",
    field="#2f5d62",
    left=None,
    right=None,
    strings=(),
    coming=(),
    where="",
    share=0,
    numbered="knot 1",
    time_left="",
    out=0,
    this_press=(),
    run=None,
    notice="",
    rest=False,
)


def shipped(kept: Kept, name: str, done: int = 0) -> OpenedPiece:
    """A piece begun on a shipped design."""
    return begun(kept, ROOT / "designs" / f"{name}.yaml", done=done)


def large(opening: OpenedPiece, view: View, size: tuple[int, int]) -> list[Large]:
    """The texts in large type, with the band beside where the bench shows it."""
    part, zone = opening.held.whole.main, zone_of(opening.held.whole.main.design.family)
    wide = zone.width_beside(part, size[0], size[1] - 1) if zone else 0
    picture = zone.draw(part, opening.held.progress, view.number, wide, size[1] - 1, DARK) if zone and wide else None
    return composed(view, *size, DARK, picture, KEYS)[1]


def measured(kept: Kept) -> dict[str, list[float]]:
    """Every row of the table: half-cells of capitals at each size, 0 for plain letters."""
    chevron, start, picture = (
        shipped(kept, "tidewater-chevron", 12),
        shipped(kept, "larks-head-on-a-ring", 3),
        shipped(kept, "street-at-dusk"),
    )
    tie = with_pair(view_of(chevron.held), Knot.FORWARD, 5)
    views = [
        (chevron, tie),
        (chevron, with_pair(tie, Knot.FORWARD_BACKWARD, 5)),
        (start, view_of(start.held)),
        (picture, view_of(picture.held)),
    ]
    found: dict[str, list[float]] = {name: [] for name in LETTERS}
    for size in SIZES:
        heights: dict[str, int] = {}
        for opening, view in reversed(views):
            heights |= {each.text: each.half_cells for each in large(opening, view, size)}
        for name, texts in LETTERS.items():
            found[name].append(next((heights[text] / 2 for text in texts if text in heights), 0))
    return found


def tables() -> list[dict[str, list[float]]]:
    """The tables of the page: a name, and a number for each size (0 for plain letters)."""
    lines = page("heights", 100)
    rows = [re.fullmatch(r" {4}(\S.*?)((?: +(?:[\d.]+|plain)){5})", line) for line in lines]
    found: list[dict[str, list[float]]] = [{}]
    for row in rows:
        if row is not None:
            if row[1] in found[-1]:
                found.append({})
            found[-1][row[1]] = [0 if number == "plain" else float(number) for number in row[2].split()]
    return found


def test_the_table_of_heights_is_what_the_screen_shows(kept: Kept) -> None:
    cells, _ = tables()
    assert {name: row for name, row in cells.items() if name in LETTERS} == measured(kept)
    assert f"{'   '.join(f'{width}x{height}' for width, height in SIZES)}" in "\n".join(page("heights", 100))


def test_the_distances_follow_from_the_heights() -> None:
    cells, metres = tables()
    assert cells.pop("one cell, in mm") == [round(SCREEN / height, 1) for _, height in SIZES]
    assert metres.keys() == cells.keys() == LETTERS.keys()
    for name, row in cells.items():
        mm = [(high or PLAIN) * SCREEN / lines for high, (_, lines) in zip(row, SIZES, strict=True)]
        assert metres[name] == pytest.approx([each / AT_A_METRE for each in mm], abs=0.051), name


def test_what_is_read_at_arms_length_grows(kept: Kept) -> None:
    rows = measured(kept)
    for name in ("FIRST", "its hint", "who makes the knot", "its colour", "where it goes"):
        assert min(rows[name][2:]) >= 2, name
    for name in ("the next steps", "tags of the strings"):
        assert min(rows[name][3:]) >= 2, name
    for name, row in rows.items():
        assert row == sorted(row), name


def written() -> dict[str, View]:
    """A view of every written step on the shelf that has a hint, with a note for each count."""
    views: dict[str, View] = {}
    for file in sorted((ROOT / "designs").glob("*.yaml")):
        design = load(str(file)).design
        if design.family.name == "steps":
            step_view, work = design.family.step_view, design.family.work(design.body, 1)
            for number in range(work.size):
                step = work.step(number)
                note = step_view.note(design, step)
                view = BARE._replace(word=step_view.word(step), note=note, drawn=step_view.drawn(design, step))
                if note:
                    views.setdefault(f"{view.word}: {note}", view)
    return views


@pytest.mark.parametrize("size", SIZES[2:])
def test_every_hint_of_the_shelf_stands_large(monkeypatch: pytest.MonkeyPatch, size: tuple[int, int]) -> None:
    def blank(*arguments: Any) -> list[Line]:
        *_, width, height, _ = arguments
        return [line([], width, "#000000")] * height

    # The drawing itself takes long to draw, and says nothing of heights.
    monkeypatch.setattr(half_hitch_cells, "draw", blank)
    views = written()
    assert len(views) > 150
    # What fits in a window fits in a larger one: of those, a sample will do.
    chosen = list(views.values())[:: 1 if size == SIZES[2] else 11]
    for view in chosen:
        word = room_for(size[1], strings_known=False, drawn=view.drawn is not None, paired=False).word
        with drawings() as drawn:
            lines = written_step(view, size[0], word, DARK)
        texts = {glyphs: found for glyphs, found in drawn.items() if found[0] in (view.word, view.note)}
        heights = {each.text: each.half_cells for each in read(texts, text_of(lines).split("\n"))[0]}
        assert heights.get(view.note, 0) >= SMALLEST, view.note
        assert heights[view.word] > heights[view.note], view.word


@pytest.mark.parametrize("size", SIZES[2:])
@pytest.mark.parametrize(
    "before",
    [
        "begin a new deep, leave a 9 cm tail",
        "bring foam across the back from column 11 (3 knots)",
        "cut foam behind column 8; begin a new foam, leave 9 cm tails",
        "cut mossy green behind column 12 in row 30; begin a new mossy green, leave 9 cm tails",
    ],
)
def test_what_comes_first_stands_large(kept: Kept, size: tuple[int, int], before: str) -> None:
    view = view_of(shipped(kept, "street-at-dusk").held)._replace(before=before)
    heights = {each.text: each.cells for each in composed(view, *size, DARK, keys=KEYS)[1]}
    assert heights[before] >= 2
    assert heights[view.word] >= 4, "the knot stays"


def test_what_does_not_fit_large_stands_whole_in_plain_letters(kept: Kept) -> None:
    view = view_of(shipped(kept, "fold-over-a-pin").held)._replace(note="A cord of many names, " * 12)
    for size in [(40, 16), *SIZES[1:3]]:
        text = " ".join("\n".join(legible(view, *size, DARK)).split())
        assert ("A cord of many names, " * 12).strip() in text, size
