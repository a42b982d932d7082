"""The keys from seeing that something is wrong to the first right move: `python -m tests.measure.keys_pressed`.

In every shipped diagonal band, and in wider ones, makers tie one knot otherwise than charted and notice it some rows
late. They press what the bench asks for, by what they see, with the fewest keys it offers: they correct the strings
that hang otherwise, or point at the knot where only its own colour shows it.
"""

import argparse
import tempfile
from collections.abc import Iterator, Sequence
from pathlib import Path
from random import Random
from statistics import mean
from typing import NamedTuple
from unittest.mock import patch

from benchmate import piece_opening as opening
from benchmate.craft.knots import Knot
from benchmate.craft.start_band_finish import WholePiece
from benchmate.craft.trouble.made_otherwise import Made
from benchmate.design_files.load import load
from benchmate.design_files.shelf import shipped
from benchmate.families.registry import trouble_of
from benchmate.piece_questions.trouble.hanging_colours import HangingColours
from benchmate.piece_questions.trouble.knot_places import colour_shown, place_across
from benchmate.piece_questions.trouble.what_went_wrong import WhatWentWrong
from benchmate.store.open_piece import OpenPiece
from benchmate.store.places import HOME
from tests.measure.pieces import band

MOST = 20
"""The most keys there may be."""
LATE = 6
"""Within so many rows a mistake is noticed."""
WIDE = (20, 24)
"""Strings of the other bands."""
OPENS, CHOOSES = ["u"], ["1"]


class Told(NamedTuple):
    """How one mistake went: where it was, whether the strings showed it, and the keys."""

    design: str
    step: int
    strings: bool
    keys: Sequence[str]


def correcting(hanging: HangingColours, seen: Sequence[str], letters: dict[str, str]) -> list[str]:
    """The keys that correct the strings; each time the one that is reached with the fewest, by arrows or its number."""
    keys: list[str] = []
    while left := [at for at, name in enumerate(hanging.colours) if name != seen[at]]:
        to = min(((at, _towards(hanging, at)) for at in left), key=lambda each: len(each[1]))
        for key in [*to[1], letters[seen[to[0]]]]:
            keys.append(key)
            if key in ("left", "right"):
                hanging.walk(1 if key == "right" else -1)
            else:
                assert hanging.type(key) or hanging.go_to(key)
    return keys


def _towards(hanging: HangingColours, to: int) -> Sequence[str]:
    count, at = len(hanging.colours), hanging.at
    right, left = (to - at) % count, (at - to) % count
    ways: list[Sequence[str]] = [["left"] * left, str(to + 1)]
    ways.append(["right"] * (to + 1 if at == count else right))
    return min(ways, key=len)


def walking(held: OpenPiece, to: int) -> int:
    """The fewest arrow keys from the knot tied last to another one."""
    history = list(held.progress.history)
    place = {number: at for at, number in enumerate(history)}
    seen, reached, keys = {len(history) - 1}, [len(history) - 1], 0
    while place[to] not in seen:
        keys += 1
        reached = [at for each in reached for at in _beside(held, history, place, each) if at not in seen]
        seen.update(reached)
    return keys


def _beside(held: OpenPiece, history: Sequence[int], place: dict[int, int], at: int) -> Iterator[int]:
    whole = held.whole
    yield from (each for each in (at - 1, at + 1) if 0 <= each < len(history))
    row, across = whole.row_of(history[at]), place_across(whole, history[at])
    for other in (row - 1, row + 1):
        if 1 <= other <= whole.rows:
            tied = [number for number in range(*whole.span(other)) if number in place]
            if tied:
                yield place[min(tied, key=lambda number: abs(place_across(whole, number) - across))]


def told(name: str, held: OpenPiece, step: int, made: Made) -> Told:
    """A mistake from `u` to the first right move."""
    piece = held.whole.made_otherwise({step: made})
    seen = _hanging(held, piece)
    went = WhatWentWrong(held)
    letters = {colour.name: colour.letter for colour in went.colours}
    if seen != went.believed:
        hanging = HangingColours(went.believed, letters)
        keys = ["s", *correcting(hanging, seen, letters), "enter"]
    else:
        shown = colour_shown(piece, step)
        keys = [*["arrow"] * walking(held, step), "c"]
        if shown == colour_shown(held.whole, step):
            # It looks as charted: there is nothing to see.
            return Told(name, step, False, [])
        went.point(step, shown)
        keys += ["-" if shown is None else letters[shown], "enter"]
    went.hang(seen)
    went.found = went.look()
    while (question := went.question) or len(went.explanations) > 1:
        if question is None:
            # Nothing tells them apart: the nearest one is as good as any.
            keys.append("enter")
            went.choose(went.explanations[0])
            went.found = went.look()
            continue
        shown = colour_shown(piece, question.step)
        key = "-" if shown is None else letters[shown]
        keys.append(key)
        assert went.answer(key)
        went.found = went.look()
    if went.wrong is None:
        keys.append("digit")
    return Told(name, step, seen != went.believed, [*OPENS, *keys, *CHOOSES])


def _hanging(held: OpenPiece, piece: WholePiece) -> list[str]:
    strings = piece.at_start()
    for number in held.progress.history:
        piece.change_places(number, strings)
    return [piece.main.design.body.colour_of(string) for string in strings]


def mistakes(held: OpenPiece, chance: Random, count: int, name: str) -> Iterator[Told]:
    """So many mistakes in a piece, each noticed up to `LATE` rows late."""
    main = held.whole.main
    for _ in range(count):
        step = main.first + chance.randrange(main.work.size)
        late = chance.randint(0, LATE * main.work.size // main.work.rows)
        held.jump_to(held.order.sequence[: held.order.place[step] + 1 + late])
        how = held.whole.how_made(step)
        yield told(name, held, step, chance.choice([made for made in (*Knot, None) if made is not how]))


def measured(count: int, seed: int) -> list[Told]:
    """`count` mistakes in each band."""
    found: list[Told] = []
    with tempfile.TemporaryDirectory() as folder, patch.dict("os.environ", {HOME: folder}):
        kept = opening.Kept()
        files = {Path(name).stem: name for name in shipped() if trouble_of(load(name).design.family).knows_ways}
        for strings in WIDE:
            wide = Path(folder) / f"wide-{strings}.yaml"
            wide.write_text(band("Wide", strings, 40 * strings), encoding="utf-8")
            files[f"{strings} strings"] = str(wide)
        try:
            for name, file in files.items():
                chance = Random(f"{seed} {name}")
                held = opening.follow(kept, file, opening.WorkingOptions("rows"), new=True).held
                held.hold()
                found += mistakes(held, chance, count, name)
                held.let_go()
        finally:
            kept.close()
    return found


def table(found: Sequence[Told]) -> str:
    """Mean and worst for each band, and in all."""
    lines = [f"{'band':<26} {'mistakes':>8} {'mean':>6} {'worst':>6} {'over ' + str(MOST):>8}"]
    by_name: dict[str, list[Told]] = {}
    for each in found:
        if each.keys:
            by_name.setdefault(each.design, []).append(each)
            by_name.setdefault("all: the strings tell" if each.strings else "all: pointed at", []).append(each)
    for name, tolds in by_name.items():
        keys = [len(each.keys) for each in tolds]
        over = sum(count > MOST for count in keys)
        lines.append(f"{name:<26} {len(keys):>8} {mean(keys):>6.1f} {max(keys):>6} {over:>8}")
    return "\n".join(lines)


def main(arguments: Sequence[str] | None = None) -> int:
    """Prints the table; returns the exit status, 1 where a mistake took more than `MOST` keys."""
    parser = argparse.ArgumentParser(prog="python -m tests.measure.keys_pressed", description=__doc__)
    parser.add_argument("--mistakes", type=int, default=40, help="how many in each band (default: 40)")
    parser.add_argument("--seed", type=int, default=0, help="the seed (default: 0)")
    options = parser.parse_args(arguments)
    found = measured(options.mistakes, options.seed)
    print(table(found))
    for each in sorted(found, key=lambda each: -len(each.keys))[:5]:
        print(each.design, each.step, " ".join(each.keys))
    return int(any(len(each.keys) > MOST for each in found))


if __name__ == "__main__":
    raise SystemExit(main())
