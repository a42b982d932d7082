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
DESIGNS, WRONG_DESIGNS, WRONG_PICTURES, WRONG_BRAIDS = 300, 220, 150, 150


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


def test_places_in_pictures_with_a_knot_in_another_colour(command: Command) -> None:
    """Every knot told is tried in every other colour, at every place."""
    chance = Random(1505)
    compared = 0
    while compared < WRONG_PICTURES:
        text = picture(chance)
        knots = [step["knotting"] for step in command(text, "order")["steps"]]
        done = chance.randint(1, len(knots))
        wrong = chance.randint(max(0, done - 8), done - 1)
        made = [*knots[:wrong], chance.choice(NAMES), *knots[wrong + 1 : done]]
        told = made[max(0, min(wrong, done - chance.choice((1, 3, 5, 8, 14)))) :]
        if chance.random() < 0.1:
            told = [chance.choice(NAMES), *told]
        found = command(text, "where", "--knots", " ".join(told))
        if found["places"]:
            assert "with_one_wrong" not in found
            continue
        expected = []
        fitting = []
        for place in range(len(knots) + 1):
            for step in range(place, max(0, place - len(told)), -1):
                # The base strings are deep, and no knot can be in a colour of which there is no string.
                for colour in {"deep", *knots} - {knots[step - 1]}:
                    otherwise = [*knots[: step - 1], colour, *knots[step:place]]
                    if ends(otherwise, told):
                        expected.append({"done": place, "knot": step, "made": [colour]})
                        fitting.append(otherwise)
        assert found["tell"] is None
        with_wrong = found["with_one_wrong"]
        assert with_wrong == {"places": expected[:200], "all": len(expected), "tell": to_tell(fitting)}
        compared += 1


def moved(
    order: Any, wrong: int = 0, made: tuple[int, int] | None = None
) -> Iterator[tuple[dict[int, str], list[str]]]:
    """What lies in the slots and the strands moved, at every place; move `wrong` is `made` so, None: left out.

    It ends before the first move that is not possible.
    """
    lies = {int(slot): colour for slot, colour in order["strings"].items()}
    shown: list[str] = []
    yield dict(lies), list(shown)
    for step in order["steps"]:
        move = made if step["n"] == wrong else (step["from"], step["to"])
        if move is not None:
            if move[0] not in lies or move[1] in lies:
                return
            lies[move[1]] = lies.pop(move[0])
            shown.append(lies[move[1]])
        yield dict(lies), list(shown)


def other_moves(move: tuple[int, int], slots: int) -> list[tuple[int, int] | None]:
    """Left out, the strand in another slot, or another strand in the slot."""
    source, target = move
    return [
        None,
        *((source, other) for other in range(1, slots + 1) if other not in move),
        *((other, target) for other in range(1, slots + 1) if other not in move),
    ]


def test_places_in_braids_with_a_wrong_move(command: Command) -> None:
    """Every move is tried in every other way, with all moves after it."""
    chance = Random(1506)
    compared = explained = 0
    while compared < WRONG_BRAIDS:
        text = braid(chance)
        order = command(text, "order")
        slots = int(text.partition("slots: ")[2].partition("\n")[0])
        steps = order["steps"]
        step = chance.choice(steps)
        made = chance.choice(other_moves((step["from"], step["to"]), slots))
        after = list(moved(order, step["n"], made))[step["n"] :]
        if not after:
            continue
        seen, shown = chance.choice(after)
        if chance.random() < 0.1:
            colours = list(seen.values())
            chance.shuffle(colours)
            seen = dict(zip(seen, colours, strict=True))
        told = told_at(chance, shown)
        given = [f"{slot}:{colour}" for slot, colour in seen.items()]
        found = command(text, "where", "--see", " ".join(given), "--knots", " ".join(told))
        if found["places"]:
            assert "with_one_wrong" not in found
            continue
        expected: dict[tuple[int, int], list[str]] = {}
        fitting: list[list[str]] = []
        for other in steps:
            for way in other_moves((other["from"], other["to"]), slots):
                for done, (lies, knots) in enumerate(moved(order, other["n"], way)):
                    if done >= other["n"] and lies == seen and ends(knots, told):
                        says = "-" if way is None else f"{way[0]} > {way[1]}"
                        expected.setdefault((done, -other["n"]), []).append(says)
                        fitting.append(knots)
        listed = [{"done": done, "move": -move, "made": expected[done, move]} for done, move in sorted(expected)]
        assert found["tell"] is None
        assert found["with_one_wrong"] == {"places": listed[:200], "all": len(listed), "tell": to_tell(fitting)}
        compared += 1
        explained += bool(listed)
    assert explained > WRONG_BRAIDS // 2
