"""`why`: what it prints for people, and what it refuses."""

import json
import shlex
from pathlib import Path

import pytest

from tests.loaded import run
from tests.running import CHART, WRITTEN

BAND = CHART.replace("repeats: 4", "repeats: 8")
"""Four strings, slate outside, rain inside; three knots a repeat, which swap all pairs: 24 knots."""
HANGING = "rain slate rain slate"


@pytest.fixture
def band(tmp_path: Path) -> Path:
    file = tmp_path / "rain.yaml"
    file.write_text(BAND, encoding="utf-8")
    return file


def said(*arguments: str | Path, home: Path) -> str:
    done = run("why", *arguments, home=home)
    assert (done.status, done.err) == (0, "")
    assert not home.exists()
    return done.out


def refused(*arguments: str | Path, home: Path, status: int = 2) -> str:
    done = run("why", *arguments, home=home)
    assert (done.status, done.out) == (status, "")
    assert "Traceback" not in done.err
    return done.err.splitlines()[-1]


def test_one_wrong_knot_in_words(band: Path, home: Path) -> None:
    assert said(band, "--done", "6", "--see", HANGING, home=home) == (
        "One wrong knot explains what you see after 6 knots:\n"
        "  Row 1, knot 2, first from the right: forward-backward, backward-forward or left out"
        " instead of backward\n"
        "Look at row 1, knot 2, first from the right: pale rain, slate or no knot?\n"
        "Then add what it shows, such as --shows 2:rain\n"
        "To take it out: benchmate untie DESIGN --done 6 --knot 2\n"
    )
    told = said(band, "--done", "6", "--see", HANGING, "--shows", "2:rain", home=home).splitlines()
    assert told[1] == "  Row 1, knot 2, first from the right: forward-backward instead of backward"
    assert told[2:] == ["To take it out: benchmate untie DESIGN --done 6 --knot 2"]


def test_several_wrong_knots_the_latest_first_and_the_question(band: Path, home: Path) -> None:
    lines = said(band, "--done", "24", "--see", HANGING, home=home).splitlines()
    assert lines[0] == "Any one of 4 wrong knots explains what you see after 24 knots; the latest first:"
    assert [line.split(":")[0] for line in lines[1:5]] == [
        "  Row 13, knot 20, first from the right",
        "  Row 9, knot 13, first from the left",
        "  Row 5, knot 8, first from the right",
        "  Row 1, knot 1, first from the left",
    ]
    assert lines[5:] == [
        "Look at row 9, knot 13, first from the left: pale rain, slate or no knot?",
        "Then add what it shows, such as --shows 13:rain",
    ]


def test_two_wrong_knots_take_two_lines(band: Path, home: Path) -> None:
    words = ("--done", "24", "--see", "slate rain rain slate", "--shows", "20:-")
    lines = said(band, *words, home=home).splitlines()
    assert lines[0] == "Any one of 3 pairs of wrong knots explains what you see after 24 knots; the latest first:"
    assert lines[1].startswith("  Row 9, knot 13, first from the left: forward-backward, ")
    assert lines[2] == "    and row 13, knot 20, first from the right: left out instead of backward"
    done = run("why", band, *words, "--json", home=home)
    assert list(json.loads(done.out)) == ["as_charted", "mistakes", "all", "ask"]
    lines = said(band, *words, "--shows", "1:rain", home=home).splitlines()
    assert lines[0] == "These two wrong knots together explain what you see after 24 knots:"
    assert [line.split(",")[1] for line in lines[1:3]] == [" knot 1", " knot 20"]
    assert lines[-2:] == [
        "To take knot 1 out: benchmate untie DESIGN --done 24 --knot 1",
        "To take knot 20 out: benchmate untie DESIGN --done 24 --knot 20",
    ]


def test_what_to_type_next_has_the_way_of_working_that_was_given(band: Path, home: Path) -> None:
    way = ("--by", "segments", "--from-right", "--mirror", "--repeats", "2")
    lines = said(band, *way, "--done", "1", "--see", "slate rain rain slate", "--shows", "1:-", home=home).splitlines()
    prefix = "To take it out: benchmate "
    assert lines[-1].startswith(prefix)
    typed = shlex.split(lines[-1].removeprefix(prefix).replace("DESIGN", str(band)))
    assert typed[2:-4] == [*way]
    done = run(*typed, home=home)
    assert (done.status, done.err) == (0, "")


def test_more_than_200(tmp_path: Path, home: Path) -> None:
    file = tmp_path / "two.yaml"
    file.write_text(
        BAND.replace("slate, rain, rain, slate", "slate, rain").replace(
            "  - f b\n  - f\nrepeats: 8", "  - f\n  - ''\nrepeats: 230"
        ),
        encoding="utf-8",
    )
    lines = said(file, "--done", "230", "--see", "rain slate", home=home).splitlines()
    assert lines[0] == "Any one of 230 wrong knots explains what you see after 230 knots; the latest first:"
    assert lines[1].startswith("  Row 459, knot 230, the only knot: forward-backward")
    assert lines[200].startswith("  Row 61, knot 31, ")
    assert lines[201] == "  and 30 more"


def test_as_charted_and_nothing_found(band: Path, home: Path) -> None:
    assert said(band, "--done", "0", "--see", "slate rain rain slate", home=home) == (
        "All you see is as charted after 0 knots.\nIf a knot looks wrong, add the colour it shows: --shows K:COLOUR\n"
    )
    for see, done in (("rain rain rain rain", "24"), ("rain slate slate rain", "1")):
        assert said(band, "--done", done, "--see", see, home=home) == (
            f"Neither one wrong knot nor two explain what you see after {done} knot{'' if done == '1' else 's'}.\n"
            "Check the colours and the number of knots done; benchmate where looks for your place.\n"
        )
    twice = ("--done", "24", "--see", HANGING, "--shows", "3:rain", "--shows", "3:-")
    assert said(band, *twice, home=home) == "One knot cannot show two colours: check --shows.\n"


def test_no_colour_tells_them_apart(tmp_path: Path, home: Path) -> None:
    """A string that hangs where it hung and made both knots: it can have stayed in the first, or come back."""
    file = tmp_path / "two.yaml"
    rows = "  - {start: 1, knots: f}\n" * 2
    file.write_text(CHART.partition("strings")[0] + f"strings: [slate, rain]\nrows:\n{rows}", encoding="utf-8")
    words = ("--done", "2", "--see", "rain slate", "--shows", "1:slate", "--shows", "2:slate")
    lines = said(file, *words, home=home).splitlines()
    assert lines == [
        "Any one of 2 wrong knots explains what you see after 2 knots; the latest first:",
        "  Row 2, knot 2, the only knot: backward-forward instead of forward",
        "  Row 1, knot 1, the only knot: forward-backward instead of forward",
        "No colour tells these apart; see in the band how the knots are made.",
    ]


@pytest.mark.parametrize(
    ("words", "fault"),
    [
        ("--done 25", "--done must be at most 24, the steps of this design (found 25)"),
        ("--done 24 --see rain", "--see must name the colours of all 4 strings (found 1)"),
        ("--done 24 --see 'rain slate rain slate rain'", "--see must name the colours of all 4 strings (found 5)"),
        ("--done 24 --see 'rain slate rain slat'", "--see: the design has no colour `slat`; did you mean `slate`?"),
        ("--done 24 --see 'rain - rain slate'", "--see must name the colour of every string: `-` stands for no knot"),
        ("--done 9 --shows 10:rain", "--shows: the step must be from 1 to 9, the steps done (found `10`)"),
        ("--done 9 --shows 0:rain", "--shows: the step must be from 1 to 9, the steps done (found `0`)"),
        ("--done 0 --shows 1:rain", "--shows: the step must be a step that is done, and none is (found `1`)"),
        ("--done 9 --shows 3:red", "--shows: the design has no colour `red`"),
        ("--done 9 --shows 3", "--shows must be a step and what it is, such as 12:deep (found `3`)"),
        ("--done 9 --shows 3:", "--shows must be a step and what it is, such as 12:deep (found `3:`)"),
        ("--done 9 --shows x:rain", "--shows must be a step and what it is, such as 12:deep (found `x:rain`)"),
        ("--done 9 --shows ²:rain", "--shows must be a step and what it is, such as 12:deep (found `²:rain`)"),
        (f"--done 9 --shows {'9' * 5000}:rain", f"(found `{'9' * 37}...`)"),
        ("--done -1", "argument --done: must be a whole number from 0 to 999999999, such as 12 (found '-1')"),
        ("--repeats 9999999 --done 1", "--repeats: "),
        ("--done 1 --by columns", "argument --by: invalid choice: 'columns' (choose from"),
    ],
)
def test_a_faulty_command_line(band: Path, home: Path, words: str, fault: str) -> None:
    arguments = shlex.split(words)
    see = [] if "--see" in arguments else ["--see", HANGING]
    assert fault in refused(band, *see, *arguments, home=home)


def test_other_families_and_missing_files(tmp_path: Path, home: Path) -> None:
    written = tmp_path / "written.yaml"
    written.write_text(WRITTEN, encoding="utf-8")
    asked = ("--done", "1", "--see", "deep")
    for file, family in ((written, "steps"), ("fish-both-ways", "alpha"), ("four-square-cord", "braid")):
        fault = f"`why` is for designs of the family diagonal (this one is of the family {family})"
        assert refused(file, *asked, home=home, status=1) == f"{file}: {fault}"
    assert refused(tmp_path / "none.yaml", *asked, home=home, status=1).startswith(f"{tmp_path / 'none.yaml'}: ")


def test_steps_are_numbered_as_they_are_worked(band: Path, home: Path) -> None:
    """By segments and from the right the same mistake has another number, and its row and place stay."""
    for choice, number in (("--by rows", 20), ("--from-right", 19), ("--by segments", 19)):
        lines = said(band, *choice.split(), "--done", "24", "--see", HANGING, home=home).splitlines()
        assert any(line.startswith(f"  Row 13, knot {number}, first from the right: ") for line in lines), choice
    mirrored = said(band, "--mirror", "--done", "24", "--see", "slate rain slate rain", home=home).splitlines()
    assert mirrored[1].startswith("  Row 13, knot 19, first from the left: ")


def test_a_start_has_its_own_numbers_at_the_bench(band: Path, home: Path) -> None:
    band.write_text(BAND + "start: fold-over-a-pin\n", encoding="utf-8")
    lines = said(band, "--done", "24", "--see", HANGING, home=home).splitlines()
    steps = "The bench counts the 8 steps of the start too: subtract 8 from its number of steps done."
    assert lines[0] == f"{steps} 24 done here are 32 there."


def test_a_knot_left_wrong_is_the_chart_of_what_follows(band: Path, home: Path) -> None:
    hanging = (band, "--done", "24", "--see", HANGING)
    assert len(said(*hanging, home=home).splitlines()) > 4
    assert said(*hanging, "--made", "20:fb", home=home) == (
        "All you see is as charted, with the knots of --made, after 24 knots.\n"
        "If a knot looks wrong, add the colour it shows: --shows K:COLOUR\n"
    )
    asked = (band, "--done", "24", "--see", "slate rain rain slate", "--json")
    assert json.loads(said(*asked, home=home))["as_charted"] is True
    found = json.loads(said(*asked, "--made", "20:fb", home=home))
    assert found["as_charted"] is False
    assert found["mistakes"]
    assert not any(knot["knot"] == 20 and "fb" in knot["made"] for each in found["mistakes"] for knot in each)


@pytest.mark.parametrize(
    ("made", "fault"),
    [
        ("--made 20:f --made 20:fb", "--made names step 20 twice"),
        ("--made 20:b", "--made: step 20 is charted as b, so that is not wrong"),
        ("--made 25:fb", "--made: the step must be from 1 to 24, the steps done (found `25`)"),
        ("--made 20:up", "--made: the knot must be one of "),
    ],
)
def test_a_faulty_knot_that_was_made(band: Path, home: Path, made: str, fault: str) -> None:
    assert fault in refused(band, "--done", "24", "--see", HANGING, *made.split(), home=home)
