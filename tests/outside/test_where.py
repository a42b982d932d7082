"""A lost place against trying every place: what hangs and what the last knots show, worked out knot by knot here."""

import json
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from random import Random
from typing import Any

import pytest

from benchmate.cli import main

Command = Callable[..., Any]
"""Runs a command of the program on the design, and reads its document."""
NAMES = ("deep", "foam", "rust", "sand")
VALUES = ("#0b3c5d", "#f4f1de", "#b5523b", "#e5d3b3")
KINDS = ("f", "b", "fb", "bf", "-")
SWAP, FROM_LEFT = ("f", "b"), ("f", "fb")
WAYS: tuple[list[str], ...] = (
    [],
    ["--by", "segments"],
    ["--from-right"],
    ["--mirror"],
    ["--mirror", "--by", "segments"],
)
DESIGNS, WRONG_DESIGNS = 300, 220


@pytest.fixture
def command(tmp_path: Path, home: Path, capsys: pytest.CaptureFixture[str]) -> Command:
    def run(text: str, name: str, *options: str) -> Any:
        file = tmp_path / "band.yaml"
        file.write_text(text)
        assert main([name, str(file), *options, "--json"]) == 0
        return json.loads(capsys.readouterr().out)

    return run


def head(family: str) -> str:
    colours = ", ".join(f'{name}: "{value}"' for name, value in zip(NAMES, VALUES, strict=True))
    return f"benchmate: 1\ntitle: Lost in the dunes\nfamily: {family}\ncolours: {{{colours}}}\n"


def diagonal(chance: Random, most_strings: int = 8, most_rows: int = 9) -> str:
    count = chance.randint(2, most_strings)
    colours = NAMES[: chance.randint(2, 4)]
    rows = [
        " ".join(chance.choices(KINDS, (4, 4, 2, 2, 1), k=(count - at % 2) // 2))
        for at in range(2 * chance.randint(1, most_rows // 2))
    ]
    strings = ", ".join(chance.choice(colours) for _ in range(count))
    text = "".join(f'  - "{row}"\n' for row in rows)
    return f"{head('diagonal')}strings: [{strings}]\nrows:\n{text}repeats: {chance.randint(1, 3)}\n"


def picture(chance: Random) -> str:
    columns, colours = chance.randint(1, 5), chance.randint(1, 4)
    rows = ["".join(chance.choice(".#rs"[:colours]) for _ in range(columns)) for _ in range(chance.randint(1, 6))]
    key = ", ".join(f'"{sign}": {name}' for sign, name in zip(".#rs", NAMES, strict=True))
    chart = "".join(f"  {row}\n" for row in rows)
    return f"{head('alpha')}base: deep\nkey: {{{key}}}\nchart: |\n{chart}repeats: {chance.randint(1, 3)}\n"


def braid(chance: Random) -> str:
    slots = chance.randint(4, 10)
    filled = chance.sample(range(1, slots + 1), chance.randint(2, slots - 1))
    lies, moves = set(filled), []
    for _ in range(chance.randint(1, 25)):
        source = chance.choice(sorted(lies))
        target = chance.choice(sorted(set(range(1, slots + 1)) - lies))
        lies = (lies - {source}) | {target}
        moves.append(f"{source} > {target}")
    strands = ", ".join(f"{slot}: {chance.choice(NAMES[:3])}" for slot in filled)
    return f"{head('braid')}slots: {slots}\nstrands: {{{strands}}}\nmoves: [{', '.join(moves)}]\nrepeats: 1\n"


def worked(order: Any, wrong: int = 0, made: str = "") -> Iterator[tuple[list[str], list[str]]]:
    """The colours that hang and those of the knots made, at every place; knot `wrong` is `made` so."""
    hanging: list[str] = list(order["strings"])
    knots: list[str] = []
    yield list(hanging), list(knots)
    for step in order["steps"]:
        left, right = (position - 1 for position in step["pair"])
        kind = made if step["n"] == wrong else step["knot"]
        if kind != "-":
            knots.append(hanging[left if kind in FROM_LEFT else right])
        if kind in SWAP:
            hanging[left], hanging[right] = hanging[right], hanging[left]
        yield list(hanging), list(knots)


def ends(knots: list[str], told: list[str]) -> bool:
    return len(knots) >= len(told) and knots[len(knots) - len(told) :] == told


def to_tell(fitting: list[list[str]]) -> int | None:
    """The least count of last knots that can leave fewer places; `fitting` are the knots made at each place."""
    for count in range(1, 13):
        for knots in fitting:
            told = knots[-count:]
            if sum(ends(others, told) for others in fitting) < len(fitting):
                return count
    return None


def check(found: Any, places: Sequence[tuple[object, list[str]]], seen: object, told: list[str]) -> None:
    fitting = [done for done, (hanging, knots) in enumerate(places) if hanging == seen and ends(knots, told)]
    assert found["places"] == fitting
    assert found["tell"] == to_tell([places[done][1] for done in fitting])


def told_at(chance: Random, knots: list[str]) -> list[str]:
    """Some of the last knots, now and then one too many or another colour."""
    count = chance.choice((0, 0, 1, 2, 3, 14))
    told = knots[-count:] if count else []
    if chance.random() < 0.15:
        told = [chance.choice(NAMES), *told]
    return told


def test_places_of_diagonal_bands(command: Command) -> None:
    chance = Random(1501)
    with_several = 0
    for _ in range(DESIGNS):
        text, way = diagonal(chance), chance.choice(WAYS)
        order = command(text, "order", *way)
        places = list(worked(order))
        seen, knots = chance.choice(places)
        told = told_at(chance, knots)
        found = command(text, "where", *way, "--see", " ".join(seen), "--knots", " ".join(told))
        check(found, places, seen, told)
        assert ("with_one_wrong" in found) is not bool(found["places"])
        with_several += len(found["places"]) > 1
    assert with_several > DESIGNS // 4


def test_places_of_pictures(command: Command) -> None:
    chance = Random(1502)
    for _ in range(DESIGNS // 2):
        text = picture(chance)
        knots = [step["knotting"] for step in command(text, "order")["steps"]]
        places = [(None, knots[:done]) for done in range(len(knots) + 1)]
        told = told_at(chance, chance.choice(places)[1])
        options = ["--knots", " ".join(told)] if told else []
        check(command(text, "where", *options), places, None, told)


def test_places_of_braids(command: Command) -> None:
    chance = Random(1503)
    for _ in range(DESIGNS // 2):
        text = braid(chance)
        order = command(text, "order")
        lies = {int(slot): colour for slot, colour in order["strings"].items()}
        moved: list[str] = []
        places = [(dict(lies), list(moved))]
        for step in order["steps"]:
            moved.append(lies.pop(step["from"]))
            lies[step["to"]] = moved[-1]
            places.append((dict(lies), list(moved)))
        seen, knots = chance.choice(places)
        told = told_at(chance, knots)
        given = [f"{slot}:{colour}" for slot, colour in seen.items()]
        chance.shuffle(given)
        check(command(text, "where", "--see", " ".join(given), "--knots", " ".join(told)), places, seen, told)


def test_places_that_one_wrong_knot_explains(command: Command) -> None:
    chance = Random(1504)
    compared = 0
    for _ in range(WRONG_DESIGNS):
        text, way = diagonal(chance, 6, 7), chance.choice(WAYS)
        order = command(text, "order", *way)
        size = len(order["steps"])
        if not size:
            continue
        wrong, made = chance.randint(1, size), chance.choice(KINDS)
        seen, knots = list(worked(order, wrong, made))[chance.randint(wrong, size)]
        told = told_at(chance, knots)
        found = command(text, "where", *way, "--see", " ".join(seen), "--knots", " ".join(told))
        if found["places"]:
            continue
        assert found["tell"] is None
        expected: dict[tuple[int, int], list[str]] = {}
        fitting: list[list[str]] = []
        for step in order["steps"]:
            for kind in KINDS:
                if kind == step["knot"]:
                    continue
                for done, (hanging, shown) in enumerate(worked(order, step["n"], kind)):
                    if done >= step["n"] and hanging == seen and ends(shown, told):
                        expected.setdefault((done, -step["n"]), []).append(kind)
                        fitting.append(shown)
        listed = [{"done": done, "knot": -knot, "made": expected[done, knot]} for done, knot in sorted(expected)]
        with_wrong = found["with_one_wrong"]
        assert with_wrong["all"] == len(listed)
        assert with_wrong["places"] == listed[:200]
        assert with_wrong["tell"] == to_tell(fitting)
        compared += bool(listed)
    assert compared > WRONG_DESIGNS // 4
