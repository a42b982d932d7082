"""A chart from a picture: a thread for every knot."""

from collections import Counter
from collections.abc import Mapping
from typing import TYPE_CHECKING, NamedTuple

from benchmate.craft.colours.colour_difference import LIGHT, levels
from benchmate.craft.design import MOST_STEPS, MOST_STRINGS
from benchmate.craft.wording.counting import counted
from benchmate.picture.found_colours import found_colours
from benchmate.picture.sampling import Sampled, levels_of, rows_for, sampled
from benchmate.picture.threads import Threads
from benchmate.picture.voting import around, voted

if TYPE_CHECKING:
    from PIL.Image import Image

SIGNS = ".#o+x=@*%:-/&$~^ABCDEFGHKMNPRSTUVWYZ23456789abcdefhkmnprstuvwyz"
"""The characters of a chart in the order they are used: told apart at a glance first, none that pass for another."""

MOST_COLOURS = len(SIGNS)

# Half the light of white: less would lose light in dark parts, where a single light knot has to be paid for by many.
_OWED = 0.5


class BadChart(ValueError):
    """A chart that cannot be made as it was asked for: one line of plain words that names the limit."""


class Chart(NamedTuple):
    """The colours of a chart, name → `#rrggbb`, that with the most knots first, and their names row by row."""

    colours: dict[str, str]
    rows: tuple[tuple[str, ...], ...]

    @property
    def columns(self) -> int:
        """How many base strings the band has."""
        return len(self.rows[0])


def rows_of(image: "Image", columns: int) -> int:
    """How many rows a chart of the image has that keeps its proportions.

    Raises BadChart for less than 1 or more than 500 columns, and when the chart has more than 200,000 knots.
    """
    if not 1 <= columns <= MOST_STRINGS:
        raise BadChart(f"{columns} columns cannot be knotted: a band has from 1 to {MOST_STRINGS}")
    rows = rows_for(columns, *image.size)
    if columns * rows > MOST_STEPS:
        fit = next((fewer for fewer in range(columns, 0, -1) if fewer * rows_for(fewer, *image.size) <= MOST_STEPS), 0)
        raise BadChart(
            f"{columns} columns make {rows} rows, {columns * rows} knots, more than {MOST_STEPS}: "
            f"use at most {counted(fit, 'column')}"
        )
    return rows


def chart_of(
    image: "Image",
    columns: int,
    colours: Mapping[str, str] | None = None,
    *,
    count: int = 4,
    dither: bool = False,
    tidy: bool = False,
) -> Chart:
    """The chart of an image in mode RGB, `columns` knots wide and in its true proportions, with the threads `colours`.

    `colours` is name → `#rrggbb`; without it, at most `count` colours are found in the picture. Colours that no knot
    has are left out. As a rule edges are clean and areas even. With `dither`, neighbouring knots take turns so that
    from afar the mean is right, which shows shades that no thread has. With `tidy`, a knot alone in its colour takes
    that of its neighbours. The same picture always gives the same chart. Raises BadChart, as `rows_of` does and when
    there are no colours or more than `MOST_COLOURS`.
    """
    rows = rows_of(image, columns)
    wanted = count if colours is None else len(colours)
    if not 1 <= wanted <= MOST_COLOURS:
        raise BadChart(f"a chart cannot have {wanted} colours: it has from 1 to {MOST_COLOURS}")
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
    """The number of a thread for every knot, with what it lacks or has too much of passed on to knots still to come.

    Floyd & Steinberg 1976, in light, along rows that run to and fro as they are knotted. A colour that no threads
    together can give would owe more and more: what is owed beyond black and white has a limit.
    """
    lights = [[LIGHT[level] for level in levels(value)] for value in threads.values]
    knots = [0] * (cut.columns * cut.rows)
    # One place more on either side, for what is passed on over the edge and lost.
    here = [[0.0] * (cut.columns + 2) for _ in range(3)]
    for row in range(cut.rows):
        below = [[0.0] * (cut.columns + 2) for _ in range(3)]
        way = -1 if row % 2 else 1
        for column in range(cut.columns)[::way]:
            knot, at = row * cut.columns + column, column + 1
            wanted = [
                min(1 + _OWED, max(-_OWED, mean[knot] + passed[at]))
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
    """The knots, each that none of its up to eight neighbours shares its thread with in the thread most of them have.

    Of equally many, the nearest in colour. Once through is enough, row by row: a knot that changes leaves no neighbour
    alone, as none shared its thread, and is itself in company from then on.
    """
    knots = list(knots)
    for knot, own in enumerate(knots):
        near = [knots[other] for other in around(knot, columns, len(knots))]
        if near and own not in near:
            counts = Counter(near)
            knots[knot] = min(counts, key=lambda number: (-counts[number], threads.apart(own, number), number))
    return knots
