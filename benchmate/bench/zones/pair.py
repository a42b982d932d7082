"""The two strings of the pair, each on its own colour: where it hangs, where it goes, and its part in the knot."""

from collections.abc import Sequence
from functools import lru_cache

from benchmate.bench.zones.view_values import Run, View
from benchmate.craft.colours.colour import ink_on
from benchmate.craft.shown_step import Side
from benchmate.display import large_type
from benchmate.display.cells import Line, Span, beside, cells_of, clipped, cut, fitted, line
from benchmate.display.palette import Palette

LARGE = (36, 9)
"""The least size of a string's field in which its part in the knot stands in large type."""


def pair_of_strings(view: View, width: int, height: int, palette: Palette) -> list[Line]:
    """Exactly `height` lines."""
    assert view.left is not None
    assert view.right is not None
    half = (width - 1) // 2
    gutter = [line([], 1, palette.ground)] * height
    undone = view.mode == "undo"
    left = _side(view.left, half, height, undone, view.run)
    right = _side(view.right, width - 1 - half, height, undone, view.run)
    return beside([left, gutter, right])


def _side(side: Side, width: int, height: int, undone: bool, run: Run | None) -> Sequence[Line]:
    """One string of the pair; with `undone`, the knot is taken out and the string goes back to where it hung.

    A bar over the string that makes the knot shows its part by shape as well as in words.
    """
    count = run if side.makes else None
    if height < 3 or width < 24:
        return _small(side, width, height, undone, count)
    if width >= LARGE[0] and height >= LARGE[1]:
        return _large(side, width, height, undone, count)
    return _medium(side, width, height, undone, count)


def _parts(side: Side, undone: bool, run: Run | None) -> list[str]:
    """What the string does, from the longest wording to the shortest."""
    if side.labels is not None:
        return [side.labels[1]]
    if not side.makes:
        return ["is knotted over", "under it"]
    if run is not None:
        count = f"{run.at} of {run.of}"
        if run.at == 1:
            return [f"pick it up: knot {count}", f"pick it up: {count}", f"knot {count}"]
        return [f"makes knot {count}", f"knot {count}"]
    return ["made the knot" if undone else "makes the knot", "makes it"]


def _ends(side: Side, undone: bool) -> str:
    """Where the string ends."""
    if side.labels is not None:
        return side.labels[2]
    if side.ends == side.position:
        return f"stays at {side.position}"
    return f"{'goes back to' if undone else 'ends at'} {side.ends}"


def _figures(side: Side) -> str:
    return str(side.position) if side.labels is None else side.labels[0]


def _small(side: Side, width: int, height: int, undone: bool, run: Run | None) -> Sequence[Line]:
    ink, ground = ink_on(side.colour), side.colour
    short = ("knotted" if undone else "knots") if side.makes else "under"
    mark = "▌" if side.makes else " "
    if side.labels is None:
        goes = "stays" if side.ends == side.position else f"to {side.ends}"
        does = [short] if run is None else [*_parts(side, undone, run), f"{run.at} of {run.of}"]
        # A bar before the text, or none, says who makes the knot, where words have no room.
        parts = [*(f"{each}, {end}" for each in does for end in (_ends(side, undone), goes)), goes]
    else:
        parts = [side.labels[1], *([] if run is None else [f"knot {run.at} of {run.of}", f"{run.at} of {run.of}"])]
    part = next((text for text in parts if len(text) < width), parts[-1])
    texts = [cut(f"{mark}{text}", width) for text in (f"{_figures(side)} {side.say}", part)][:height]
    blank = line([], width, ground)
    above = [blank] * ((height - len(texts)) // 2)
    lines = [line([Span(text, ink, ground, True)], width, ground) for text in texts]
    return [*above, *lines, *[blank] * (height - len(texts) - len(above))]


def _bar(side: Side, width: int) -> Line:
    return line(
        [Span("▀" * width if side.makes else " " * width, ink_on(side.colour), side.colour, True)], width, side.colour
    )


def _medium(side: Side, width: int, height: int, undone: bool, run: Run | None) -> Sequence[Line]:
    """The position in large figures, and beside it the colour, the part and the end in plain letters."""
    ink, ground = ink_on(side.colour), side.colour
    body = height - 1
    figures = _figures(side)
    digits = _above_edge(figures, max(6, width // 3), body) or (figures,)
    digit_width = max(len(row) for row in digits)
    room = width - digit_width - 5
    part = next((text for text in _parts(side, undone, run) if len(text) <= room), _parts(side, undone, run)[-1])
    ends = _ends(side, undone)
    below = [part, ends] if ends and len(part) + len(ends) + 2 > room else [", ".join(filter(None, (part, ends)))]
    name = large_type.draw(side.say, room, body - 1 - len(below)) if body >= 6 else None
    words = [*(name or clipped(side.say, room, max(1, body - len(below)))), *([""] if name else []), *below]
    named = len(words) - len(below)
    digits_above, words_above = (body - len(digits)) // 2, max(0, (body - len(words)) // 2)
    lines = []
    for at in range(body):
        digit = digits[at - digits_above] if 0 <= at - digits_above < len(digits) else ""
        text = words[at - words_above] if 0 <= at - words_above < len(words) else ""
        bold = at - words_above < named or side.makes
        spans = [
            Span("  " + digit.ljust(digit_width) + "  ", ink, ground, True),
            Span(cut(text, room), ink, ground, bold),
        ]
        lines.append(line(spans, width, ground))
    return [_bar(side, width), *lines]


@lru_cache(maxsize=256)
def _large(side: Side, width: int, height: int, undone: bool, run: Run | None) -> tuple[Line, ...]:
    """All in large type: the position, an arrow to where the string ends, its colour; below them its part."""
    ink, ground = ink_on(side.colour), side.colour
    inner, body = width - 4, height - 1
    parts, ends = _parts(side, undone, run), _ends(side, undone)
    short = "stays" if side.labels is None and side.ends == side.position else side.labels and ends
    tried = [*([f"{parts[0]}, {short}"] if short else []), *parts]
    drawn = ((text, _above_edge(text, inner, max(3, body * 2 // 5))) for text in tried)
    plain = next((text for text in tried if len(text) <= inner), cut(parts[-1], inner))
    part, foot = next((found for found in drawn if found[1]), (plain, None))
    below = foot or (part,)
    top = body - len(below)
    here = large_type.draw(_figures(side), width // 3, top - (top > 3)) or (_figures(side),)
    before, after = _target(side, width // 4, max(3, top * 3 // 5))
    blocks = [_block(rows, top) for rows in (before, here, after) if any(rows)]
    room = inner - max(4, width // 24) + 2 - sum(len(block[0]) + 2 for block in blocks)
    rest = "" if before or after or (short and part.endswith(f", {short}")) else cut(ends, room)
    lines = top - bool(rest)
    name = large_type.draw(side.say, room, lines - (lines > 3)) or clipped(side.say, max(1, room), lines)
    blocks.append(_block([*name, *([rest] if rest else [])], top))
    *figures, named = blocks
    gap = " " * max(4, width // 24)
    rows = [gap.join(["  ".join(block[at] for block in figures), named[at]]) for at in range(top)] + list(below)
    return (_bar(side, width), *(line([Span(f"  {row}", ink, ground, True)], width, ground) for row in rows))


def _above_edge(text: str, width: int, height: int) -> tuple[str, ...] | None:
    """A large text that leaves half a cell free below it."""
    return large_type.draw(text, width, height, "left", 2 * height - 1)


def _target(side: Side, width: int, height: int) -> tuple[Sequence[str], Sequence[str]]:
    """Where the string ends, with an arrow that points the way it goes: what stands left and right of its position."""
    if side.labels is not None or side.ends == side.position:
        return (), ()
    if side.ends < side.position:
        return large_type.draw(f"{side.ends}←", width, height) or (), ()
    return (), large_type.draw(f"→{side.ends}", width, height) or ()


def _block(rows: Sequence[str], height: int) -> list[str]:
    """The rows in the middle of `height` rows, all of one width."""
    wide = max(map(cells_of, rows), default=0)
    above = (height - len(rows)) // 2
    padded = [fitted(row, wide) for row in rows]
    return [" " * wide] * above + padded + [" " * wide] * (height - above - len(rows))
