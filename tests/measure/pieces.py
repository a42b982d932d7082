"""Designs of a given size to measure on, and half-tied pieces of them, made through the program's own store."""

import os
import random
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

from benchmate import piece_opening as opening
from benchmate.design_files.load import load
from benchmate.store.places import HOME
from benchmate.store.plans import packed

TOKENS = ("f", "b", "fb", "bf")
COLOURS = {"deep": "#0b3c5d", "foam": "#f4f1de", "kelp": "#5b7f3a", "rust": "#a4452c", "clay": "#c98b5a"}
PRESSED = 50
"""How many of the tied steps are tied now, one press each; the steps before them are already in the log."""


class Made(NamedTuple):
    """A started piece: its design's file, its home, the number of tied steps and of all steps."""

    design: Path
    home: Path
    done: int
    of: int


def band(title: str, strings: int, knots: int, repeats: int = 1) -> str:
    """The text of a diagonal band of `strings` strings with exactly `knots` knots a repeat, written out row by row.

    Knots and colours are random with a fixed seed, so no two rows are likely to be the same.
    """
    chance = random.Random(f"{strings} {knots}")
    names = list(COLOURS)
    rows: list[str] = []
    left = knots
    while left:
        pairs = (strings - len(rows) % 2) // 2
        tied = min(pairs, left)
        rows.append(" ".join([*(chance.choice(TOKENS) for _ in range(tied)), *["-"] * (pairs - tied)]))
        left -= tied
    head = {
        "benchmate": "1",
        "title": title,
        "family": "diagonal",
        "colours": "{" + ", ".join(f'{name}: "{value}"' for name, value in COLOURS.items()) + "}",
        "strings": "[" + ", ".join(chance.choice(names) for _ in range(strings)) + "]",
        "repeats": str(repeats),
    }
    lines = [f"{key}: {value}" for key, value in head.items()]
    return "\n".join([*lines, "rows:", *(f'  - "{row}"' for row in rows)]) + "\n"


def make(folder: Path, name: str, text: str, done: int, by: str = "rows") -> Made:
    """A piece of the design `text` with its first `done` steps tied, one event in the log for each of them.

    A piece worked by segments has its plan.
    """
    design, home = folder / f"{name}.yaml", folder / f"{name}-home"
    design.write_text(text, encoding="utf-8")
    with _at_home(home):
        kept = opening.Kept()
        try:
            held = opening.begin(kept, load(str(design)), opening.WorkingOptions(by), None).held
            plan = None
            if held.needs_plan:
                assert held.use_plan(held.plan())
                plan = packed(held.order)
            first, pressed = held.order.sequence[: max(0, done - PRESSED)], held.order.sequence[:done][-PRESSED:]
            if len(first):
                events = [("tie", number, number) for number in first]
                token = kept.holder.token
                size, done_already = held.whole.size, len(events)
                kept.pieces.begin(
                    held.title, held.file, held.way, plan, size, held.copy, token, None, events, done_already
                )
                held = opening.resume(kept, kept.pieces.all()[0]).held
            held.hold()
            for number in pressed:
                held.tie([number])
            held.let_go()
            return Made(design, home, held.progress.done, held.whole.size)
        finally:
            kept.close()


@contextmanager
def _at_home(home: Path) -> Iterator[None]:
    before = os.environ.get(HOME)
    os.environ[HOME] = str(home)
    try:
        yield
    finally:
        if before is None:
            del os.environ[HOME]
        else:
            os.environ[HOME] = before
