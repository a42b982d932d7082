"""The next steps, and what stands with them: what to do before the knot, what one press counts, and notices."""

from collections.abc import Sequence
from functools import lru_cache

from benchmate.bench.zones.large_field import tallest
from benchmate.bench.zones.room import GROWN, LOW
from benchmate.bench.zones.view_values import View
from benchmate.craft.shown_step import ComingStep
from benchmate.display import large_type
from benchmate.display.cells import Line, Span, clipped, cut, fits, line, text_line, width_of
from benchmate.display.palette import Palette

LABEL = 7
"""The cells of a label with the space around it."""
LARGE = 32
"""The least height of the screen at which what to do first stands in large type."""


def next_steps(view: View, width: int, height: int, screen: int, palette: Palette) -> list[Line]:
    """Exactly `height` lines: the string to pick up next, if any, and as many of the next steps as have room."""
    if screen >= GROWN and height >= 3:
        return _large_steps(view, width, height, palette)
    lines = _then(view, width, palette)[:height]
    return lines + [_plain_step(view, at, width, palette) for at in range(height - len(lines))]


def _plain_step(view: View, at: int, width: int, palette: Palette) -> Line:
    """The next step number `at`, from 0, with its colours, in plain letters."""
    ground = palette.panel
    step = view.coming[at] if at < len(view.coming) else None
    spans = [Span(f" {_title(view) if at == 0 else '':<5}", palette.quiet, ground, True)]
    if step is not None:
        spans += [Span("██", colour, ground) for colour in step.colours]
        room = width - width_of(spans) - 2
        words = next((text for text in (step.words, step.brief) if fits(text, room)), step.short)
        spans.append(Span(" " + cut(words, room), palette.ink, ground, at == 0))
    return line(spans, width, ground)


def _title(view: View) -> str:
    return "NEXT" if view.coming else ("" if view.mode == "done" else "THE LAST ONE")


def _then(view: View, width: int, palette: Palette) -> list[Line]:
    """The string to pick up when the one in hand has made its knots."""
    run, ground = view.run, palette.panel
    if run is None or not run.following:
        return []
    spans = [Span(" THEN ", palette.quiet, ground, True), Span("██", run.colour, ground)]
    left = width - width_of(spans) - 2
    spans.append(Span(" " + cut(run.following, max(1, left)), palette.ink, ground, run.at == run.of))
    return [line(spans, width, ground)]


def _large_steps(view: View, width: int, height: int, palette: Palette) -> list[Line]:
    """The next steps in large type, each with its colours; those without room in plain letters."""
    ground = palette.panel
    lines: list[Line] = []
    rows = max(3, height // 3)
    if view.run is not None and view.run.following:
        following = view.run.following
        step = ComingStep(following, following, following, (view.run.colour,))
        lines += _large_step(step, "THEN", width, min(rows, height), palette, bold=True)
    first = True
    for step in view.coming:
        left = height - len(lines)
        if left < 3:
            break
        lines += _large_step(step, _title(view) if first else "", width, min(rows, left), palette, bold=first)
        first = False
    if first and height > len(lines):
        lines.append(_plain_step(view, 0, width, palette))
    return lines + [line([], width, ground)] * (height - len(lines))


@lru_cache(maxsize=64)
def _large_step(
    step: ComingStep, title: str, width: int, rows: int, palette: Palette, *, bold: bool
) -> tuple[Line, ...]:
    ground = palette.panel
    swatches = [Span("██" * 2, colour, ground) for colour in step.colours]
    before = [Span(f" {title:<5}", palette.quiet, ground, True), *swatches, Span(" ", palette.ink, ground)]
    below = [Span(" " * 6, palette.quiet, ground), *swatches, Span(" ", palette.ink, ground)]
    room = width - width_of(before) - 2

    def large_words(*texts: str) -> tuple[str, ...] | None:
        """The first of the texts that fits in large type on one line: a step that breaks is read as two."""
        return next(
            (found for text in texts if (found := large_type.draw(text, room, rows, "left", 2 * rows - 1))), None
        )

    plain = next((text for text in (step.words, step.brief) if fits(text, room)), "")
    drawn = large_words(step.words, step.brief) or ((plain,) if plain else None)
    drawn = drawn or large_words(step.short) or (cut(step.short, room),)
    return tuple(
        line([*(below if at else before), Span(text, palette.ink, ground, bold or at > 0)], width, ground)
        for at, text in enumerate((*drawn, *[""] * (rows - len(drawn))))
    )


def before_the_knot(view: View, width: int, screen: int, palette: Palette) -> list[Line]:
    """What to do before the knot, and the steps that one press counts, each in as many lines as it takes."""
    lines: list[Line] = []
    if view.before:
        most = [screen // 6, screen // 4, screen // 3]
        lines += _labelled("FIRST", [view.before, view.before_in_brief], width, screen, most, palette)
    lines += _know(view.know, width, screen, palette)
    if view.this_press and screen >= LOW:
        steps = ", ".join(filter(None, view.this_press))
        lines += _labelled("NOW", [steps], width, screen, [screen // 6], palette)
    return lines


def _know(words: str, width: int, screen: int, palette: Palette) -> list[Line]:
    """What to know before the first step, where there is room."""
    texts = clipped(words, max(1, width - 2), max(1, screen // 8)) if words and screen >= LOW else []
    return [text_line(text, width, palette.ink, palette.panel, bold=True) for text in texts]


def _labelled(
    label: str, said: Sequence[str], width: int, screen: int, most: Sequence[int], palette: Palette
) -> list[Line]:
    """One of the texts, the fullest first: in large type where it fits into so many lines, tried one after another.

    Otherwise in plain letters, where the last of the texts may be cut.
    """
    room = max(1, width - LABEL - 2)
    said = [text for text in said if text]
    tried = [(text, rows) for text in said for rows in most] if screen >= LARGE else []
    drawn = next(
        (found for text, rows in tried if (found := large_type.draw(text, room, rows, "left", tallest(screen)))), None
    )
    lines = max(1, screen // 4)
    whole = next((text for text in said if len(clipped(text, room, lines + 1)) <= lines), said[-1])
    texts = large_type.lowered(drawn) if drawn else clipped(whole, room, lines)
    ink, ground = palette.ink, palette.panel
    labels = [Span(f" {label:<5} ", ground, ink, True), *[Span(" " * LABEL, ink, ground)] * len(texts)]
    return [
        line([before, Span(f" {text}", ink, ground, True)], width, ground)
        for before, text in zip(labels, texts, strict=False)
    ]


def notice(view: View, width: int, screen: int, ink: str, ground: str) -> list[Line]:
    """The notice, in as many lines as it takes, up to half the screen."""
    return _in_lines(view.notice, width, max(1, screen // 2), ink, ground)


def quiet(view: View, width: int, screen: int, palette: Palette) -> list[Line]:
    """What is less urgent than a notice, in up to a quarter of the screen; the head of a low one offers a rest."""
    text = "" if view.rest and screen < LOW else view.quiet
    return _in_lines(text, width, max(1, screen // 4), palette.ink, palette.head)


def _in_lines(text: str, width: int, most: int, ink: str, ground: str) -> list[Line]:
    # Never in capitals, which would change the names of files and of keys.
    texts = clipped(text, max(1, width - 2), most) if text else []
    return [line([Span(f" {each}", ink, ground, True)], width, ground) for each in texts]
