"""The preview of the line under the cursor, in lines of cells."""

from benchmate.bench.zones.edges import SWATCH, with_edged_swatches
from benchmate.choosing.preview import ColourFact, Preview
from benchmate.choosing.shelves import Entry, with_last_day
from benchmate.craft.colours.terminal_colours import ColourDepth
from benchmate.craft.drawing import Layout
from benchmate.display import large_type
from benchmate.display.cells import Line, Span, beside, cells_of, clipped, line, on, text_line
from benchmate.display.palette import Palette

LABEL = 10
"""The cells of a label."""
SIDE_BY_SIDE = 60
"""From this width on, the band stands beside the words."""
LARGE = (50, 26)
"""From this size on, the title is in large type."""
MOST_SWATCHES = 4
"""The most colours of a variegated thread that are shown beside its label."""
LEAST_BAND = 6
"""The fewest lines that the band is drawn in."""
ENOUGH = 8
"""A repeat, or this many rows of it, are to be seen."""
BIGGER = {"diamond": ((8, 8), (6, 6), (5, 5), (4, 4), (3, 3)), "rectangle": ((12, 9), (8, 6), (6, 5))}
"""Scales above those of a drawing in the terminal, for a band that stands alone."""


def preview_lines(
    entry: Entry, preview: Preview | None, width: int, height: int, palette: Palette, depth: ColourDepth
) -> list[Line]:
    """Exactly `height` lines of `width` cells. A preview that is None is still being made.

    The band is drawn in signs where the terminal shows too few colours for its threads, as `depth` says.
    """
    ground = palette.panel
    words = _title(entry, width, height, palette)
    layout = None if preview is None else preview.layout
    if layout is not None and width >= SIDE_BY_SIDE and height - len(words) > LEAST_BAND:
        wide = min(width // 2, _widest(layout) + 3)
        rest = height - len(words)
        facts = _filled(_words(entry, preview, width - wide, rest, palette), width - wide, rest, ground)
        return [*words, *beside([_filled(_band(layout, wide - 1, rest, depth, palette), wide, rest, ground), facts])]
    if layout is None:
        share = height
    elif layout.crosses:
        # The moves of a braid do not show its look, so the words come first.
        share = height - LEAST_BAND - 1
    else:
        share = max(height * 3 // 5, height - 24)
    words += _words(entry, preview, width, share - len(words), palette)
    room = height - len(words) - 1
    if layout is not None and room >= LEAST_BAND:
        words += [line([], width, ground), *_band(layout, width, room, depth, palette)]
    return _filled(words, width, height, ground)


def about(entry: Entry, preview: Preview | None, width: int, count: int, palette: Palette) -> list[Line]:
    """The line under the cursor in at most `count` lines of text, where there is no room for a preview."""
    if entry.opens is not None:
        text = "; ".join(entry.listed)
    else:
        facts = {} if preview is None else dict(preview.facts)
        needs = f"needs {facts['needs']}" if "needs" in facts else ""
        known = (facts.get("how hard"), facts.get(""), needs, facts.get("size"), facts.get("time"))
        text = "; ".join(filter(None, known)) or entry.title
    return [text_line(part, width, palette.ink, palette.panel) for part in clipped(text, width - 2, count)]


def _filled(lines: list[Line], width: int, height: int, ground: str) -> list[Line]:
    """Exactly `height` lines of `width` cells."""
    lines = [line(each, width, ground) for each in lines[:height]]
    return lines + [line([], width, ground)] * (height - len(lines))


def _title(entry: Entry, width: int, height: int, palette: Palette) -> list[Line]:
    """The title, in large type where there is room."""
    if width >= LARGE[0] and height >= LARGE[1]:
        drawn = large_type.draw(entry.title, width - 3, min(9, height // 5))
        if drawn is not None:
            lines = [line([Span("  " + row, palette.ink, palette.panel, True)], width, palette.panel) for row in drawn]
            return [line([], width, palette.panel), *lines, line([], width, palette.panel)]
    parts = clipped(entry.title, width - 2, 2)
    return [text_line(part, width, palette.ink, palette.panel, bold=True) for part in parts]


def _words(entry: Entry, preview: Preview | None, width: int, height: int, palette: Palette) -> list[Line]:
    """Everything about it in words, at most `height` lines."""
    ink, quiet, ground = palette.ink, palette.quiet, palette.panel
    if entry.opens is not None:
        return [text_line(title, width, ink, ground) for title in entry.listed[: max(0, height)]]
    lines: list[Line] = []

    def add(label: str, value: str) -> None:
        indent = LABEL if label else 0
        for at, part in enumerate(clipped(value, width - indent - 2, 3)):
            before = Span(f" {label if at == 0 else '':<{indent}}"[: indent + 1], quiet, ground)
            lines.append(line([before, Span(part, ink, ground)], width, ground))

    add("", with_last_day(entry))
    for fact in () if preview is None else preview.facts:
        add(fact.label, fact.value)
        if not fact.label and preview is not None:
            lines += _colours(preview.colours, width, palette)
    room = min(12, height - len(lines) - 1)
    if preview is not None and preview.notes and room > 0:
        lines.append(line([], width, ground))
        lines += [text_line(part, width, ink, ground) for part in clipped(preview.notes, width - 2, room)]
    return lines[: max(0, height)]


def _colours(colours: tuple[ColourFact, ...], width: int, palette: Palette) -> list[Line]:
    """Every colour with its label; beside a variegated thread the first of its colours, and their names if they fit."""
    rows: list[list[Span]] = [[]]
    taken = 0
    for colour in colours:
        swatches = colour.values[: max(1, min(MOST_SWATCHES, width // 4))]
        # A cell before and two after the colour and its label, and one between them.
        beside = 2 * len(swatches) + 4
        say = colour.described if cells_of(colour.described) <= width - beside else colour.say
        size = min(cells_of(say), width - beside) + beside - 1
        if taken and taken + size > width:
            rows.append([])
            taken = 0
        label = (clipped(say, width - beside, 1) or [""])[0]
        rows[-1].append(Span(" ", palette.quiet, palette.panel))
        rows[-1] += [Span(SWATCH, value, palette.panel) for value in swatches]
        rows[-1].append(Span(f" {label} ", palette.ink, palette.panel))
        taken += size
    return with_edged_swatches([line(row, width, palette.panel) for row in rows[:3]])


def _widest(layout: Layout) -> int:
    """The width of the band in its largest scale."""
    return len(layout.first) * _scales(layout)[0][0] + 2


def _scales(layout: Layout) -> list[tuple[int, int]]:
    return [*(() if layout.crosses else BIGGER[layout.knot_shape]), *layout.scales]


def _band(layout: Layout, width: int, height: int, depth: ColourDepth, palette: Palette) -> list[Line]:
    """The beginning of the band, as large as fits the width and shows a repeat, or a good part of it."""
    from benchmate.draw.cell_image import in_colour, in_signs
    from benchmate.draw.in_terminal import ground_for, tags_of

    room = max(1, width - 2)
    if any(colour.pattern for colour in layout.colours.values()):
        lines = in_signs(_shortened(layout, height + 2), tags_of(layout), room).lines
    else:
        enough = min(layout.rows, layout.once, ENOUGH)
        fit = [scale for scale in _scales(layout) if len(layout.first) * scale[0] + 2 <= room]
        shows = [scale for scale in fit if 2 * height >= 2 + enough * scale[1]]
        across, down = next(iter(shows or fit[-1:] or layout.scales[-1:]))
        seen, behind = _shortened(layout, 2 * height // down + 2), ground_for(layout, depth)
        lines = in_colour(seen, across, down, room, behind, shaded=not depth.colours).lines
    ink, ground = palette.ink, palette.panel
    return [line([Span(" ", ink, ground), *on(each, ink, ground)], width, ground) for each in lines[:height]]


def _shortened(layout: Layout, rows: int) -> Layout:
    """As many rows as can be seen."""
    if rows >= layout.rows:
        return layout
    return layout._replace(
        rows=rows,
        knots=tuple(knot for knot in layout.knots if knot.row <= rows),
        waits=tuple(string for string in layout.waits if string.row <= rows),
        crosses=layout.crosses[:rows],
    )
