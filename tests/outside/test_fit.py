"""Wrists against the published tables, and repeats that fit against trying every number of them."""

import csv
import json
import random
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmate.craft.thread.fitting.fit import exact, fit
from benchmate.craft.thread.fitting.wrists import ADULTS, CHILDREN
from tests.charts import seeded
from tests.loaded import run

DATA = Path(__file__).parent / "data"
MM = st.decimals(min_value="0.1", max_value="400", places=1)
ROWS = {"diagonal": Fraction("1.3"), "alpha": Fraction("1.9")}
"""What a row adds by the shipped gauge of floss, mm."""


def table(name: str) -> list[dict[str, str]]:
    """The rows of a table; its first line names the source."""
    lines = (DATA / name).read_text(encoding="utf-8").splitlines()
    assert lines[0].startswith("# ")
    return list(csv.DictReader(lines[1:]))


def printed(*arguments: str | Path, home: Path) -> Any:
    done = run("fit", *arguments, "--json", home=home)
    assert (done.status, done.err) == (0, "")
    return json.loads(done.out)


def by_trying(band: Fraction, repeat: Fraction, most: int) -> int:
    """Of all numbers of repeats up to `most`, the one nearest to the band; of two, the higher."""
    return min(range(1, most + 1), key=lambda count: (abs(count * repeat - band), -count))


def test_every_adult_wrist_is_the_published_one(home: Path) -> None:
    adults = {each["who"]: each for each in printed("--sizes", home=home)["adults"]}
    lines = run("fit", "--sizes", home=home).out.splitlines()
    rows = [row for row in table("ansur2_wrist_summary.csv") if row["measure"] == "wristcircumference"]
    assert {row["sex"] for row in rows} == {"female", "male"}
    for row in rows:
        who = {"female": "women", "male": "men"}[row["sex"]]
        found = adults[who]
        assert found["measured"] == int(row["n"])
        assert found["mean"]["wrist_mm"] == round(float(row["mean_mm"]), 1)
        percentiles = {name.removeprefix("p").replace("_", "."): value for name, value in row.items() if name[0] == "p"}
        assert {each: wrist["wrist_mm"] for each, wrist in found["percentiles"].items()} == {
            each: float(value) for each, value in percentiles.items()
        }
        below = lines[next(at for at, line in enumerate(lines) if line.startswith(f"{who}, ")) + 1 :]
        for line, (each, value) in zip(below, percentiles.items(), strict=False):
            assert line.split() == [each, "%", "have", "at", "most", f"{round(float(value)) / 10:g}", "cm"]
    assert len(ADULTS) == 2


def test_every_wrist_of_a_child_is_the_published_one(home: Path) -> None:
    rows, said = table("children_wrist.csv"), run("fit", "--sizes", home=home).out
    children = {each["age"]: each for each in printed("--sizes", home=home)["children"]}
    assert len(rows) == 2 * len(children) == 2 * len(CHILDREN)
    for row in rows:
        child, key = children[int(row["age_y"])], {"boy": "boys", "girl": "girls"}[row["sex"]]
        mm = float(Decimal(row["mean_cm"]) * 10)
        assert child[key]["wrist_mm"] == mm
        name, year = row["source"][:-4].replace("Ozturk", "Öztürk"), row["source"][-4:]
        assert child["source"] == f"{name} and others, {year}"
        line = next(line for line in said.splitlines() if line.lstrip().startswith(f"{row['age_y']} years"))
        assert f"{key} {round(mm) / 10:g} cm" in line
        assert child["source"] in line


def test_all_wrists_are_in_inches_where_the_maker_wants_them(home: Path) -> None:
    home.mkdir(exist_ok=True)
    (home / "settings.yaml").write_text("units: inches\n", encoding="utf-8")
    said = run("fit", "--sizes", home=home).out
    # By hand: 154 mm are 48.50 eighths of an inch, 187 mm 58.90, 104 mm 32.76.
    assert "50 % have at most 6⅛ in\n" in said
    assert "90 % have at most 7⅜ in\n" in said
    assert "3 years: boys 4⅛ in" in said
    assert " cm" not in said


CHARTS = {
    "diagonal": """\
benchmate: 1
title: Fence by the mill
family: diagonal
colours: {{ash: "#7a7f86", clay: "#b5654a"}}
strings: [ash, clay, clay, ash]
rows:
{rows}
repeats: 2
""",
    "alpha": """\
benchmate: 1
title: Panes
family: alpha
colours: {{ash: "#7a7f86", clay: "#b5654a"}}
base: ash
key: {{".": ash, "#": clay}}
chart: |
{rows}
""",
}


def seeded_design(chance: random.Random, folder: Path) -> tuple[Path, str, int]:
    """A design of a seeded number of rows; an even number, so that a diagonal one can repeat."""
    family = chance.choice(["diagonal", "alpha"])
    rows = 2 * chance.randint(1, 12)
    odd, even = ("  - f b", "  - f") if family == "diagonal" else ("  .#.", "  #.#")
    file = folder / f"{family}-{rows}.yaml"
    file.write_text(CHARTS[family].format(rows="\n".join([odd, even] * (rows // 2))), encoding="utf-8")
    return file, family, rows


def test_the_repeats_are_the_best_of_all_that_there_are(home: Path, tmp_path: Path) -> None:
    chance = random.Random(14)
    for _ in range(60):
        file, family, rows = seeded_design(chance, tmp_path)
        wrist, ease, gap = (
            Decimal(chance.randint(*limits)) / chance.choice([1, 2, 10]) for limits in ((60, 400), (-20, 60), (0, 40))
        )
        band = Fraction(wrist + ease - gap)
        if band <= 0:
            continue
        found = printed(file, "--wrist", str(wrist), "--ease", str(ease), "--gap", str(gap), home=home)
        repeat = ROWS[family] * rows
        repeats = by_trying(band, repeat, int(band / repeat) + 3)
        assert found == {
            "band_mm": pytest.approx(float(band), abs=0.0501),
            "row_mm": float(ROWS[family]),
            "rows_per_repeat": rows,
            "repeats": repeats,
            "rows": repeats * rows,
            "length_mm": pytest.approx(float(repeats * repeat), abs=0.0501),
        }


@seeded
@given(band=MM, row=st.integers(1, 400), rows=st.integers(1, 60))
def test_no_other_number_of_repeats_is_nearer(band: Decimal, row: int, rows: int) -> None:
    height = row / 100
    found = fit(band, height, rows)
    repeat = Fraction(row, 100) * rows
    assert found.repeats == by_trying(Fraction(band), repeat, int(Fraction(band) / repeat) + 3)
    assert Fraction(found.length_mm) == found.repeats * repeat


@seeded
@given(one=MM, other=MM, row=st.floats(0.3, 6.0), rows=st.integers(1, 60))
def test_a_larger_wrist_never_takes_fewer_repeats(one: Decimal, other: Decimal, row: float, rows: int) -> None:
    small, large = sorted([one, other])
    assert fit(small, row, rows).repeats <= fit(large, row, rows).repeats


@seeded
@given(repeats=st.integers(1, 500), row=st.integers(1, 400), rows=st.integers(1, 60))
def test_half_way_between_two_it_is_the_longer(repeats: int, row: int, rows: int) -> None:
    # Half-way stays half-way although 1.3 is no binary number.
    height = row / 100
    half_way = exact(height) * rows * (2 * repeats + 1) / 2
    assert fit(half_way, height, rows).repeats == repeats + 1


def test_half_way_on_the_command_line(home: Path, tmp_path: Path) -> None:
    file = tmp_path / "two.yaml"
    file.write_text(CHARTS["diagonal"].format(rows="  - f b\n  - f"), encoding="utf-8")
    # A repeat is 2.6 mm: 1.3 mm are half of one, 63.7 mm 24 and a half.
    for band, repeats in (("1.3", 1), ("3.9", 2), ("63.7", 25), ("63.69", 24)):
        found = printed(file, "--wrist", band, "--ease", "0", home=home)
        assert found["repeats"] == repeats, band


def test_a_design_with_the_wrist_of_every_size(home: Path) -> None:
    document = printed("tidewater-chevron", "--sizes", home=home)
    (women, men) = document["adults"]
    for wrist in (women["mean"], *men["percentiles"].values(), document["children"][0]["boys"]):
        # Six rows a repeat; the means are not rounded before the repeats are found.
        assert wrist["repeats"] == by_trying(Fraction(str(wrist["wrist_mm"])) + 15, ROWS["diagonal"] * 6, 60)
