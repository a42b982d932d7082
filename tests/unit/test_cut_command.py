"""`cut`: from what to cut each length, as a document and as lines."""

import io
import json
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from benchmate.commands.shared.searching import WAIT, Searching
from tests.loaded import run
from tests.running import CHART

BAND = CHART.replace("repeats: 4", "repeats: 20")
"""Four strings; by the default gauge each is cut at well under a metre."""


@pytest.fixture
def band(tmp_path: Path) -> Path:
    file = tmp_path / "rain.yaml"
    file.write_text(BAND, encoding="utf-8")
    return file


def document(*arguments: str | Path, home: Path) -> dict[str, Any]:
    done = run("cut", *arguments, "--json", home=home)
    assert (done.status, done.err) == (0, "")
    found = json.loads(done.out)
    assert isinstance(found, dict)
    return found


def lengths_of(band: Path, home: Path) -> list[float]:
    return [each["cut_mm"] for each in json.loads(run("thread", band, "--json", home=home).out)["pieces"]]


def test_the_document(band: Path, home: Path) -> None:
    lengths = lengths_of(band, home)
    found = document(band, "--offcut", "rain:950.5", "--offcut", "rain:40", home=home)
    assert not home.exists()
    assert list(found) == ["sources", "skeins", "least", "to_buy", "least_ends"]
    opened = [each for each in found["sources"] if each["from"] == "skein"]
    assert found["skeins"] == found["least"] == found["to_buy"] == len(opened) == 2
    assert found["least_ends"] is True
    assert sorted(index for each in found["sources"] for index in each["pieces"]) == [0, 1, 2, 3]
    for each in found["sources"]:
        assert list(each) == ["from", "colour", "length_mm", "pieces", "left_mm"]
        assert each["left_mm"] == pytest.approx(each["length_mm"] - sum(lengths[at] for at in each["pieces"]))
        assert {"slate": {0, 3}, "rain": {1, 2}}[each["colour"]] >= set(each["pieces"])


def test_skeins_of_another_length_and_their_number(band: Path, home: Path) -> None:
    longest = max(lengths_of(band, home))
    found = document(band, "--skein", f"{longest + 0.5}", home=home)
    assert (found["skeins"], found["least"], len(found["sources"])) == (4, 4, 4)
    assert {each["length_mm"] for each in found["sources"]} == {longest + 0.5}
    assert document(band, home=home)["sources"][0]["length_mm"] == 8000.0


def test_a_piece_that_fits_nowhere(band: Path, home: Path) -> None:
    lengths = lengths_of(band, home)
    short = max(lengths) - 10
    done = run("cut", band, "--skein", f"{short:g}", home=home)
    assert (done.status, done.out) == (1, "")
    at = next(index for index, mm in enumerate(lengths) if mm > short)
    colour = "slate" if at in (0, 3) else "pale rain"
    assert done.err.startswith(f"{band}: {colour}, ")
    assert f" for string {at + 1} (piece {at}), fits no skein of " in done.err
    assert f"--skein {lengths[at]:g} or more" in done.err
    assert "--offcut " in done.err


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--skein", "0"], "must be a number of millimetres above 0"),
        (["--skein", "-5"], ""),
        (["--skein", "1e3"], "must be a number of millimetres above 0"),
        (["--skein", "nan"], "must be a number of millimetres above 0"),
        (["--offcut", "slat:900"], "did you mean `slate`?"),
        (["--offcut", "900"], "needs a colour of the design first"),
        (["--offcut", "slate:long"], "must be a number of millimetres above 0"),
        (["--offcut", "slate:0"], "must be a number of millimetres above 0"),
        (["--skein=-+5"], "must be a number of millimetres above 0"),
        (["--scrap", "-1"], "--scrap"),
        (["--scrap", "5cm"], "must be a number of millimetres from 0"),
        (["--price", "dear"], "`dear` is not a price: write a number such as 1.20"),
        (["--price", ""], "must be a number, such as 1.20"),
        (["--price", "1.2.3"], "is not a price"),
        (["--use", "slate=rowan"], "there is no thread called rowan in the box"),
        (["--use", "slate=a", "--use", "slate=b"], "names two threads for slate"),
        (["--skein", "8000", "--use", "slate=rowan"], "add --box"),
    ],
)
def test_a_command_line_at_fault(band: Path, home: Path, arguments: list[str], says: str) -> None:
    done = run("cut", band, *arguments, home=home)
    assert (done.status, done.out) == (2, "")
    assert says in done.err


def test_the_box_goes_first_unless_told_otherwise(band: Path, home: Path) -> None:
    for name, colour, more in (
        ("night slate", "#2f4858", ["--length", "900", "--offcut"]),
        ("slate", "#2f4858", ["--price", "1.20"]),
        ("cloud", "#ffffff", ["--price", "2"]),
    ):
        assert run("box", "add", name, "--colour", colour, *more, home=home).status == 0
    found = document(band, home=home)
    assert {each.get("thread") for each in found["sources"] if each["colour"] == "slate"} <= {1, 2}
    assert {each.get("thread") for each in found["sources"] if each["colour"] == "rain"} == {None}
    assert (found["to_buy"], found["unpriced"]) == (1, ["rain"])
    used = document(band, "--use", "rain=cloud", home=home)
    assert {each.get("thread") for each in used["sources"] if each["colour"] == "rain"} == {3}
    assert (used["to_buy"], used["cost_to_buy"], used["unpriced"]) == (0, 0.0, [])
    assert document(band, "--skein", "8000", home=home)["to_buy"] == 2
    assert document(band, "--skein", "8000", "--box", home=home)["to_buy"] == 1


def test_lengths_far_from_usual_are_asked_about_and_taken(band: Path, home: Path) -> None:
    given = "--skein", "99999999", "--offcut", "rain:99999999", "--offcut", "rain:20", "--scrap", "5"
    done = run("cut", band, *given, home=home)
    assert done.status == 0
    assert done.err.splitlines() == [
        "100000 m? A skein is usually 5 m to 12 m.",
        "5 mm? An end too short to use is usually 15 cm to 40 cm.",
        "100000 m? An offcut is usually 10 cm to 4 m.",
        "2 cm? An offcut is usually 10 cm to 4 m.",
    ]
    assert run("cut", band, *given, "--json", home=home).err == ""


def test_lengths_and_prices_are_read_as_everywhere_else(band: Path, home: Path) -> None:
    given = "--skein", "8000.", "--offcut", "rain:+950.5", "--offcut", "rain:.5", "--scrap", ".5", "--price", "1,25"
    found = document(band, *given, home=home)
    assert found == document(band, "--offcut", "rain:950.5", "--scrap", "0.5", "--price", "1.25", home=home)
    assert found["cost_to_buy"] == 2.5 * (found["to_buy"] / 2)


def test_the_lines(band: Path, home: Path) -> None:
    done = run("cut", band, "--price", "1.25", home=home)
    assert (done.status, done.err) == (0, "")
    lines = done.out.splitlines()
    assert lines[0] == "Rain on slate: what to cut from what"
    assert lines[2:4] == ["slate", "  new skein, 8 m"]
    assert "pale rain" in lines
    assert "Open 2 skeins, all of them to buy (the fewest possible)." in lines
    assert "No end is shorter than 30 cm." in lines
    assert "To buy: 2.50." in lines
    assert any(line.startswith("The thread that is cut is worth 0.") for line in lines)
    assert all(len(line) <= 80 for line in lines)


def test_the_longest_is_cut_first_leading_strings_too(home: Path) -> None:
    lines = run("cut", "cherries-by-the-pair", home=home).out.splitlines()
    first = next(at for at, line in enumerate(lines) if "for leading string 1" in line)
    assert lines[first - 1] == "  new skein, 8 m"
    assert "base strings" in lines[first + 1]


def test_what_is_lost_in_short_ends(band: Path, home: Path) -> None:
    longest = max(lengths_of(band, home))
    done = run("cut", band, "--skein", f"{longest + 20}", "--scrap", "25", home=home)
    assert done.status == 0
    assert "shorter than 2.5 cm (the least possible)." in done.out
    assert "too short to keep" in done.out
    assert "No end is shorter" in run("cut", band, "--skein", f"{longest + 20}", "--scrap", "0", home=home).out


def test_a_design_with_nothing_to_cut(home: Path) -> None:
    done = run("cut", "braided-tie", home=home)
    assert (done.status, done.out) == (1, "")
    assert "have no strings to cut" in done.err


class Watched(io.TextIOWrapper):
    """Standard error at a terminal, or not."""

    def __init__(self, *, terminal: bool) -> None:
        self.bytes = io.BytesIO()
        super().__init__(self.bytes, "utf-8")
        self._terminal = terminal

    def isatty(self) -> bool:
        return self._terminal


def told_at(monkeypatch: pytest.MonkeyPatch, moments: list[float], *, terminal: bool) -> bytes:
    """What standard error gets of a search that tells what it is at in these moments, and then ends."""
    watched = Watched(terminal=terminal)
    monkeypatch.setattr(sys, "stderr", watched)
    monkeypatch.setattr(time, "monotonic", iter([0.0, *(each for moment in moments for each in [moment] * 2)]).__next__)
    searching = Searching()
    for _ in moments:
        searching.tell("Looking for the best way to cut deep\x1b[2J")
    searching.clear()
    return watched.bytes.getvalue()


def test_a_long_search_says_so_at_a_terminal_and_takes_it_away(monkeypatch: pytest.MonkeyPatch) -> None:
    shown = told_at(monkeypatch, [WAIT + 0.1], terminal=True)
    _, first, cleared, last = shown.split(b"\r")
    assert first.startswith(b"Looking for the best way to cut deep")
    assert b"\x1b" not in shown
    assert cleared == b" " * len(first)
    assert last == b""


def test_a_short_search_and_one_that_nobody_watches_say_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    assert told_at(monkeypatch, [WAIT / 2], terminal=True) == b""
    assert told_at(monkeypatch, [WAIT * 9], terminal=False) == b""


def test_what_is_left_between_lengths_of_variegated_thread_counts_as_cut(tmp_path: Path, home: Path) -> None:
    file = tmp_path / "ford.yaml"
    dusk = BAND.replace('slate: "#2f4858"', "slate: {css: [navy 300, teal 200], say: dusk}")
    file.write_text(dusk, encoding="utf-8")
    thread = json.loads(run("thread", file, "--json", home=home).out)
    cuts = [piece["cut_mm"] for piece in thread["pieces"] if piece["colour"] == "slate"]
    taken = sum(-(-mm // 500) * 500 for mm in cuts)
    assert len(cuts) == 2
    assert taken > sum(cuts)
    found = json.loads(run("cut", file, "--json", home=home).out)
    (source,) = [each for each in found["sources"] if each["colour"] == "slate"]
    assert source["left_mm"] == 8000 - taken
    # An offcut of just the lengths alone does not hold them.
    found = json.loads(run("cut", file, "--offcut", f"slate:{sum(cuts)}", "--json", home=home).out)
    assert found["skeins"] == 2
    found = json.loads(run("cut", file, "--offcut", f"slate:{taken}", "--json", home=home).out)
    assert found["skeins"] == 1
