"""The disk beside a braid: every number that is drawn stands whole, at its slot, and none is covered."""

import re
from collections.abc import Collection, Sequence
from math import cos, hypot, pi, sin

import pytest

from benchmate.craft.colours.colour import Colour, is_like
from benchmate.craft.design import Design
from benchmate.craft.orders import by_rows
from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import whole_piece
from benchmate.design_files.load import load
from benchmate.design_files.shelf import shipped
from benchmate.display.cells import Line, width_of
from benchmate.display.palette import DARK, LIGHT, Palette
from benchmate.families.braid.body import Braid, BraidMove
from benchmate.families.braid.family import BRAID
from benchmate.families.braid.move_arrow import arrow_cells
from benchmate.families.braid.zone import DiskZone, draw
from tests.screen.benches import in_cells, text_of

SIZES = [(80, 24), (120, 36), (200, 60)]
BRAIDS = [file.design for file in map(load, shipped()) if file.design.family is BRAID]
ASIDE = 4
"""How many cells a number may stand aside of its slot, so that its neighbours have room."""


def numbers_of(lines: Sequence[Line]) -> list[tuple[int, float, float]]:
    """Every number on the disk, with its row and the column of its middle."""
    return [
        (int(found.group()), row, (found.start() + found.end() - 1) / 2)
        for row, text in enumerate(text_of(lines).split("\n"))
        for found in re.finditer(r"\d+", text)
    ]


def check(lines: Sequence[Line], slots: int, move: BraidMove, filled: Collection[int]) -> set[int]:
    """Checks that each number is that of a slot, stands at it, and only once; the strands' numbers that are missing."""
    wide, high = width_of(lines[0]), len(lines)
    numbers = numbers_of(lines)
    values = [value for value, _, _ in numbers]
    assert len(values) == len(set(values)), "none twice, as half a number would be"
    for value, row, column in numbers:
        assert 1 <= value <= slots
        # Where the slot is on a round disk, a cell being twice as high as wide.
        angle, radius = 2 * pi * (value - 0.5) / slots, min(wide / 2, high)
        across, down = column + 0.5 - wide / 2, 2 * row + 1 - high
        away = min(
            hypot(across - out * radius * sin(angle), down + out * radius * cos(angle)) for out in (1, 0.9, 0.8, 0.6)
        )
        assert away <= ASIDE, f"{value} does not stand at its slot"
    text = text_of(lines)
    assert f">{move.source}<" in text
    assert f"[{move.target}]" in text
    return set(filled) - set(values)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("braid", BRAIDS, ids=lambda braid: str(braid.title))
def test_every_strand_of_the_shipped_braids_shows_its_number(braid: Design, size: tuple[int, int]) -> None:
    whole = whole_piece(braid, None, None)
    order = by_rows(whole)
    progress, part, zone = Progress(whole, order), whole.main, DiskZone()
    assert isinstance(braid.body, Braid)
    slots = braid.body.slots
    wide = zone.width_beside(part, size[0], size[1] - 1)
    assert wide
    for number in range(min(whole.size, 3 * len(braid.body.moves))):
        lines = zone.draw(part, progress, number, wide, size[1] - 1, DARK)
        step = part.work.step(number)
        assert isinstance(step, BraidMove)
        filled = [slot for slot, strand in enumerate(progress.hanging, 1) if strand]
        assert check(lines, slots, step, filled) == set()
        if slots <= 32:
            assert len(numbers_of(lines)) == slots, "there is room for all of them"
        progress.tie(number)


def test_the_slot_to_load_now_is_marked_once() -> None:
    part, zone = whole_piece(BRAIDS[0], None, None).main, DiskZone()
    filled = [strand for strand in part.work.at_start() if strand]
    lines = zone.draw_laying_out(part, filled[:3], filled[2:3], 80, 23, DARK)
    assert lines is not None
    text = text_of(lines)
    assert text.count(f">{filled[2]}<") == 1
    assert "[" not in text
    numbers = [value for value, _, _ in numbers_of(lines)]
    assert len(numbers) == len(set(numbers))


def test_no_disk_in_a_small_window() -> None:
    part = whole_piece(BRAIDS[0], None, None).main
    assert DiskZone().width_beside(part, 40, 11) == 0


def strands(slots: int, empty: Collection[int]) -> tuple[tuple[int, str], ...]:
    return tuple((slot, "deep") for slot in range(1, slots + 1) if slot not in empty)


@pytest.mark.parametrize("slots", range(3, 65))
def test_no_number_is_ever_covered(slots: int) -> None:
    # The smallest disk is the hardest; larger windows share one width.
    for size in SIZES if slots % 4 == 0 else SIZES[:1]:
        high = size[1] - 1
        # Every other slot filled, and all but one.
        for filled in (strands(slots, range(2, slots + 1, 2)), strands(slots, [slots])):
            body = Braid(slots, filled, ((1, 2),))
            design = Design("T", BRAID, {"deep": Colour("deep", "#0b3c5d", "deep")}, body)
            lies = [slot if slot in dict(filled) else 0 for slot in range(1, slots + 1)]
            wide = DiskZone().width_beside(whole_piece(BRAIDS[0], None, None).main, size[0], high)
            empty = [slot for slot in range(1, slots + 1) if not lies[slot - 1]]
            for source in list(dict(filled))[:: max(1, len(filled) // 2)]:
                move = BraidMove(1, source, empty[len(empty) // 2], source)
                lines = draw(design, lies, move, wide, high, DARK)
                assert [width_of(line) for line in lines] == [wide] * high
                assert check(lines, slots, move, dict(filled)) == set()


def test_a_strand_without_room_for_its_number_shows_its_colour() -> None:
    slots = 160
    filled = strands(slots, [slots])
    design = Design("T", BRAID, {"deep": Colour("deep", "#0b3c5d", "deep")}, Braid(slots, filled, ((1, slots),)))
    lies = [*range(1, slots), 0]
    move = BraidMove(1, 1, slots, 1)
    lines = draw(design, lies, move, 26, 13, DARK)
    missing = check(lines, slots, move, range(1, slots))
    assert missing
    shown = [slot for slot in range(1, slots + 1) if slot not in missing]
    signs = sum(len(span.text) for line in lines for span in line if span.ground == "#0b3c5d")
    assert signs > sum(len(f"{slot:>2}") for slot in shown), "colour without a number"


@pytest.mark.parametrize("palette", [DARK, LIGHT])
def test_a_strand_like_the_ground_of_the_disk_has_an_edge(palette: Palette) -> None:
    # No ground stands out from all of them.
    values = ["#101315", "#4b5157", "#7b8288", "#8b8f92", "#c9c5bb", "#f7f5ef"]
    body = Braid(24, tuple((4 * at + 1, f"c{at}") for at in range(6)), ((1, 2),))
    design = Design("T", BRAID, {f"c{at}": Colour(f"c{at}", value, "") for at, value in enumerate(values)}, body)
    lies = [slot if slot % 4 == 1 else 0 for slot in range(1, 25)]
    cells = in_cells(draw(design, lies, None, 52, 30, palette))
    ground = cells[0][0][2]
    edged = 0
    for row in cells:
        for at, (_, _, colour) in enumerate(row):
            if colour != ground and row[at - 1][2] == ground:
                end = next(place for place in range(at, len(row)) if row[place][2] == ground)
                like = is_like(colour, ground)
                assert ((row[at - 1][0], row[end][0]) == ("▕", "▏")) == like
                edged += like
    assert edged


@pytest.mark.parametrize(("start", "end"), [((2.0, 20.0), (18.0, 4.0)), ((9.0, 3.0), (9.0, 30.0)), ((15, 8), (2, 8))])
def test_the_arrow_has_its_head_at_its_end(start: tuple[float, float], end: tuple[float, float]) -> None:
    cells = dict(arrow_cells(start, end))
    for place in (start, end):
        near = min(hypot(column - place[1], 2 * (row - place[0])) for row, column in cells)
        assert near <= 2
    long = hypot(end[1] - start[1], 2 * (end[0] - start[0]))
    ahead = ((end[1] - start[1]) / long, 2 * (end[0] - start[0]) / long)

    def broad_near(place: tuple[float, float]) -> float:
        """How far the arrow reaches to its sides within six cells of a place."""
        near = [(at - place[1], 2 * (row - place[0])) for row, at in cells]
        return max(abs(x * ahead[1] - y * ahead[0]) for x, y in near if hypot(x, y) <= 6)

    assert broad_near(start) <= 1.5
    assert broad_near(end) >= 1.9
    assert not dict(arrow_cells(start, (start[0] + 0.5, start[1] + 1)))
