"""The slotted disk of a braid: the strand in each slot, and an arrow for the move."""

from collections.abc import Collection, Iterator, Sequence
from math import cos, pi, sin

from benchmate.craft.colours.colour import best_ground, edge_between, ink_on, is_like
from benchmate.craft.design import Design
from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import Part
from benchmate.display.cells import Line, Span, joined, line
from benchmate.display.palette import Palette
from benchmate.display.zone import Zone
from benchmate.families.braid.body import Braid, BraidMove
from benchmate.families.braid.move_arrow import arrow_cells
from benchmate.families.braid.work import BraidWork

LEAST, MOST = 26, 52
"""The least and the most cells of the disk's width."""
LEAST_BESIDE = 40
"""The cells that the rest of the bench keeps beside the disk."""
LABEL = 4
"""The widest label: a number of two digits between its marks."""
RINGS = ((1.0, (0, -1, 1)), (0.8, (0, -1, 1)), (1.0, (-2, 2, -3, 3)), (0.8, (-2, 2)), (0.6, (0, -1, 1, -2, 2)))
"""Where to look for room for a number: how far out of the middle, and how many cells aside, in this order."""
INSIDE = 3.5
"""How far inside the slots the arrow begins and ends, in cells across."""
EMPTY = "·"
BROAD = ((16, 4), (500, 2))
"""Pairs of the most slots of a disk and the cells that the number of a strand then takes."""


class DiskZone(Zone):
    """The disk with the strands in its slots."""

    def width_beside(self, part: Part, width: int, height: int) -> int:
        """As wide as a round disk has room for."""
        wanted = min(MOST, 2 * height, width * 9 // 20)
        return wanted if wanted >= LEAST and width - wanted >= LEAST_BESIDE else 0

    def draw(
        self,
        part: Part,
        progress: Progress,
        number: int | None,
        width: int,
        height: int,
        palette: Palette,
        *,
        undone: bool = False,
    ) -> list[Line]:
        """The disk and the move; the arrow of a move to undo points back.

        Where nobody knows what that move was, the strands lie as they have to once it is undone.
        """
        work, move, lies = part.work, None, progress.hanging
        assert isinstance(work, BraidWork)
        if number is not None and 0 <= number - part.first < work.size:
            move = work.step(number - part.first)
            if move.unsure:
                lies = list(lies)
                work.change_places(number - part.first, lies)
                move = None
            elif undone:
                move = move._replace(source=move.target, target=move.source)
        return draw(part.design_now(progress), lies, move, width, height, palette)

    def draw_laying_out(
        self, part: Part, filled: Collection[int], now: Collection[int], width: int, height: int, palette: Palette
    ) -> list[Line] | None:
        """The disk with the strands loaded so far; the slot to load now stands between `>` and `<`."""
        wide = self.width_beside(part, width, height)
        if not wide:
            return None
        lies = [strand if strand in filled else 0 for strand in part.work.at_start()]
        slot = next(iter(now))
        return draw(part.design, lies, BraidMove(1, slot, slot, slot), wide, height, palette)


class _Disk:
    """A disk of `slots` slots in a picture of a size, filled label by label. No label ever covers another."""

    def __init__(self, slots: int, width: int, height: int) -> None:
        self._slots, self._width, self._height = slots, width, height
        self._across = (width - LABEL) / 2
        self._down = (min(height, width // 2) - 1) / 2
        self.signs: dict[tuple[int, int], Span] = {}
        """What stands in each cell that is taken: one sign, with its style."""
        self._labels: list[tuple[int, int, int, str]] = []

    def place(self, slot: int, out: float = 1.0) -> tuple[float, float]:
        """The row and column of a slot, or of the point so far `out` of the middle towards it."""
        angle = 2 * pi * (slot - 0.5) / self._slots
        row = (self._height - 1) / 2 - out * self._down * cos(angle)
        return row, (self._width - 1) / 2 + out * self._across * sin(angle)

    def inside(self, slot: int) -> tuple[float, float]:
        """Where the arrow of a move begins or ends."""
        return self.place(slot, 1 - INSIDE / self._across)

    def put(self, slot: int, text: str, style: Span) -> bool:
        """Writes a label whole, at its slot or close by; False, and nothing is written, when there is no room."""
        for row, left in self._spots(slot, text):
            if self._is_free(row, left, text):
                for at, sign in enumerate(text, left):
                    self.signs[row, at] = style._replace(text=sign)
                self._labels.append((row, left, left + len(text), style.ground))
                return True
        return False

    def edge(self, ground: str) -> None:
        """Gives every label of nearly the colour of the ground an edge, where there is room for it."""
        for row, left, end, colour in self._labels:
            if colour == ground or not is_like(colour, ground):
                continue
            edge = Span("", edge_between(colour, ground), ground)
            for at, sign in ((left - 1, "▕"), (end, "▏")):
                if 0 <= at < self._width:
                    self.signs.setdefault((row, at), edge._replace(text=sign))

    def _spots(self, slot: int, text: str) -> Iterator[tuple[int, int]]:
        for out, aside in RINGS[: len(RINGS) if len(text) > 1 else 1]:
            row, column = self.place(slot, out)
            for by in aside:
                left = round(column - (len(text) - 1) / 2) + by
                yield round(row), min(max(0, left), self._width - len(text))

    def _is_free(self, row: int, left: int, text: str) -> bool:
        end = left + len(text)
        if any((row, at) in self.signs for at in range(left, end)):
            return False
        # Two numbers side by side would read as one.
        return not any(
            text[own].isdigit() and (row, at) in self.signs and self.signs[row, at].text.isdigit()
            for own, at in ((0, left - 1), (-1, end))
        )


def draw(
    design: Design, lies: Sequence[int], move: BraidMove | None, width: int, height: int, palette: Palette
) -> list[Line]:
    """Exactly `height` lines of `width` cells. `lies` is the strand in every slot, 0 for an empty slot.

    Slots run clockwise, the first just right of the top. A filled slot shows its number on the strand's colour. The
    empty slots show their numbers if there is room for all of them, else dots. The strand to move stands between `>`
    and `<`, the slot it goes to between `[` and `]`.
    """
    body = design.body
    assert isinstance(body, Braid)
    slots = range(1, body.slots + 1)
    # A strand that is loaded comes from no other slot.
    of_move = () if move is None else tuple(dict.fromkeys((move.source, move.target)))
    filled = [slot for slot in slots if lies[slot - 1] and slot not in of_move]
    empty = [slot for slot in slots if not lies[slot - 1] and slot not in of_move]
    broad = next(cells for most, cells in BROAD if body.slots <= most)
    # A strand of the colour of the screen would be a hole in it.
    ground = best_ground(
        palette.string_grounds, [value for name in body.strings for value in design.colours[name].values]
    )
    ink = ink_on(ground)
    quiet = Span("", ink, ground)
    for numbered in (True, False):
        disk = _Disk(body.slots, width, height)
        # The slots of the move get their place first, then the strands.
        for slot in of_move:
            disk.put(slot, *_marked(design, slot, lies[slot - 1], move, ink, ground))
        for slot in filled:
            style = _strand_style(design, lies[slot - 1])
            if not disk.put(slot, f"{slot:>2}".center(broad), style):
                disk.put(slot, " ", style)
        fitting = [disk.put(slot, str(slot) if numbered else EMPTY, quiet) for slot in empty]
        if all(fitting):
            break
    disk.edge(ground)
    cells = [[Span(" ", ink, ground)] * width for _ in range(height)]
    if move is not None and move.source != move.target:
        for (row, at), sign in arrow_cells(disk.inside(move.source), disk.inside(move.target)):
            if 0 <= row < height and 0 <= at < width:
                cells[row][at] = Span(sign, ink, ground, True)
    for (row, at), span in disk.signs.items():
        cells[row][at] = span
    return [line(joined(row), width, ground) for row in cells]


def _marked(design: Design, slot: int, strand: int, move: BraidMove | None, ink: str, ground: str) -> tuple[str, Span]:
    """The label of a slot of the move. The strand is in one of the two."""
    style = _strand_style(design, strand) if strand else Span("", ground, ink, True)
    return (f">{slot}<" if move is not None and slot == move.source else f"[{slot}]"), style


def _strand_style(design: Design, strand: int) -> Span:
    value, pattern = design.value_of(strand), design.colours[design.body.colour_of(strand)].pattern
    style = Span("", ink_on(value), value, True)
    # A thread that shares its colour with another shows its number the other way round.
    return style._replace(ink=style.ground, ground=style.ink) if pattern % 2 else style
