"""The last line of the step screen: how far the piece is, and the most useful keys, which always stand there."""

from benchmate.bench.zones.view_values import View
from benchmate.display.cells import Line, Span, cells_of, cut, fits, line
from benchmate.display.palette import Palette

GAP = 2
"""The least cells between what the last line says and its keys."""


def foot(view: View, width: int, palette: Palette, keys: str, *, counts_out: bool) -> Line:
    """How far the piece is, as much of it as the keys leave room for; with `counts_out`, how many knots to undo."""
    press = f"one press: {len(view.this_press)}" if view.this_press else ""
    if counts_out and view.out:
        press = f"{view.out} to undo"
    share, time = f"{view.share}%", view.time_left
    # The time left is worded one way, or left out.
    facts = [
        "   ".join(filter(None, each))
        for each in ([press, view.numbered, share, time], [press, share, time], [press, share], [press])
    ]
    said, shown = _fitting(facts, _keys(keys), width)
    return _line(said, shown, width, palette, palette.head)


def in_one_line(view: View, width: int, palette: Palette, keys: str) -> Line:
    """The next steps in their shortest form, and the keys: the last line of a small window."""
    before = f"press={len(view.this_press)}  " if view.this_press else f"{view.out} to undo  " if view.out else ""
    before = f"* changed  {before}" if view.changed else before
    time = f"  {view.time_left}" if view.time_left else ""
    steps = [step.short for step in view.coming]
    if view.run:
        run = view.run
        following = f"then {run.following}" if run.following else "the last run"
        coming = [f"{before}{following}", f"{before}{following.replace('then pick up', 'then')}"]
    elif steps:
        coming = [f"{before}next {'  '.join(steps)}", f"{before}next {' '.join(steps)}", f"{before}> {' '.join(steps)}"]
        coming += [f"{before}> {' '.join(steps[:count])}" for count in range(len(steps) - 1, 0, -1)]
    else:
        coming = [before + ("" if view.mode == "done" else "the last one")]
    # A step that is not listed is missed less than the time left.
    texts = [text + after for text in coming[:3] for after in (time, "")] + coming[3:]
    said, shown = _fitting(texts, _keys(keys)[-1:], width)
    return _line(said, shown, width, palette, palette.panel)


def _keys(keys: str) -> list[str]:
    """The keys, then fewer of them: the first stays to the last."""
    each = keys.split("  ")
    shorter = [keys, "  ".join([each[0], *each[2:]]), each[0]]
    return list(dict.fromkeys(shorter))


def _fitting(texts: list[str], keys: list[str], width: int) -> tuple[str, str]:
    """A text with the keys beside it: as many of the keys as fit beside anything, then as much of the text."""
    for shown in keys:
        for text in texts:
            if fits(text, width - 2 - cells_of(shown) - (GAP if shown and text else 0)):
                return text, shown
    return texts[-1], keys[-1]


def _line(text: str, keys: str, width: int, palette: Palette, ground: str) -> Line:
    room = width - 2 - cells_of(keys)
    text = cut(text, room - bool(keys))
    gap = " " * max(0, room - cells_of(text))
    return line([Span(f" {text}{gap}{keys} ", palette.ink, ground)], width, ground)
