"""Designs to attack, pieces on them, and an independent reading of what a home holds."""

import json
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NamedTuple

from tests.faults.commands import forked
from tests.running import Done

BAND = """\
benchmate: 1
title: Peat and bracken
family: diagonal
colours: {peat: "#3b2a20", bracken: {css: "#b5651d", say: "rust bracken"}, mist: "#d9dfe0"}
strings: [peat, bracken, mist, bracken, peat, mist]
rows:
  - f b fb
  - f b
  - bf f b
  - fb f
repeats: 700
"""
"""Six strings, 10 knots a repeat, 7,000 knots; in most rows several knots can be tied next."""
PICTURE = """\
benchmate: 1
title: Two gulls
family: alpha
colours: {deep: "#0b3c5d", foam: "#f4f1de", rust: "#b5523b"}
base: deep
key: {".": deep, "#": foam, r: rust}
chart: |
  .##.r.
  #..#.r
  ##rr..
repeats: 60
"""
ROPE = """\
benchmate: 1
title: A rope for the gate
family: braid
colours: {deep: "#0b3c5d", foam: "#f4f1de"}
slots: 32
strands: {32: deep, 1: deep, 8: foam, 9: foam, 16: deep, 17: deep, 24: foam, 25: foam}
moves: [1 > 15, 17 > 31, 9 > 23, 25 > 7]
shift: -1
repeats: 64
"""
WRITTEN = """\
benchmate: 1
title: A loop to hang it by
family: steps
colours: {ink: "#14213d", sand: "#e5d3b3"}
strings: [ink, sand]
steps:
  - do: Fold both strings over a pin
    hint: Leave a loop as wide as a button
  - do: Twist them together
    times: 90
  - do: Knot the ends
"""
FAMILIES = {"band": BAND, "picture": PICTURE, "rope": ROPE, "written": WRITTEN}
"""A design of each family by the name of its file."""
STEP = re.compile(r"(\d+)/(\d+) ")


def write_designs(folder: Path) -> dict[str, Path]:
    """Writes the designs of all families to files; returns the files by their names."""
    folder.mkdir(parents=True, exist_ok=True)
    files = {name: folder / f"{name}.yaml" for name in FAMILIES}
    for name, file in files.items():
        file.write_text(FAMILIES[name], encoding="utf-8")
    return files


def work_on(design: Path, home: Path, answers: str, *options: str) -> Done:
    """Follows a piece in plain lines with these answers. Raises AssertionError when that fails on a sound home."""
    done = forked("follow", design, "--plain", *options, home=home, given=answers)
    assert done.status == 0, done
    return done


class Now(NamedTuple):
    """What a new start finds of one piece."""

    done: int
    by: str = "rows"
    from_right: bool = False
    wrong: bool = False
    changed: bool = False
    """Whether its design file is said to have changed."""


class Refused(Exception):
    """A new start does not give the piece; the text says how it ended."""

    def __init__(self, done: Done) -> None:
        super().__init__(f"status {done.status}: {(done.err or done.out).strip()}")
        self.done = done


def listed(home: Path) -> list[dict[str, Any]]:
    """The pieces that a new start lists. Raises Refused."""
    done = forked("pieces", "--json", home=home)
    if done.status or done.err:
        raise Refused(done)
    found = json.loads(done.out)
    assert isinstance(found, list)
    return found


def now(home: Path, design: Path) -> Now | None:
    """What a new start finds of the one piece begun from a design; None where there is none. Raises Refused.

    The list and the opened piece must agree, or the count that one of them tells is wrong.
    """
    found = [piece for piece in listed(home) if piece["file"] == str(design.resolve())]
    assert len(found) <= 1, f"{len(found)} pieces of {design}"
    opened = forked("follow", design, "--plain", home=home, given="q\n")
    if opened.status:
        raise Refused(opened)
    if not found:
        return None
    (piece,) = found
    side = piece.get("from") == "right"
    wrong, changed = "A knot is marked wrong." in opened.err, "The design file has changed" in opened.err
    return Now(piece["done"], piece["by"], side, wrong, changed)


def said_number(line: str) -> int | None:
    """The number of the step that a line of plain mode is about; None for another line."""
    found = STEP.match(line)
    return int(found[1]) if found else None


def last_number(lines: Sequence[str]) -> int | None:
    """The number of the step that the last step line is about."""
    return next((number for line in reversed(lines) if (number := said_number(line)) is not None), None)
