"""Edges where a thread's colour is like the ground around it: foam on white, deep on dark, grey on grey."""

from collections.abc import Collection, Iterator, Sequence

from benchmate.craft.colours.colour import edge_between, is_like
from benchmate.display.cells import Line, Span, cells_of

SWATCH = "██"
"""The swatch of a thread beside its words; beside large type it is as wide again."""


def with_edges(lines: Sequence[Line], fields: Collection[str], ground: str) -> list[Line]:
    """The lines with an edge around every field of a thread's colour that is like the `ground` around it.

    `fields` are the colours of the fields. Text stays as it is, and every line as wide as it was.
    """
    like = {colour for colour in fields if is_like(colour, ground)}
    if not like:
        return [*lines]
    runs = [[*_runs(line)] for line in lines]
    found = []
    for at, here in enumerate(runs):
        above, below = (runs[other] if 0 <= other < len(runs) else [] for other in (at - 1, at + 1))
        spans: list[Span] = []
        for run in here:
            colour = run[0].ground
            if colour not in like:
                spans += run
                continue
            side = "▔" if not _has(above, colour) else "▁" if not _has(below, colour) else ""
            spans += _edged(run, edge_between(colour, ground), side)
        found.append(tuple(spans))
    return found


def with_edged_swatches(lines: Sequence[Line]) -> list[Line]:
    """The lines with an edge around every swatch that is like its ground."""
    return [tuple(map(_swatch, line)) for line in lines]


def _swatch(span: Span) -> Span:
    if span.text.startswith(SWATCH) and not span.text.strip("█") and is_like(span.ink, span.ground):
        text = f"▏{' ' * (len(span.text) - 2)}▕"
        return span._replace(text=text, ink=edge_between(span.ink, span.ground), ground=span.ink)
    return span


def _runs(line: Line) -> Iterator[list[Span]]:
    """The spans of a line in runs of one ground."""
    run: list[Span] = []
    for span in line:
        if run and span.ground != run[-1].ground:
            yield run
            run = []
        run.append(span)
    if run:
        yield run


def _has(runs: Sequence[Sequence[Span]], colour: str) -> bool:
    return any(run[0].ground == colour for run in runs)


def _edged(run: Sequence[Span], ink: str, side: str) -> list[Span]:
    """A run with an edge on its left and right, and on a `side` where it has no text."""
    colour = run[0].ground
    text = "".join(span.text for span in run)
    if not text.strip():
        middle = (side or " ") * (cells_of(text) - 2)
        return [Span(f"▏{middle}▕"[: cells_of(text)], ink, colour)]
    spans = [*run]
    if spans[0].text[0] == " ":
        spans[:1] = [Span("▏", ink, colour), spans[0]._replace(text=spans[0].text[1:])]
    if spans[-1].text[-1:] == " ":
        spans[-1:] = [spans[-1]._replace(text=spans[-1].text[:-1]), Span("▕", ink, colour)]
    return [span for span in spans if span.text]
