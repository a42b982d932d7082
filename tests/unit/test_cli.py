"""The command line: what is printed where, and the exit status."""

import json
import os
import re
import subprocess
import unicodedata
from pathlib import Path
from typing import Any

import pytest

from benchmate import __version__
from tests.loaded import run
from tests.running import CHART, COMMAND, LONG_CHART, WRITTEN, Done, environment, pieces
from tests.running import run as start

ONCE = CHART.replace("repeats: 4\n", "")
"""Three knots: string 1 goes over 2, string 4 over 3, then 1 over 4 in the middle."""


@pytest.fixture
def once(tmp_path: Path) -> Path:
    file = tmp_path / "once.yaml"
    file.write_text(ONCE)
    return file


def document_of(*arguments: str | Path, home: Path) -> Any:
    """The one JSON document a command prints."""
    done = run(*arguments, "--json", home=home)
    assert (done.status, done.err) == (0, "")
    assert done.out.count("\n") == 1
    return json.loads(done.out)


def error_of(done: Done, status: int) -> str:
    """Standard error of a run that failed with this status; standard output is empty."""
    assert (done.status, done.out) == (status, "")
    assert done.err
    assert "Traceback" not in done.err
    return done.err


def test_the_version(home: Path) -> None:
    assert run("--version", home=home) == (0, __version__ + "\n", "")


@pytest.mark.parametrize("command", [["tie"], ["follow"], ["check"], ["order"], ["untie"], ["pieces", "x"], ["--json"]])
def test_an_incomplete_or_unknown_command_line(command: list[str], home: Path) -> None:
    error_of(run(*command, home=home), 2)


# check


def test_check_prints_good_files_and_problems_separately(once: Path, home: Path) -> None:
    good, loop, warned = once, once.with_name("loop.yaml"), once.with_name("warned.yaml")
    bad, none = once.with_name("bad.yaml"), once.with_name("none.yaml")
    loop.write_text(WRITTEN)
    warned.write_text(CHART + "thread: silk\n")
    bad.write_text(ONCE.replace("f b", "f q").replace("title", "tilte"))
    done = run("check", good, bad, loop, none, warned, home=home)
    assert done.status == 1
    assert done.out.splitlines() == [
        f"{good}: ok, diagonal, 4 strings, 2 rows, 3 knots",
        f"{loop}: ok, steps, 3 steps",
        f"{warned}: ok, diagonal, 4 strings, 8 rows, 12 knots, 4 repeats",
    ]
    said = done.err.splitlines()
    assert said[0] == f"{bad}:1:1: the key `title` is missing"
    assert said[1].startswith(f"{bad}:2:1: unknown key `tilte`; did you mean `title`?")
    assert said[2].startswith(f"{bad}:7:7: unknown knot `q`")
    assert said[3] == f"{none}: no such file"
    assert said[4].startswith(f"{warned}:9:10: warning: after one repeat the colours hang in a different order")
    assert said[5] == f"{warned}:10:9: warning: unknown thread `silk`: `floss` is used"
    assert len(said) == 6
    assert not home.exists()


def test_warnings_are_no_errors_and_only_check_prints_them(once: Path, home: Path) -> None:
    once.write_text(ONCE + "thread: silk\n")
    assert run("check", once, home=home).status == 0
    for command in ["order"], ["order", "--json"], ["untie", "--done", "2", "--knot", "1"], ["follow", "--plain"]:
        done = run(*command, once, home=home)
        assert (done.status, done.err) == (0, "")


def test_messages_name_a_file_as_it_was_given(once: Path, home: Path) -> None:
    done = run("check", "./once.yaml", "no/../one.yaml", home=home, cwd=once.parent)
    assert done.out == "./once.yaml: ok, diagonal, 4 strings, 2 rows, 3 knots\n"
    assert done.err == "no/../one.yaml: no such file\n"


# order


def test_order_as_a_document(once: Path, home: Path) -> None:
    document = document_of("order", once, home=home)
    assert document == {
        "title": "Rain on slate",
        "family": "diagonal",
        "by": "rows",
        "strings": ["slate", "rain", "rain", "slate"],
        "steps": [
            {"n": 1, "row": 1, "pair": [1, 2], "knot": "f", "knotting": 1, "passive": 2, "run": 1},
            {"n": 2, "row": 1, "pair": [3, 4], "knot": "b", "knotting": 4, "passive": 3, "run": 2},
            {"n": 3, "row": 2, "pair": [2, 3], "knot": "f", "knotting": 1, "passive": 4, "run": 3},
        ],
        "pickups": 3,
        "least": 2,
    }
    assert list(document) == ["title", "family", "by", "strings", "steps", "pickups", "least"]
    assert list(document["steps"][0]) == ["n", "row", "pair", "knot", "knotting", "passive", "run"]
    assert not home.exists()


def test_rows_count_through_all_repeats(band: Path, home: Path) -> None:
    document = document_of("order", band, "--by", "rows", home=home)
    assert [step["n"] for step in document["steps"]] == list(range(1, 13))
    assert [step["row"] for step in document["steps"]] == [1, 1, 2, 3, 3, 4, 5, 5, 6, 7, 7, 8]
    assert document["pickups"] == document["steps"][-1]["run"]
    assert len(document_of("order", band, "--repeats", "2", home=home)["steps"]) == 6


def test_order_of_written_steps(tmp_path: Path, home: Path) -> None:
    file = tmp_path / "loop.yaml"
    file.write_text(WRITTEN + "strings: [slate]\nrepeats: 2\n")
    fold = {"do": "Fold the strings over a pin", "hint": "Leave a loop", "time": 1, "of": 1}
    knot = {"do": "Knot all strings together", "hint": None, "of": 2}
    assert document_of("order", file, home=home) == {
        "title": "A loop over a pin",
        "family": "steps",
        "by": "rows",
        "strings": ["slate"],
        "steps": [
            {"n": 1, "row": 1, **fold},
            {"n": 2, "row": 1, **knot, "time": 1},
            {"n": 3, "row": 1, **knot, "time": 2},
            {"n": 4, "row": 2, **fold},
            {"n": 5, "row": 2, **knot, "time": 1},
            {"n": 6, "row": 2, **knot, "time": 2},
        ],
    }


def test_order_as_lines(once: Path, home: Path) -> None:
    done = run("order", once, home=home)
    assert (done.status, done.err) == (0, "")
    lines = done.out.splitlines()
    assert lines[:4] == [
        "Rain on slate, worked by rows",
        "      1  forward, 1 slate over 2 pale rain, then slate hangs at 2, pale rain at 1; row 1",
        "      2  backward, 4 slate over 3 pale rain, then slate hangs at 3, pale rain at 4; row 1",
        "      3  forward, 2 slate over 3 slate, they change places; row 2",
    ]
    assert re.findall(r"\d+", lines[4]) == ["3", "2"]
    assert len(lines) == 5


def test_order_leaves_out_start_and_finish(once: Path, home: Path) -> None:
    once.with_name("loop.yaml").write_text(WRITTEN)
    once.write_text(ONCE + "start: loop\nfinish: loop\n")
    assert len(document_of("order", once, home=home)["steps"]) == 3
    assert document_of("untie", once, "--done", "3", "--knot", "1", home=home) == {"knot": 1, "untie": [3, 1]}
    assert "1/9 " in run("follow", once, "--plain", home=home).out


# untie


@pytest.mark.parametrize(
    ("done", "knot", "untie"),
    [(1, 1, [1]), (2, 1, [1]), (3, 1, [3, 1]), (3, 2, [3, 2]), (3, 3, [3])],
)
def test_untie(once: Path, home: Path, done: int, knot: int, untie: list[int]) -> None:
    arguments = ("untie", once, "--done", str(done), "--knot", str(knot))
    document = document_of(*arguments, home=home)
    assert document == {"knot": knot, "untie": untie}
    assert list(document) == ["knot", "untie"]
    lines = run(*arguments, home=home).out.splitlines()
    assert [int(line.split()[0]) for line in lines[1:]] == untie


def test_each_written_step_rests_on_the_one_before(tmp_path: Path, home: Path) -> None:
    file = tmp_path / "loop.yaml"
    file.write_text(WRITTEN)
    arguments = ["--repeats", "2", "--done", "5", "--knot", "2"]
    assert document_of("untie", file, *arguments, home=home) == {"knot": 2, "untie": [5, 4, 3, 2]}


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--done", "4", "--knot", "1"], "--done must be at most 3, the steps of this design (found 4)"),
        (["--done", "2", "--knot", "3"], "--knot must be at most 2, the steps done (found 3)"),
        (["--done", "0", "--knot", "0"], "must be a whole number from 1 to 999999999, such as 12 (found '0')"),
        (["--done", "2", "--knot", "0"], "must be a whole number from 1 to 999999999, such as 12 (found '0')"),
        (["--done", "-1", "--knot", "1"], "argument --done"),
        (["--done", "2.5", "--knot", "1"], "must be a whole number from 1 to 999999999, such as 12 (found '2.5')"),
        (["--done", "9" * 5000, "--knot", "1"], "must be a whole number from 1 to 999999999, such as 12 (found '9999"),
        (["--done", "²", "--knot", "1"], "such as 12 (found '²')"),
        (["--done", "\x1b[2J", "--knot", "1"], "such as 12 (found '?[2J')"),
        (["--done", "2"], "the following arguments are required: --knot"),
        (["--done", "2", "--knot", "1", "--repeats", "2"], None),
        (["--done", "2", "--knot", "1", "--repeats", "70000"], "at most 66666 repeats fit"),
        (["--done", "2", "--knot", "1", "--by", "spirals"], "spirals"),
    ],
)
def test_numbers_out_of_range(once: Path, home: Path, options: list[str], said: str | None) -> None:
    done = run("untie", once, *options, home=home)
    if said is None:
        assert done.status == 0
        return
    err = error_of(done, 2)
    assert said in err
    assert "\x1b" not in err


@pytest.mark.parametrize("options", [["--repeats", "0"], ["--repeats", "66667"], ["--by", "spirals"], ["--by", ""]])
def test_order_out_of_range(band: Path, home: Path, options: list[str]) -> None:
    error_of(run("order", band, *options, home=home), 2)
    error_of(run("order", band, *options, "--json", home=home), 2)


def test_rows_that_cannot_be_repeated(once: Path, home: Path) -> None:
    once.write_text(ONCE.replace("  - f\n", ""))
    for command in ["order"], ["follow", "--plain"], ["untie", "--done", "1", "--knot", "1"]:
        err = error_of(run(*command, once, "--repeats", "2", home=home), 2)
        assert "row 1 and the last row both start at position 1" in err


@pytest.mark.parametrize("command", [["order"], ["order", "--json"], ["untie", "--done", "1", "--knot", "1"]])
def test_a_faulty_design(once: Path, home: Path, command: list[str]) -> None:
    once.write_text(ONCE.replace("f b", "f q") + "thread: silk\n")
    err = error_of(run(*command, once, home=home), 1)
    assert err.startswith(f"{once}:7:7: unknown knot `q`")
    # Only `check` prints warnings.
    assert len(err.splitlines()) == 1
    once.unlink()
    assert error_of(run(*command, once, home=home), 1) == f"{once}: no such file\n"


# pieces


def test_listing_no_pieces_creates_no_files(home: Path) -> None:
    assert run("pieces", "--json", home=home) == (0, "[]\n", "")
    assert run("pieces", home=home) == (0, "No pieces yet.\n", "")
    assert not home.exists()


def test_pieces_last_touched_first(band: Path, once: Path, home: Path) -> None:
    for file, given in (band, "\n\n"), (once, "\n" * 3), (band, "\n"):
        assert run("follow", file, "--plain", home=home, given=given).status == 0
    found = pieces(home)
    assert [list(piece) for piece in found] == [
        ["piece", "title", "file", "by", "done", "of", "finished", "started", "touched"]
    ] * 2
    first, second = found
    assert [first[key] for key in ("title", "file", "by", "done", "of", "finished")] == [
        *("Rain on slate", os.path.realpath(band), "rows", 3, 12, False)
    ]
    assert [second[key] for key in ("file", "done", "of", "finished")] == [os.path.realpath(once), 3, 3, True]
    assert sorted((first["piece"], second["piece"])) == [1, 2]
    for piece in found:
        for moment in piece["started"], piece["touched"]:
            assert len(moment) == 20
            assert (moment[10], moment[19]) == ("T", "Z")
        assert piece["started"] <= piece["touched"]
    lines = run("pieces", home=home).out.splitlines()
    assert lines[0].startswith("         3/12  Rain on slate  (piece 1; last touched ")
    assert lines[1].startswith("     finished  Rain on slate  (piece 2; last touched ")


# Everywhere


def test_without_benchmate_home_the_platforms_folders_are_used(band: Path, tmp_path: Path) -> None:
    env = environment(tmp_path / "unused", {"XDG_DATA_HOME": str(tmp_path / "data"), "HOME": str(tmp_path)})
    del env["BENCHMATE_HOME"]
    for empty in ({}, {"BENCHMATE_HOME": ""}):
        done = subprocess.run(
            [*COMMAND, "follow", band, "--plain"], input=b"\n", capture_output=True, env=env | empty, check=False
        )
        assert (done.returncode, done.stderr) == (0, b"")
    assert (tmp_path / "data" / "benchmate" / "pieces.db").exists()
    assert not (tmp_path / "unused").exists()
    assert pieces(tmp_path / "data" / "benchmate")[0]["done"] == 2


def test_a_reader_that_closes_the_pipe_early_is_no_error(tmp_path: Path, home: Path) -> None:
    file = tmp_path / "long.yaml"
    file.write_text(LONG_CHART)
    for options in [], ["--json"]:
        with subprocess.Popen(
            [*COMMAND, "order", str(file), *options],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            env=environment(home),
        ) as process:
            assert process.stdout is not None
            assert process.stderr is not None
            process.stdout.read(20)
            process.stdout.close()
            assert process.stderr.read() == b""
        assert process.returncode == 0


def test_ascii_output(once: Path, home: Path) -> None:
    once.write_text(ONCE.replace("pale rain", "blässer Regen 雨").replace("Rain on", "Ræin on"), encoding="utf-8")
    named = once.with_name("ünd.yaml")
    once.rename(named)
    run("follow", named, "--plain", home=home, given="\n")
    for command in (
        ["check", named, "nö.yaml"],
        ["order", named],
        ["order", named, "--json"],
        ["untie", named, "--done", "2", "--knot", "1"],
        ["follow", named, "--plain"],
        ["pieces"],
        ["pieces", "--json"],
    ):
        done = start(*command, home=home, env={"PYTHONIOENCODING": "ascii"})
        assert "Traceback" not in done.err
        assert done.status == (1 if "nö.yaml" in command else 0)
        assert (done.out + done.err).isascii()


HOSTILE = r"""
benchmate: 1
title: "Rain\e[2J\e]0;owned\a\u202e\x9b31m"
family: steps
colours: {slate: {css: "#2f4858", say: "sl\e[31mate\0"}}
strings: [slate]
notes: "\e[2J"
steps:
  - do: "Fold\r\e[2K\u0085 it\b\b"
    hint: "Loop\e[8m\u200b\u2028"
    times: 2
"""


def test_no_text_of_a_file_controls_the_terminal(tmp_path: Path, home: Path) -> None:
    folder = tmp_path / "\x1b[31m"
    folder.mkdir()
    file, bad = folder / "a\x1b]0;x\x07\u202e.yaml", folder / "bad\x9b.yaml"
    file.write_text(HOSTILE.lstrip())
    bad.write_text(HOSTILE.lstrip().replace("times: 2", 'times: "\\e[2J"').replace("strings", '"\\e]0;x\\a"'))
    said = ""
    for command in (
        ["check", file, bad],
        ["order", file],
        ["order", file, "--json"],
        ["order", bad],
        ["untie", file, "--done", "2", "--knot", "1"],
        ["follow", file, "--plain"],
        ["follow", file, "--plain"],
        ["follow", bad, "--plain"],
        ["pieces"],
        ["pieces", "--json"],
    ):
        done = run(*command, home=home, given="\n")
        assert "Traceback" not in done.err
        said += done.out + done.err
    assert "Rain[2J]0;owned31m" in said
    assert "Fold" in said
    hidden = {character for character in said if unicodedata.category(character) in ("Cc", "Cf", "Zl", "Zp")} - {"\n"}
    assert not hidden


def test_messages_about_a_changed_or_broken_file_are_harmless(tmp_path: Path, home: Path) -> None:
    file = tmp_path / "a.yaml"
    file.write_text(WRITTEN)
    run("follow", file, "--plain", home=home, given="\n")
    for text in (WRITTEN.replace("A loop", '"\\e[2JNew"#'), WRITTEN.replace("times: 2", 'times: "\\e[2J"')):
        file.write_text(text)
        done = run("follow", file, "--plain", home=home)
        assert done.status == 0
        assert done.err
        assert "\x1b" not in done.err


def test_relative_paths_of_the_design_and_of_benchmate_home(band: Path, home: Path) -> None:
    home.mkdir()
    env = {"BENCHMATE_HOME": "home"}
    assert start("follow", band.name, "--plain", home=home, env=env, cwd=band.parent, given="\n").status == 0
    assert pieces(home)[0]["file"] == os.path.realpath(band)


# Hostile or faulty input and output


def test_no_text_of_a_command_line_controls_the_terminal(once: Path, home: Path) -> None:
    done = run("order", once, "--foo\x1b[31m\u202e", "y\x1b]0;t\x07", home=home)
    assert (done.status, done.out) == (2, "")
    assert "--foo?[31m?" in done.err
    assert not {"\x1b", "\u202e", "\x07"} & set(done.err)


def test_check_prints_errors_and_warnings_of_a_bad_file(once: Path, home: Path) -> None:
    once.write_text(ONCE + "thread: yarn\nfoo: 1\n")
    done = run("check", once, home=home)
    assert done.status == 1
    assert [line.removeprefix(str(once)).split(" ")[1] for line in done.err.splitlines()] == ["warning:", "unknown"]
    # Only `check` prints warnings.
    assert "warning" not in run("order", once, home=home).err


@pytest.mark.parametrize("command", [["order"], ["check"], ["follow", "--plain"]])
def test_a_full_disk_behind_the_output(once: Path, home: Path, command: list[str]) -> None:
    with open("/dev/full", "w", encoding="utf-8") as full:
        done = subprocess.run(
            [*COMMAND, command[0], str(once), *command[1:]],
            stdin=subprocess.DEVNULL,
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            env=environment(home),
            check=False,
        )
    assert done.returncode == 3
    assert done.stderr.splitlines()[-1].startswith("benchmate: disk full; ")
    assert "Traceback" not in done.stderr
