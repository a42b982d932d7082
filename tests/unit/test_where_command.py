"""The command `where`: what it prints, and what it refuses."""

import json
from collections.abc import Sequence
from pathlib import Path

import pytest

from benchmate.cli import main
from tests.screen.benches import CHEVRON, PICTURE, ROPE, WRITTEN

ROPE_AT_START = "32:deep 1:deep 8:foam 9:foam 16:deep 17:deep 24:foam 25:foam"


def run(tmp_path: Path, text: str, *options: str) -> int:
    file = tmp_path / "band.yaml"
    file.write_text(text)
    return main(["where", str(file), *options])


def test_places_and_how_to_tell_them_apart(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(tmp_path, CHEVRON, "--see", "plum moss straw straw moss plum") == 0
    assert capsys.readouterr().out.splitlines() == [
        "3 places fit; knots done at each:",
        "      0  next: forward, 1 plum over 2 mossy green, then plum hangs at 2, mossy green at 1; row 1",
        "     15  next: forward, 1 plum over 2 mossy green, then plum hangs at 2, mossy green at 1; row 7",
        "     30  all done",
        "To tell them apart, add --knots with the colours of the last knot, oldest first.",
    ]


def test_places_with_one_wrong_knot(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    see = ["--see", "moss plum straw straw plum moss", "--knots", "straw"]
    assert run(tmp_path, CHEVRON, *see) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "No place fits as charted. With one wrong knot: 4 possibilities; knots done at each:"
    assert lines[2] == (
        "     17  next: backward, 6 plum over 5 mossy green, then plum hangs at 5, mossy green at 6; row 7; "
        "wrong: row 1, knot 1, first from the left, "
        "forward-backward, backward-forward or left out instead of forward"
    )
    assert run(tmp_path, CHEVRON, *see, "--json") == 0
    found = json.loads(capsys.readouterr().out)
    assert found["places"] == []
    assert found["with_one_wrong"]["all"] == 4
    assert found["with_one_wrong"]["places"][1] == {"done": 17, "knot": 1, "made": ["fb", "bf", "-"]}


def test_places_in_a_picture_with_a_knot_in_another_colour(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    knots = ["--knots", "deep foam foam deep deep deep"]
    assert run(tmp_path, PICTURE, *knots) == 0
    assert capsys.readouterr().out.splitlines() == [
        "No place fits as charted. With one wrong knot: 2 possibilities; knots done at each:",
        "      6  next: backward, foam over 4; row 2, column 4; wrong: row 1, knot 5, first from the right, "
        "deep instead of rust",
        "     22  next: forward, deep over 3; row 5, column 3; wrong: row 5, knot 21, first from the left, "
        "deep instead of foam",
        "To tell them apart, add --knots with the colours of the last 7 knots, oldest first.",
    ]
    assert run(tmp_path, PICTURE, *knots, "--json") == 0
    assert json.loads(capsys.readouterr().out)["with_one_wrong"] == {
        "places": [{"done": 6, "knot": 5, "made": ["deep"]}, {"done": 22, "knot": 21, "made": ["deep"]}],
        "all": 2,
        "tell": 7,
    }


def test_places_in_a_braid_with_a_wrong_move(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    see = "1:foam 5:foam 6:foam 13:deep 14:deep 21:foam 29:deep 30:deep"
    assert run(tmp_path, ROPE, "--see", see) == 0
    assert capsys.readouterr().out.splitlines() == [
        "No place fits as charted. With one wrong move: 2 possibilities; moves done at each:",
        "     12  next: 30 to 12, deep; repeat 4; wrong: repeat 2, move 7, 8 to 1 instead of 8 to 22",
        "     76  next: 14 to 28, deep; repeat 20; wrong: repeat 18, move 72, 8 to 1 instead of 8 to 22",
    ]
    assert run(tmp_path, ROPE, "--see", see, "--json") == 0
    assert json.loads(capsys.readouterr().out) == {
        "places": [],
        "tell": None,
        "with_one_wrong": {
            "places": [{"done": 12, "move": 7, "made": ["8 > 1"]}, {"done": 76, "move": 72, "made": ["8 > 1"]}],
            "all": 2,
            "tell": None,
        },
    }


def test_colours_that_no_place_explains(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(tmp_path, CHEVRON, "--see", "plum plum plum plum plum plum") == 0
    assert capsys.readouterr().out == "No place fits, and no single wrong knot explains it.\n"
    assert run(tmp_path, ROPE, "--see", ROPE_AT_START, "--knots", "foam foam foam foam") == 0
    assert capsys.readouterr().out == "No place fits, and no single wrong move explains it.\n"


def test_a_picture_without_knots_can_be_anywhere(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(tmp_path, PICTURE, "--json") == 0
    assert json.loads(capsys.readouterr().out) == {"places": list(range(31)), "tell": 1}


def test_slots_in_any_order(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(tmp_path, ROPE, "--see", " ".join(reversed(ROPE_AT_START.split())), "--json") == 0
    assert 0 in json.loads(capsys.readouterr().out)["places"]


@pytest.mark.parametrize(
    ("text", "options", "message"),
    [
        (CHEVRON, [], "--see is needed"),
        (CHEVRON, ["--see", "plum moss"], "--see must name the colours of all 6 strings (found 2)"),
        (CHEVRON, ["--see", "plum - straw straw moss plum"], "`-` stands for no knot"),
        (CHEVRON, ["--see", "plum mos straw straw moss plum"], "did you mean `moss`?"),
        (CHEVRON, ["--see", "plum moss straw straw moss plum", "--knots", "-"], "`-` stands for no knot"),
        (CHEVRON, ["--see", "plum moss straw straw moss plum", "--knots", "gold"], "--knots: the design has no colour"),
        (PICTURE, ["--see", "deep deep deep deep deep"], "give --knots"),
        (ROPE, [], "every filled slot"),
        (ROPE, ["--see", "32:deep"], "all 8 filled slots (found 1)"),
        (ROPE, ["--see", ROPE_AT_START.replace("25:", "24:")], "--see names slot 24 more than once"),
        (ROPE, ["--see", ROPE_AT_START.replace("25:", "33:")], "from 1 to 32 (found `33`)"),
        (ROPE, ["--see", ROPE_AT_START.replace("25:foam", "25:-")], "no colour `-`"),
        (ROPE, ["--see", ROPE_AT_START.replace("25:", "²:")], "such as `32:deep 1:foam`"),
        (ROPE, ["--see", ROPE_AT_START.replace(":", "")], "such as `32:deep 1:foam`"),
    ],
)
def test_what_cannot_be(
    text: str, options: Sequence[str], message: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as left:
        run(tmp_path, text, *options)
    assert left.value.code == 2
    assert message in capsys.readouterr().err


def test_written_steps_have_no_place_to_find(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(tmp_path, WRITTEN, "--see", "a") == 1
    assert "`where` finds no place in" in capsys.readouterr().err
