"""The thread of a band against arithmetic by hand, common practice, and a recount that shares no code with ours.

Sources are named at each check. Common practice has no source: those bands are wide, and hold the sum as a whole.
"""

import json
import math
from collections import Counter
from itertools import pairwise
from pathlib import Path
from random import Random
from typing import Any

import pytest

from benchmate.craft.design import Design
from benchmate.craft.thread.cut_list import cut_list
from benchmate.craft.thread.estimate import Estimate
from benchmate.craft.thread.gauge import FLOSS, THICKNESS
from benchmate.craft.thread.kinds import thickness_of_tex
from benchmate.design_files.load import parse
from tests.loaded import run


def design(text: str) -> Design:
    """The design in a text."""
    found, problems = parse(text)
    assert found is not None, problems
    return found


def band(title: str, strings: list[str], rows: list[str], repeats: int = 1) -> str:
    """The text of a diagonal design with a colour for each name."""
    colours = ", ".join(f"{name}: teal" for name in dict.fromkeys(strings))
    lines = "\n".join(f"  - {row}" for row in rows)
    return (
        f"benchmate: 1\ntitle: {title}\nfamily: diagonal\ncolours: {{{colours}}}\n"
        f"strings: [{', '.join(strings)}]\nrepeats: {repeats}\nrows:\n{lines}\n"
    )


def test_a_knot_is_two_turns_of_a_helix_and_its_crossing() -> None:
    """Arithmetic by hand: a turn about a core as thick as the thread, which climbs one thickness, winds on radius d.

    Its length is the diagonal of a rectangle 2πd wide and d high: 6.362 d; two turns 12.72 d. With crossing and way out
    13 to 16 d (the crossing is an estimate).
    """
    turn = math.hypot(2 * math.pi, 1)
    assert round(turn, 3) == 6.362
    # The same length, added up along the curve in a thousand chords.
    at = [(math.cos(a), math.sin(a), a / (2 * math.pi)) for a in (2 * math.pi * step / 1000 for step in range(1001))]
    assert sum(math.dist(*pair) for pair in pairwise(at)) == pytest.approx(turn, abs=1e-4)
    assert 2 * turn == pytest.approx(12.7, abs=0.05)
    assert 13 <= FLOSS.made_mm / THICKNESS <= 16
    # A string that changes places runs a diagonal of at least 2.1 d; one that stays runs nearly straight.
    assert FLOSS.carried_mm / THICKNESS >= 2.1
    assert FLOSS.row_mm <= FLOSS.stayed_mm < FLOSS.carried_mm


def test_thickness_from_linear_density() -> None:
    """Peirce (1937): d in inches is 1 / (28 √Ne); and by definition Tex · Ne = 590.5, so d is 0.0373 √tex mm."""
    for tex in (20, 100, 225, 600):
        inches = 1 / (28 * math.sqrt(590.5 / tex))
        assert thickness_of_tex(tex) == pytest.approx(inches * 25.4, rel=0.002)
    assert round(thickness_of_tex(100), 3) == 0.373


@pytest.mark.parametrize("strings", [4, 6, 8])
def test_a_plain_stripe_of_a_wrist(strings: int) -> None:
    """Common practice: about a metre for the string that works hardest in a band of 14 to 18 cm.

    And 80 to 95 cm a string, before the margin, for a band of 16 cm.
    """
    names = [f"s{number}" for number in range(strings)]
    rows = [" ".join("f" for _ in range((strings - start) // 2)) for start in (0, 1)]
    for length in (140, 160, 180):
        cuts = cut_list(design(band("Stripe", names, rows)), Estimate(), repeats=round(length / 1.3 / 2))
        assert cuts.band_mm == pytest.approx(length, abs=2)
        assert 850 <= max(each.cut_mm for each in cuts.strings) <= 1250
        before_margin = sum(each.needs_mm for each in cuts.strings) / strings + FLOSS.start_mm + FLOSS.finish_mm
        assert length != 160 or 800 <= before_margin <= 950


def test_a_string_that_only_carries_takes_much_less() -> None:
    """Common practice: 1.0 to 1.6 times the length of the band. That which makes every knot takes 4 and more."""
    for rows in (
        ["f", '""', "b", '""'],
        ["fb", '""', "fb", '""'],
        ["f", '{start: 1, knots: "b"}', "f", '{start: 1, knots: "b"}', '{start: 2, knots: ""}'],
        ["fb", '{start: 1, knots: "fb"}', "fb", '{start: 1, knots: "fb"}', '{start: 2, knots: ""}'],
    ):
        cuts = cut_list(design(band("Wrapped", ["a", "b"], rows)), Estimate(), repeats=round(160 / 1.3 / len(rows)))
        maker, carrier = cuts.strings
        assert (maker.counts.carried, carrier.counts.made) == (0, 0)
        assert 1.0 <= carrier.needs_mm / cuts.band_mm <= 1.6
        assert maker.needs_mm / cuts.band_mm >= 4
        assert carrier.cut_mm < maker.cut_mm / 1.5


KINDS_OF_KNOT = {"f": (0, True), "b": (1, True), "fb": (0, False), "bf": (1, False)}
"""Which of the two strings makes the knot, and whether they change places."""


def counted_by_hand(strings: int, rows: list[tuple[int, list[str]]], repeats: int) -> list[Counter[str]]:
    """What each string does, from hanging the strings and going through the tokens one by one."""
    hanging = list(range(strings))
    found = [Counter[str]() for _ in range(strings)]
    for start, tokens in rows * repeats:
        busy = set()
        for at, token in enumerate(tokens):
            place = start - 1 + 2 * at
            if token == "-":
                continue
            makes, swaps = KINDS_OF_KNOT[token]
            pair = hanging[place : place + 2]
            found[pair[makes]]["made"] += 1
            found[pair[1 - makes]]["carried" if swaps else "stayed"] += 1
            busy |= {*pair}
            if swaps:
                hanging[place : place + 2] = reversed(pair)
        for string in range(strings):
            found[string]["waited"] += string not in busy
    return found


def test_counts_of_random_bands() -> None:
    """Against the recount above, on 80 seeded bands with gaps, odd starts and empty rows."""
    random = Random(1412)
    for _ in range(80):
        strings, repeats = random.randint(2, 9), random.randint(1, 4)
        rows = []
        for number in range(random.randint(1, 6) * 2):
            start = random.choice((number % 2 + 1, number % 2 + 1, random.randint(1, strings)))
            tokens = [random.choice((*KINDS_OF_KNOT, "-")) for _ in range((strings - start + 1) // 2)]
            rows.append((start, tokens))
        if rows[0][0] == rows[-1][0]:
            repeats = 1
        texts = [f'{{start: {start}, knots: "{" ".join(tokens)}"}}' for start, tokens in rows]
        names = [random.choice(("ash", "elm", "oak")) for _ in range(strings)]
        cuts = cut_list(design(band("Random", names, texts, repeats)), Estimate())
        for each, by_hand in zip(cuts.strings, counted_by_hand(strings, rows, repeats), strict=True):
            assert each.counts._asdict() == {key: by_hand[key] for key in ("made", "carried", "stayed", "waited")}
            needs = (
                10.5 * by_hand["made"] + 1.95 * by_hand["carried"] + 1.4 * by_hand["stayed"] + 1.3 * by_hand["waited"]
            )
            assert each.needs_mm == pytest.approx(needs)
            assert each.spare_mm == pytest.approx(needs / 5)
            assert 0 <= each.cut_mm - (1.2 * needs + 250) < 10.000001
            assert each.cut_mm % 10 == 0


def leading_by_hand(steps: list[dict[str, Any]]) -> dict[int, tuple[str, int, float]]:
    """Colour, knots and floats of each leading string, from the steps that `order` lists.

    After a knot to the right the string hangs at the right of its column, after one to the left at the left; it is
    wanted at the side from which its next knot begins. A float is the straight way between.
    """
    found: dict[int, tuple[str, int, float]] = {}
    hangs: dict[int, tuple[int, int]] = {}
    in_hand = None
    for step in steps:
        string, row, column = step["leading"], step["row"], step["column"]
        left, right = (row, column - 1), (row, column)
        begins, ends = (left, right) if step["knot"] == "f" else (right, left)
        colour, knots, floats = found.get(string, (step["knotting"], 0, 0.0))
        if string != in_hand and string in hangs:
            before = hangs[string]
            across, up = abs(begins[1] - before[1]), begins[0] - before[0]
            assert across <= 5
            assert up - 1 <= 5
            floats += math.sqrt((across * 2.45) ** 2 + (up * 1.9) ** 2)
        assert colour == step["knotting"]
        found[string] = colour, knots + 1, floats
        hangs[string], in_hand = ends, string
    return found


def fewest_by_hand(rows: list[str], first_left: bool) -> tuple[int, float]:
    """The fewest leading strings and then the least thread in floats, from trying every way to go on with a string."""
    stretches: list[tuple[str, tuple[int, int], tuple[int, int]]] = []
    for number, row in enumerate(rows):
        right = first_left == (number % 2 == 0)
        for at in range(len(row)) if right else range(len(row) - 1, -1, -1):
            begins, ends = ((number, at), (number, at + 1)) if right else ((number, at + 1), (number, at))
            if stretches and stretches[-1][0] == row[at]:
                stretches[-1] = (row[at], stretches[-1][1], ends)
            else:
                stretches.append((row[at], begins, ends))
    best = (len(stretches) + 1, math.inf)

    def go_on(at: int, waiting: list[int], strings: int, floats: float) -> None:
        nonlocal best
        if (strings, floats) >= best:
            return
        if at == len(stretches):
            best = (strings, floats)
            return
        colour, begins, _ = stretches[at]
        for other in waiting:
            before, _, ends = stretches[other]
            across, up = abs(begins[1] - ends[1]), begins[0] - ends[0]
            if before == colour and across <= 5 and up <= 6:
                rest = [each for each in waiting if each != other]
                go_on(at + 1, [*rest, at], strings, floats + math.hypot(across * 2.45, up * 1.9))
        go_on(at + 1, [*waiting, at], strings + 1, floats)

    go_on(0, [], 0, 0.0)
    return best


def test_stretches_and_floats_of_random_pictures(tmp_path: Path) -> None:
    """Against the recount from `order`, and the best of all plans, on seeded pictures of up to nine knots and more."""
    random = Random(2611)
    for number in range(8):
        columns, rows = random.randint(1, 5), random.randint(1, 3)
        chart = ["".join(random.choice("xo.") for _ in range(columns)) for _ in range(rows)]
        first = random.choice(("left", "right"))
        file = tmp_path / f"{number}.yaml"
        lines = "\n".join(f"  {row}" for row in chart)
        file.write_text(
            "benchmate: 1\ntitle: Random\nfamily: alpha\ncolours: {a: teal, b: gold, c: navy}\nbase: a\n"
            f'key: {{x: a, o: b, ".": c}}\nfirst: {first}\nchart: |\n{lines}\n',
            encoding="utf-8",
        )
        by_hand = leading_by_hand(json.loads(run("order", file, "--json", home=tmp_path).out)["steps"])
        document = json.loads(run("thread", file, "--json", home=tmp_path).out)
        for each in document["leading"]:
            colour, knots, floats = by_hand[each["leading"]]
            assert (each["colour"], each["knots"]) == (colour, knots)
            assert each["floats_mm"] == pytest.approx(floats, abs=0.051)
            needs = knots * 10.5 + floats
            assert each["needs_mm"] == pytest.approx(needs, abs=0.051)
            assert each["spare_mm"] == pytest.approx(needs / 5, abs=0.051)
            assert 0 <= each["cut_mm"] - (1.2 * needs + 180) < 10.000001
        fewest = fewest_by_hand(chart, first == "left")
        assert len(document["leading"]) == len(by_hand) == fewest[0]
        assert sum(floats for _, _, floats in by_hand.values()) == pytest.approx(fewest[1])
        assert document["strings"][0]["needs_mm"] == pytest.approx(rows * 1.9, abs=0.051)
        assert document["band_mm"] == pytest.approx(rows * 1.9, abs=0.051)
