"""The shipped designs, read and worked independently of the program: colours, repeats, braids, letters, words."""

import re
from collections.abc import Iterator
from itertools import combinations
from pathlib import Path
from typing import Any, get_args

import numpy as np
import pytest
import yaml
from PIL import ImageColor

from benchmate.cli import main
from benchmate.craft.colours.colour_difference import Kind, difference, seen_with
from benchmate.design_files.shelf import shipped
from tests.reference_voice import Asked, rendered

FOUND: dict[str, dict[str, Any]] = {
    Path(path).stem: yaml.load(Path(path).read_text(encoding="utf-8"), Loader=yaml.CSafeLoader) for path in shipped()
}

LEAST_DIFFERENCE = 15.0
"""Our own bound: the CIEDE2000 difference between any two colours of a band, with full or colour-blind vision."""
ROW_MM = {"diagonal": 1.3, "alpha": 1.9}
"""The length of a row in six-strand floss: derived from the thickness of the thread."""
BAND_MM = (140, 180)
"""The usual length of a band without its ties, in mm: common practice."""
MOST_WORDS = 7
"""Our own bound for the instruction of a written step, so that it is heard, and read in large type, at once."""
SPARSE, SHORT = 3.0, 5.0
"""The longest prompts of these levels, in seconds at 150 words a minute."""
END_PAUSE = 0.38
"""Seconds of silence that the engine puts after a text, at that rate."""
MOST_STEPS = 3000
"""Our own bound: nobody sits at a shipped design for weeks."""


def of_family(*families: str) -> list[str]:
    """The names of the designs in these families."""
    return [name for name, design in FOUND.items() if design["family"] in families]


def colours_of(name: str) -> list[str]:
    """The values of a design's colours as written, those along a variegated thread one by one."""
    written = [each["css"] if isinstance(each, dict) else each for each in FOUND[name]["colours"].values()]
    lists = [each if isinstance(each, list) else [each] for each in written]
    return [value_of(each.split()[0]) for parts in lists for each in parts]


def value_of(colour: str) -> str:
    """A colour as `#rrggbb`, also where it is written by its name."""
    red, green, blue = ImageColor.getrgb(colour)[:3]
    return f"#{red:02x}{green:02x}{blue:02x}"


def tokens(text: str) -> Iterator[str]:
    """The tokens of a row, `f*4` written out."""
    for token in text.split():
        knot, _, times = token.partition("*")
        yield from [knot] * int(times or 1)


def rows_of(name: str) -> list[tuple[int, list[str]]]:
    """For every row, the position of its first pair, from 0, and its tokens."""
    found = []
    for number, row in enumerate(FOUND[name]["rows"]):
        if isinstance(row, dict):
            found.append((row["start"] - 1, list(tokens(row["knots"]))))
        else:
            found.append((number % 2, list(tokens(row))))
    return found


def drawn(hanging: np.ndarray, rows: list[tuple[int, list[str]]]) -> tuple[np.ndarray, np.ndarray]:
    """The colours that show, row by row at the left position of their pair (-1: none), and how the strings hang then.

    By the table of knots: the knotting string gives the colour, and `f` and `b` swap the two strings.
    """
    hanging, picture = hanging.copy(), np.full((len(rows), len(hanging)), -1)
    for line, (first, knots) in zip(picture, rows, strict=True):
        for left, knot in zip(range(first, len(hanging) - 1, 2), knots, strict=True):
            if knot != "-":
                line[left] = hanging[left if knot in ("f", "fb") else left + 1]
            if knot in ("f", "b"):
                hanging[[left, left + 1]] = hanging[[left + 1, left]]
    return picture, hanging


def test_check_finds_no_problem(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", *shipped()]) == 0
    said, complained = capsys.readouterr()
    assert complained == ""
    assert [line.split(": ok, ")[0] for line in said.splitlines()] == shipped()


@pytest.mark.parametrize("name", of_family("diagonal", "alpha", "braid"))
@pytest.mark.parametrize("kind", [None, *get_args(Kind)])
def test_colours_are_distinct_for_every_kind_of_vision(name: str, kind: Kind | None) -> None:
    seen = colours_of(name) if kind is None else [seen_with(value, kind) for value in colours_of(name)]
    assert len(seen) >= 2
    assert min(difference(one, other) for one, other in combinations(seen, 2)) >= LEAST_DIFFERENCE


@pytest.mark.parametrize("name", of_family("diagonal"))
def test_two_repeats_are_one_repeat_twice(name: str) -> None:
    strings, rows = FOUND[name]["strings"], rows_of(name)
    names = sorted(set(strings))
    hanging = np.array([names.index(each) for each in strings])
    once, after = drawn(hanging, rows)
    # The second repeat has the same starts as the first, and they alternate across the seam.
    assert rows[0][0] != rows[-1][0]
    twice, _ = drawn(hanging, rows * 2)
    assert np.array_equal(after, hanging)
    assert np.array_equal(twice, np.vstack([once, once]))
    assert set(once[once >= 0]) == set(range(len(names)))


@pytest.mark.parametrize("name", of_family("diagonal", "alpha"))
def test_bands_fit_a_wrist(name: str) -> None:
    design = FOUND[name]
    rows = len(design["rows"] if design["family"] == "diagonal" else design["chart"].splitlines())
    assert BAND_MM[0] <= rows * design["repeats"] * ROW_MM[design["family"]] <= BAND_MM[1]


@pytest.mark.parametrize("name", of_family("diagonal", "alpha", "braid"))
def test_no_design_has_too_many_steps(name: str) -> None:
    design = FOUND[name]
    if design["family"] == "diagonal":
        once = sum(knot != "-" for _, knots in rows_of(name) for knot in knots)
    elif design["family"] == "alpha":
        once = sum(map(len, design["chart"].splitlines()))
    else:
        once = len(design["moves"])
    assert once * design["repeats"] <= MOST_STEPS


@pytest.mark.parametrize("name", of_family("alpha"))
def test_charts_use_every_colour_and_have_an_even_number_of_rows(name: str) -> None:
    design = FOUND[name]
    lines = design["chart"].splitlines()
    assert 7 <= len(lines[0]) <= 21
    assert {len(line) for line in lines} == {len(lines[0])}
    assert len(lines) % 2 == 0
    assert set("".join(lines)) == set(design["key"])
    assert {*design["key"].values(), design["base"]} == set(design["colours"])


class Disk:
    """A disk worked by hand, with its strands, each numbered by the slot it starts from."""

    def __init__(self, name: str) -> None:
        design = FOUND[name]
        self.slots: int = design["slots"]
        self.moves = [tuple(map(int, move.split(">"))) for move in design["moves"]]
        self.shift: int = design.get("shift", 0)
        self.lies = {slot: slot for slot in design["strands"]}
        self.moved: set[int] = set()
        self.passed: list[int] = []

    def work(self, repeat: int) -> None:
        """Work one repeat, counted from 0. `passed` counts the strands each move passes, positive clockwise."""
        for written in self.moves:
            here, there = ((slot - 1 + repeat * self.shift) % self.slots + 1 for slot in written)
            strand = self.lies.pop(here)
            assert there not in self.lies
            clockwise = (there - here) % self.slots
            turn = 1 if clockwise < self.slots / 2 else -1
            between = {
                (here - 1 + turn * step) % self.slots + 1 for step in range(1, turn * (there - here) % self.slots)
            }
            self.passed.append(turn * len(between & set(self.lies)))
            self.lies[there] = strand
            self.moved.add(strand)

    @property
    def home(self) -> bool:
        """Whether every strand is in the slot it started from."""
        return all(slot == strand for slot, strand in self.lies.items())


@pytest.mark.parametrize("name", of_family("braid"))
def test_strands_return_to_their_slots_when_the_notes_say(name: str) -> None:
    design, disk = FOUND[name], Disk(name)
    said = re.search(r"after (\d+) (repeats|moves)", design["notes"])
    assert said is not None
    strands = len(disk.lies)
    homes = []
    for repeat in range(design["repeats"]):
        disk.work(repeat)
        assert len(disk.lies) == strands
        if disk.home:
            homes.append(repeat + 1)
    first = int(said[1]) if said[2] == "repeats" else int(said[1]) // len(disk.moves)
    assert homes[0] == first
    assert homes[-1] == design["repeats"]
    assert disk.moved == set(design["strands"])


@pytest.mark.parametrize(
    ("name", "passed"),
    [
        ("mooring-line", [2, 2, 2, 2]),
        ("four-square-cord", [2, 0, 2, 0, 0, -2, 0, -2, 0, 0]),
        ("flat-plait-of-five", [2, 0, 0, -2, 0, 0]),
        ("seven-round-a-card", [-2]),
    ],
)
def test_strands_passed_by_each_braid_move(name: str, passed: list[int]) -> None:
    # Derived: a cord twists if its strands pass more in one direction than in the other; a flat plait alternates.
    disk = Disk(name)
    disk.work(0)
    assert disk.passed == passed
    assert ("does not twist" in FOUND[name]["notes"]) == (sum(passed) == 0 and "flat" not in name)


def test_edge_strings_stay_at_the_edge_as_the_notes_say() -> None:
    for name in ("bead-rail", "framed-quince"):
        for first, knots in rows_of(name):
            assert first == 1 or (knots[0], knots[-1]) == ("fb", "bf")
    assert {knot for first, knots in rows_of("bead-rail") for knot in knots if first} == {"f"}


def test_knot_by_knot_matches_the_letters_command(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["letters", "KNOT BY KNOT", "--rows", "7"]) == 0
    written = yaml.safe_load(capsys.readouterr().out)["chart"].splitlines()
    band = [line[1:-1] for line in FOUND["knot-by-knot"]["chart"].splitlines()]
    assert band[: len(written)] == written
    assert set("".join(band[len(written) :])) == {"."}


def test_instructions_are_heard_in_the_time_of_their_level() -> None:
    steps = [step for name in of_family("steps") for step in FOUND[name]["steps"]]
    assert all(len(step["do"].split()) <= MOST_WORDS for step in steps)
    counted = [step for step in steps if "times" in step]
    limits = {step["do"]: SPARSE for step in steps}
    limits |= {f"{step['do']}. {step['times']} times": SPARSE for step in counted}
    limits |= {f"{step['do']}. 1 of {step['times']}": SHORT for step in counted}
    sounds = rendered(*(Asked(text, rate=150) for text in limits))
    seconds = {text: sound.samples / 22050 - END_PAUSE for text, sound in zip(limits, sounds, strict=True)}
    assert {text: found for text, found in seconds.items() if found > limits[text]} == {}
    # A text that the engine did not speak would be short as well.
    assert min(seconds.values()) > 0.5
