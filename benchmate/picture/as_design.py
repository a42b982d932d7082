"""A picture's chart as a design: the size of the band, and the text of the file."""

from collections import Counter

from benchmate.craft.thread.gauge import FLOSS, Gauge
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.length_words import fine_words
from benchmate.families.alpha.writing import alpha_text
from benchmate.files.safe_text import is_name, quoted
from benchmate.picture.charting import SIGNS, BadChart, Chart


def size_in_words(columns: int, rows: int, gauge: Gauge = FLOSS, units: str = "cm") -> str:
    """The size of a band in one line: in knots, and in lengths by the gauge."""
    wide, long = _length(columns * gauge.wide_mm, units), _length(rows * gauge.base_mm, units)
    return (
        f"{counted(columns, 'column')} and {counted(rows, 'row')}, {counted(columns * rows, 'knot')}: "
        f"about {wide} wide and {long} long"
    )


def knots_by_colour(chart: Chart) -> dict[str, int]:
    """The number of knots in each colour of the chart, most first."""
    counts = Counter(name for row in chart.rows for name in row)
    return {name: counts[name] for name in chart.colours}


def design_text(chart: Chart, title: str, *, start: str | None = None, finish: str | None = None) -> str:
    """The text of an alpha design of the chart, with base strings in the colour that has the most knots.

    `start` and `finish` are names of designs in written steps. Unprintable characters in `title` become `?`. Raises
    BadChart when a colour's name is not one word.
    """
    for name in chart.colours:
        if not is_name(name):
            raise BadChart(f"the colour name {quoted(name)} must be one word of letters, digits, `-` and `_`")
    signs = dict(zip(chart.colours, SIGNS, strict=False))
    shown = "".join(character if character.isprintable() else "?" for character in title).strip()
    knots = ", ".join(f"{name} {number}" for name, number in knots_by_colour(chart).items())
    return alpha_text(
        shown or "Picture",
        chart.colours,
        next(iter(chart.colours)),
        {sign: name for name, sign in signs.items()},
        ["".join(signs[name] for name in row) for row in chart.rows],
        start=start,
        finish=finish,
        notes=f"{size_in_words(chart.columns, len(chart.rows)).capitalize()}. Knots by colour: {knots}.",
    )


def _length(millimetres: float, units: str) -> str:
    small = millimetres < 100 and units != "inches"
    return f"{millimetres:.0f} mm" if small else fine_words(millimetres, units)
