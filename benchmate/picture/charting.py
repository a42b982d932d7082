"""Turns a picture into a chart: a thread for every knot."""

from collections import Counter
from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple

from benchmate.craft.colours.colour_difference import LIGHT, levels
from benchmate.craft.design import MOST_STEPS, MOST_STRINGS
from benchmate.craft.wording.counting import counted
from benchmate.picture.found_colours import found_colours
from benchmate.picture.sampling import Sampled, levels_of, rows_for, sampled
from benchmate.picture.strips import Strips
from benchmate.picture.threads import Threads
from benchmate.picture.voting import around, voted

if TYPE_CHECKING:
    from PIL.Image import Image

SIGNS = ".#o+x=@*%:-/&$~^ABCDEFGHKMNPRSTUVWYZ23456789abcdefhkmnprstuvwyz"
"""The characters of a chart, in order of use: the most distinct first, and no two that look alike."""

MOST_COLOURS = len(SIGNS)

# Half the light of white. Less would darken dark areas, where one light knot takes its light from many others.
_MOST_CARRIED = 0.5


class BadChart(ValueError):
    """A chart that cannot be made as requested. The message is one line and names the limit."""


class Chart(NamedTuple):
    """The colours of a chart (name → `#rrggbb`, most knots first), and the colour names row by row."""

    colours: dict[str, str]
    rows: tuple[tuple[str, ...], ...]

    @property
    def columns(self) -> int:
        """The number of base strings."""
        return len(self.rows[0])


def rows_of(image: "Image | Strips", columns: int) -> int:
    """The number of rows that keeps the image's proportions.

    Raises BadChart for fewer than 1 or more than 500 columns, and for more than 200,000 knots.
    """
    if not 1 <= columns <= MOST_STRINGS:
        raise BadChart(
            f"the number of columns must be a whole number from 1 to {MOST_STRINGS}, such as 24 (found {columns})"
        )
    rows = rows_for(columns, *image.size)
    if columns * rows > MOST_STEPS:
        fit = next((fewer for fewer in range(columns, 0, -1) if fewer * rows_for(fewer, *image.size) <= MOST_STEPS), 0)
        raise BadChart(
            f"{columns} columns by {rows} rows is {columns * rows} knots; the limit is {MOST_STEPS}: "
            f"use at most {counted(fit, 'column')}"
        )
    return rows


def chart_of(
    image: "Image | Strips",
    columns: int,
    colours: Mapping[str, str] | None = None,
    *,
    count: int = 4,
    dither: bool = False,
    tidy: bool = False,
) -> Chart:
    """The chart of an image in mode RGB, `columns` knots wide and in true proportions, with the threads `colours`.

    `colours` is name → `#rrggbb`. Without it, at most `count` colours are found in the picture. Unused colours are left
    out. Normally edges are clean and areas even. With `dither`, neighbouring knots mix colours to show shades that no
    thread has. With `tidy`, a single knot of a colour takes its neighbours' colour. The same picture always gives the
    same chart. Raises BadChart when `rows_of` does, and for no colours or more than `MOST_COLOURS`.
    """
    rows = rows_of(image, columns)
    wanted = count if colours is None else len(colours)
    if not 1 <= wanted <= MOST_COLOURS:
        raise BadChart(
            f"the number of colours must be a whole number from 1 to {MOST_COLOURS}, such as 4 (found {wanted})"
        )
    threads = Threads(found_colours(image, count) if colours is None else colours)
    cut = sampled(image, columns, rows)
    knots = dithered(cut, threads) if dither else voted(cut, threads)
    if tidy:
        knots = tidied(knots, columns, threads)
    counts = Counter(knots)
    used = sorted(counts, key=lambda number: (-counts[number], number))
    names = [threads.names[number] for number in knots]
    return Chart(
        {threads.names[number]: threads.values[number] for number in used},
        tuple(tuple(names[at : at + columns]) for at in range(0, len(names), columns)),
    )


def dithered(cut: Sampled, threads: Threads) -> list[int]:
    """A thread number for every knot; each knot's error in light is passed on to the knots after it.

    Floyd & Steinberg 1976, in linear light, along rows that run to and fro as they are knotted. The error carried
    beyond black and white is limited, or it would keep rising where no mix of threads gives the colour.
    """
    lights = [[LIGHT[level] for level in levels(value)] for value in threads.values]
    knots = [0] * (cut.columns * cut.rows)
    # One more place on each side catches the error passed over the edge, which is lost.
    here = [[0.0] * (cut.columns + 2) for _ in range(3)]
    for row in range(cut.rows):
        below = [[0.0] * (cut.columns + 2) for _ in range(3)]
        way = -1 if row % 2 else 1
        for column in range(cut.columns)[::way]:
            knot, at = row * cut.columns + column, column + 1
            wanted = [
                min(1 + _MOST_CARRIED, max(-_MOST_CARRIED, mean[knot] + passed[at]))
                for mean, passed in zip(cut.means, here, strict=True)
            ]
            knots[knot] = number = threads.nearest(tuple(map(levels_of, wanted)))
            for light, given, beside, under in zip(wanted, lights[number], here, below, strict=True):
                share = (light - given) / 16
                beside[at + way] += 7 * share
                under[at - way] += 3 * share
                under[at] += 5 * share
                under[at + way] += share
        here = below
    return knots


def tidied(knots: list[int], columns: int, threads: Threads) -> list[int]:
    """The knots without single ones: a knot unlike all its neighbours takes the commonest thread among them.

    Of equally common threads, it takes the nearest in colour. One pass is enough. A knot that changes leaves no
    neighbour alone, because none had its thread, and it now has a neighbour of its own thread.
    """
    knots = list(knots)
    for knot, own in enumerate(knots):
        near = [knots[other] for other in around(knot, columns, len(knots))]
        if near and own not in near:
            counts = Counter(near)
            knots[knot] = min(counts, key=lambda number: (-counts[number], threads.difference(own, number), number))
    return knots
