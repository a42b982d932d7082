"""Ways of working from the command line: by segments, from the right, mirrored."""

import json
from pathlib import Path
from typing import Any

import pytest

from benchmate.design_files.load import load
from benchmate.design_files.shelf import shipped
from tests.loaded import run
from tests.running import WRITTEN, Plain, pieces

REEDS = """\
benchmate: 1
title: Reeds at the ford
family: diagonal
colours: {reed: "#5d6b2f", ford: "#a9c5d6"}
strings: [reed, ford, ford, reed]
rows:
  - f b
  - f
  - f b
  - b
repeats: 2
"""
UNTIE = ("--done", "9", "--knot", "3")
CHOICES = ("--by segments", "--from-right", "--mirror", "--by segments --from-right --mirror")


@pytest.fixture
def reeds(tmp_path: Path) -> Path:
    file = tmp_path / "reeds.yaml"
    file.write_text(REEDS)
    return file


def document(*arguments: str | Path, home: Path) -> Any:
    done = run(*arguments, "--json", home=home)
    assert (done.status, done.err) == (0, "")
    return json.loads(done.out)


def test_by_segments_as_a_document(reeds: Path, home: Path) -> None:
    rows = document("order", reeds, home=home)
    found = document("order", reeds, "--by", "segments", home=home)
    assert list(found) == [*list(rows), "travel", "least_travel", "settled"]
    assert (found["by"], found["settled"]) == ("segments", True)
    assert found["travel"] == found["least_travel"]
    assert found["pickups"] == found["least"] == rows["least"] == found["steps"][-1]["run"] < rows["pickups"] == 10

    def knots(steps: list[dict[str, Any]]) -> list[tuple[Any, ...]]:
        return sorted((step["row"], step["pair"], step["knot"], step["knotting"], step["passive"]) for step in steps)

    assert knots(found["steps"]) == knots(rows["steps"])
    assert [step["n"] for step in found["steps"]] == list(range(1, 13))


def test_with_a_start_the_lists_say_how_the_bench_numbers_the_steps(reeds: Path, home: Path) -> None:
    plain = [run(*command, home=home).out for command in (("order", reeds), ("untie", reeds, *UNTIE))]
    assert not any("bench" in text for text in plain)
    (reeds.parent / "begin.yaml").write_text(WRITTEN)
    started = reeds.with_name("started.yaml")
    started.write_text(f"{REEDS}start: begin\nfinish: begin\n")
    counts = "The bench counts the 3 steps of the start too: "
    order, untie = (run(*command, home=home).out for command in (("order", started), ("untie", started, *UNTIE)))
    assert order == f"{plain[0]}{counts}knot 1 here is band knot 1, step 4 there.\n"
    done = "subtract 3 from its number of steps done. 9 done here are 12 there."
    assert untie == f"{counts}{done}\n{plain[1]}"
    assert plain[1].startswith("Undo 7 of 9 knots to reach knot 3, in this order:\n")
    with Plain(started, home=home) as maker:
        lines = [maker.line()]
        for answer in ("", "", "", "", "b"):
            maker.say(answer)
            lines.append(maker.line())
    assert [line.partition(" ")[0] for line in lines] == ["1/18", "2/18", "3/18", "4/18", "5/18", "4/18"]
    assert [line.rpartition("; row 1, ")[2] for line in lines[3:]] == ["band knot 1", "band knot 2", "band knot 1"]
    assert not any("knot 1" in line for line in lines[:3])


def test_without_options_nothing_is_added(reeds: Path, home: Path) -> None:
    rows = document("order", reeds, home=home)
    assert list(rows) == ["title", "family", "by", "strings", "steps", "pickups", "least"]
    assert rows == document("order", reeds, "--by", "rows", home=home)
    assert [(step["row"], step["pair"][0]) for step in rows["steps"][:3]] == [(1, 1), (1, 3), (2, 2)]
    run("follow", reeds, "--plain", home=home, given="\n")
    assert list(pieces(home)[0]) == ["piece", "title", "file", "by", "done", "of", "finished", "started", "touched"]


def test_the_document_says_from_the_right_and_mirrored(reeds: Path, home: Path) -> None:
    rows = document("order", reeds, home=home)
    right = document("order", reeds, "--from-right", home=home)
    assert list(right) == [*list(rows), "from"]
    assert right["from"] == "right"
    assert [(step["row"], step["pair"][0]) for step in right["steps"][:3]] == [(1, 3), (1, 1), (2, 2)]
    mirror = document("order", reeds, "--mirror", home=home)
    assert list(mirror) == [*list(rows), "mirrored"]
    assert mirror["mirrored"] is True
    assert mirror["strings"] == rows["strings"][::-1]
    exchanged = {"f": "b", "b": "f"}
    assert [(step["row"], 4 - step["pair"][0], exchanged[step["knot"]]) for step in mirror["steps"]] == [
        (step["row"], step["pair"][0], step["knot"]) for step in right["steps"]
    ]


def test_order_as_lines(reeds: Path, home: Path) -> None:
    lines = run("order", reeds, "--by", "segments", "--mirror", home=home).out.splitlines()
    assert lines[0] == "Reeds at the ford, worked by segments, mirrored"
    assert len(lines) == 1 + 12 + 3
    found = document("order", reeds, "--by", "segments", "--mirror", home=home)
    assert lines[-3].split()[0] == str(found["pickups"])
    assert lines[-2] == "by rows: 10 pick-ups"
    assert lines[-1].startswith(f"hands travel {found['travel']} positions between pick-ups")


@pytest.mark.parametrize("choice", CHOICES)
def test_untie_counts_in_the_same_order(reeds: Path, home: Path, choice: str) -> None:
    steps = document("order", reeds, *choice.split(), home=home)["steps"]
    found = document("untie", reeds, *choice.split(), "--done", "9", "--knot", "3", home=home)
    # Every later step that shares a string with a step to undo must be undone too.
    strings, out = {steps[2]["knotting"], steps[2]["passive"]}, [3]
    for step in steps[3:9]:
        if strings & {step["knotting"], step["passive"]}:
            strings |= {step["knotting"], step["passive"]}
            out.append(step["n"])
    assert found == {"knot": 3, "untie": out[::-1]}


@pytest.mark.parametrize("choice", CHOICES)
def test_follow_works_the_steps_of_order(reeds: Path, home: Path, choice: str) -> None:
    listed = [line.split(maxsplit=1) for line in run("order", reeds, *choice.split(), home=home).out.splitlines()[1:13]]
    done = run("follow", reeds, "--plain", *choice.split(), home=home, given="\n" * 5)
    assert (done.status, done.err) == (0, "")
    again = run("follow", reeds, "--plain", home=home, given="\n" * 7)
    assert (again.status, again.err) == (0, "")
    lines = done.out.splitlines() + again.out.splitlines()[1:]
    assert lines[-1] == "All done (12 steps)."
    assert [line.split(" ", 1)[0] for line in lines[:-1]] == [f"{n}/12" for n in range(1, 13)]
    followed = [line.split(" ", 1)[1] for line in lines[:-1]]
    assert [text.split("; row")[0] for text in followed] == [text.split("; row")[0] for _, text in listed]
    (piece,) = pieces(home)
    assert piece["by"] == ("segments" if "segments" in choice else "rows")
    assert (piece.get("from"), piece.get("mirrored")) == (
        "right" if "right" in choice else None,
        True if "mirror" in choice else None,
    )


def test_by_segments_each_line_names_the_string_in_hand(reeds: Path, home: Path) -> None:
    lines = run("follow", reeds, "--plain", "--by", "segments", home=home, given="\n" * 12).out.splitlines()[:-1]
    steps = document("order", reeds, "--by", "segments", home=home)["steps"]
    said = dict(enumerate(document("order", reeds, home=home)["strings"], 1))
    for at, (line, step) in enumerate(zip(lines, steps, strict=True)):
        run_of = [other["n"] for other in steps if other["run"] == step["run"]]
        in_hand = f"{said[step['knotting']]}: {run_of.index(step['n']) + 1} of {len(run_of)}"
        last = step["n"] == run_of[-1]
        following = steps[at + 1] if last and at + 1 < len(steps) else None
        if following is None:
            assert line.endswith(f"; {in_hand}")
        else:
            position = following["pair"][0] + (following["knot"] in ("b", "bf"))
            assert f"; {in_hand}, then pick up {position} {said[following['knotting']]}" in line


@pytest.mark.parametrize(
    ("choice", "said"),
    [
        (["--by", "segments"], "worked by rows, not by segments"),
        (["--from-right"], "worked from the left"),
        (["--mirror"], "not mirrored"),
    ],
)
def test_a_piece_started_another_way_is_not_changed(reeds: Path, home: Path, choice: list[str], said: str) -> None:
    run("follow", reeds, "--plain", home=home, given="\n")
    done = run("follow", reeds, "--plain", *choice, home=home, given="\n")
    assert (done.status, done.out) == (2, "")
    assert f"this piece is {said}; add --new to begin another" in done.err
    assert run("follow", reeds, "--plain", *choice, "--new", home=home, given="\n").status == 0
    assert len(pieces(home)) == 2
    listed = run("pieces", home=home).out.splitlines()
    assert "worked" not in listed[1]
    assert "(by rows" not in listed[1]
    assert "; by " in listed[0]


def test_outside_diagonal_bands_the_options_change_nothing(tmp_path: Path, home: Path) -> None:
    file = tmp_path / "loop.yaml"
    file.write_text(WRITTEN)
    plain = run("order", file, "--json", home=home)
    for choice in CHOICES:
        assert run("order", file, "--json", *choice.split(), home=home) == plain
        assert document("untie", file, *choice.split(), "--done", "3", "--knot", "2", home=home)["untie"] == [3, 2]
    followed = run("follow", file, "--plain", *CHOICES[-1].split(), home=home, given="\n")
    assert (followed.status, followed.err) == (0, "")
    assert run("follow", file, "--plain", *CHOICES[-1].split(), home=home).out.startswith("2/3 ")
    assert pieces(home)[0]["by"] == "rows"
    assert not {"from", "mirrored"} & set(pieces(home)[0])


@pytest.mark.parametrize("file", [file for file in shipped() if load(file).design.family.name == "diagonal"])
def test_every_shipped_band_has_the_fewest_pickups(file: str, home: Path) -> None:
    found = document("order", file, "--by", "segments", home=home)
    rows = document("order", file, home=home)
    # In bands of four strings the rows may already take the fewest.
    assert found["pickups"] == found["least"] == rows["least"] <= rows["pickups"]
    assert rows["pickups"] > found["pickups"] or len(rows["strings"]) == 4


def test_b_undoes_in_the_same_order(reeds: Path, home: Path) -> None:
    with Plain(reeds, home, "--by", "segments") as plain:
        first = plain.line()
        assert first.startswith("1/12 ")
        for _ in range(4):
            plain.answer("")
        plain.answer("b")
        assert plain.answer("b").startswith("3/12 ")
