"""The commands `mend` and `lasts`: their documents, their lines for people, and what they refuse."""

import json
from pathlib import Path
from typing import Any

import pytest

from benchmate.craft.knots import Knot
from benchmate.craft.trouble.trouble import MENDED_WITHIN
from benchmate.families.diagonal.trouble.mend import mend
from benchmate.families.diagonal.work import DiagonalWork
from tests.charts import full
from tests.loaded import run
from tests.running import LAMPS, Done

STRIPE = """\
benchmate: 1
title: Towpath stripe
family: diagonal
colours: {deep: {css: "#0b3c5d", say: deep blue}, foam: "#f4f1de", rust: "#b7410e"}
strings: [deep, foam, rust, foam]
rows: [f f, f, f f, f, f f, f, f f, f]
"""
FOLD = """\
benchmate: 1
title: Fold
family: steps
colours: {deep: navy}
steps: [{do: Fold}, {do: Pin}]
"""


@pytest.fixture
def stripe(tmp_path: Path) -> Path:
    file = tmp_path / "stripe.yaml"
    file.write_text(STRIPE, encoding="utf-8")
    return file


def document(*arguments: str | Path, home: Path) -> Any:
    """What a command prints with --json."""
    done = run(*arguments, "--json", home=home)
    assert (done.status, done.err) == (0, "")
    return json.loads(done.out)


def refused(done: Done, status: int, says: str) -> None:
    assert (done.status, done.out) == (status, "")
    assert says in done.err.splitlines()[-1]


def test_the_document_of_a_mend(stripe: Path, tmp_path: Path) -> None:
    # String 1 goes over string 2 in row 1, and they meet again four rows below, in knot 8.
    found = document("mend", stripe, "--done", "3", "--wrong", "1:fb", home=tmp_path)
    assert found == {"changes": [{"knot": 8, "make": "bf"}], "from_row": 5, "shows": 3}
    nothing: dict[str, object] = {"changes": [], "from_row": None, "shows": 0}
    assert document("mend", stripe, "--done", "3", "--wrong", "1:b", home=tmp_path) == nothing
    # Row 5 is three rows past row 2, the last one touched.
    none = {"changes": None, "from_row": None, "shows": None}
    assert document("mend", stripe, "--done", "3", "--wrong", "1:-", "--rows", "2", home=tmp_path) == none
    assert document("mend", stripe, "--done", "3", "--wrong", "1:-", "--rows", "3", home=tmp_path)["from_row"] == 5
    two = document("mend", stripe, "--done", "3", "--wrong", "1:fb", "--wrong", "2:-", home=tmp_path)
    assert [each["knot"] for each in two["changes"]] == [7, 8]


def test_a_mend_in_words(stripe: Path, tmp_path: Path) -> None:
    assert run("mend", stripe, "--done", "3", "--wrong", "1:fb", home=tmp_path).out.splitlines() == [
        "Leave the wrong knot, and change 1 later knot:",
        "      8  backward-forward, 4 foam over 3 deep blue, each stays on its side; row 5",
        "From the end of row 5 the strings hang as charted.",
        "Until then 3 knots show another colour than in the chart.",
    ]
    assert run("mend", stripe, "--done", "3", "--wrong", "1:b", home=tmp_path).out.splitlines() == [
        "The strings hang in the colours of the chart; there is nothing to change."
    ]
    out = run("mend", stripe, "--done", "3", "--wrong", "1:-", "--rows", "0", home=tmp_path).out
    assert out.startswith("No change of up to 3 knots brings the strings back to the chart by row 2.\n")
    assert "look further ahead (--rows), or leave it as it is." in out
    out = run("mend", stripe, "--done", "12", "--wrong", "12:fb", home=tmp_path).out
    assert "by row 8.\nUndo what is wrong (see: benchmate untie --help), or leave it as it is.\n" in out, (
        "no rows are left"
    )


def test_the_help_says_how_far_is_looked(tmp_path: Path) -> None:
    assert f"(default: {MENDED_WITHIN})" in " ".join(run("mend", "--help", home=tmp_path).out.split())


def test_the_document_of_lasts(stripe: Path, tmp_path: Path) -> None:
    # String 1 goes over strings 2, 3 and 4, waits in row 4, and is gone over by all three; it waits in row 8.
    def lasts(done: int, remaining: str, *more: str) -> Any:
        of = ("--done", str(done), "--string", "1", "--remaining", remaining)
        return document("lasts", stripe, *of, *more, home=tmp_path)

    needs = round(3 * 10.5 + 3 * 1.95 + 2 * 1.3, 1)
    assert lasts(0, "900") == {"needs_mm": needs, "gives_out": None, "lay_in": None}
    assert lasts(0, "81.5") == {"needs_mm": needs, "gives_out": 8, "lay_in": None}
    # Knot 8 and the row before it take 3.25 mm; 38.65 mm are needed up to knot 10.
    assert lasts(0, "88.65") == {"needs_mm": needs, "gives_out": None, "lay_in": None}
    assert lasts(0, "88.64") == {"needs_mm": needs, "gives_out": 10, "lay_in": 9}
    assert lasts(12, "0") == {"needs_mm": 0.0, "gives_out": None, "lay_in": None}
    assert lasts(11, "0") == {"needs_mm": 1.3, "gives_out": None, "lay_in": None}
    assert lasts(0, "900", "--repeats", "2")["needs_mm"] == round(2 * (3 * 10.5 + 3 * 1.95 + 2 * 1.3), 1)


def test_lasts_goes_by_the_gauge_of_the_thread(stripe: Path, tmp_path: Path) -> None:
    asked = ("lasts", stripe, "--done", "0", "--string", "1", "--remaining", "900")
    usual = document(*asked, home=tmp_path)["needs_mm"]
    wool = ("--thread", "wool")
    thick = document(*asked, *wool, home=tmp_path)
    assert thick["needs_mm"] == document("thread", stripe, *wool, home=tmp_path)["strings"][0]["needs_mm"]
    assert thick["needs_mm"] > usual
    # What the maker measured counts more than what was shipped.
    run("gauge", "floss", "--used", "20,20,0,0:400", home=tmp_path)
    learned = document(*asked, home=tmp_path)["needs_mm"]
    assert learned == document("thread", stripe, home=tmp_path)["strings"][0]["needs_mm"] > usual


def test_lasts_in_words(stripe: Path, tmp_path: Path) -> None:
    of = ("--done", "0", "--string", "1", "--remaining")
    assert run("lasts", stripe, *of, "88", home=tmp_path).out.splitlines() == [
        "After 0 knots string 1 (deep blue) still needs 4 cm; 8.8 cm is left.",
        "It gives out here; an end under 5 cm is too short to knot with:",
        "     10  forward, 1 rust over 2 deep blue, then rust hangs at 2, deep blue at 1; row 7",
        "Lay in a new string here at the latest; it is passive, so the join is hidden:",
        "      9  forward, 2 foam over 3 deep blue, then foam hangs at 3, deep blue at 2; row 6",
        "Estimated for six-strand embroidery floss; measure a swatch for your own.",
    ]
    assert "It lasts." in run("lasts", stripe, *of, "900", home=tmp_path).out.splitlines()
    short = run("lasts", stripe, *of, "60", home=tmp_path).out.splitlines()
    assert "There is no knot before that in which it is passive, so the join with a new string will show." in short


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["mend", "--done", "13", "--wrong", "1:b"], "--done must be at most 12, the steps of this design (found 13)"),
        (["mend", "--done", "3", "--wrong", "4:b"], "the step must be from 1 to 3"),
        (["mend", "--done", "3", "--wrong", "0:b"], "the step must be from 1 to 3"),
        (["mend", "--done", "0", "--wrong", "1:b"], "none is"),
        (["mend", "--done", "3", "--wrong", "3:f"], "step 3 is charted as f"),
        (["mend", "--done", "3", "--wrong", "3:x"], "the knot must be one of f, b, fb, bf and -"),
        (["mend", "--done", "3", "--wrong", "3"], "--wrong must be"),
        (["mend", "--done", "3", "--wrong", "3:b", "--wrong", "3:fb"], "--wrong names step 3 twice"),
        (["mend", "--done", "3", "--wrong", "3:b", "--rows", "-1"], "must be a whole number from 0"),
        (["mend", "--done", "3"], "--wrong"),
        (["lasts", "--done", "13", "--string", "1", "--remaining", "5"], "--done must be at most 12"),
        (["lasts", "--done", "1", "--string", "5", "--remaining", "5"], "--string must be at most 4"),
        (["lasts", "--done", "1", "--string", "0", "--remaining", "5"], "must be a whole number from 1"),
        (["lasts", "--done", "1", "--string", "1", "--remaining", "-5"], "must be a number of millimetres from 0"),
        (["lasts", "--done", "1", "--string", "1", "--remaining", "5", "--thread", "flos"], "did you mean `floss`?"),
    ],
    ids=" ".join,
)
def test_what_is_out_of_range_is_refused(arguments: list[str], says: str, stripe: Path, tmp_path: Path) -> None:
    refused(run(arguments[0], stripe, *arguments[1:], "--json", home=tmp_path), 2, says)


@pytest.mark.parametrize(("text", "family"), [(LAMPS, "alpha"), (FOLD, "steps")], ids=["a picture", "written steps"])
def test_other_families_have_no_answer(text: str, family: str, tmp_path: Path) -> None:
    file = tmp_path / "other.yaml"
    file.write_text(text, encoding="utf-8")
    says = f"is for designs of the family diagonal (this one is of the family {family})"
    refused(run("mend", file, "--done", "2", "--wrong", "1:b", home=tmp_path), 1, says)
    refused(run("lasts", file, "--done", "2", "--string", "1", "--remaining", "5", home=tmp_path), 1, says)


def test_a_search_reports_and_stops_when_asked() -> None:
    # No two strings meet again in fewer rows than there are strings.
    work = DiagonalWork(full(26, 24), 1)
    told: list[tuple[int, int]] = []
    mend(work, {0: Knot("fb")}, range(work.size), 1, 24, lambda at, of: told.append((at, of)))
    assert len(told) > 2
    assert told == sorted(told)
    assert all(at <= of for at, of in told)

    class Stopped(Exception):
        pass

    def stop(at: int, of: int) -> None:
        raise Stopped

    with pytest.raises(Stopped):
        mend(work, {0: Knot("fb")}, range(work.size), 1, 24, stop)


@pytest.mark.parametrize("way", [[], ["--by", "segments"], ["--from-right"], ["--by", "segments", "--from-right"]])
def test_steps_are_numbered_as_order_numbers_them(way: list[str], stripe: Path, tmp_path: Path) -> None:
    steps = document("order", stripe, *way, home=tmp_path)["steps"]
    number = {(step["knotting"], step["passive"], step["row"]): step["n"] for step in steps}
    # Strings 1 and 2 cross in row 1, and again in row 5, where string 2 makes the knot.
    wrong, again = number[1, 2, 1], number[2, 1, 5]
    done = max(wrong, 3)
    mended = document("mend", stripe, *way, "--done", str(done), "--wrong", f"{wrong}:fb", home=tmp_path)
    assert [each["knot"] for each in mended["changes"]] == [again]
    of = ("--done", "0", "--string", "1", "--remaining", "88.64")
    found = document("lasts", stripe, *way, *of, home=tmp_path)
    assert (found["gives_out"], found["lay_in"]) == (number[3, 1, 7], number[4, 1, 6])
    # In the mirror image, string 1 has the place and the part of string 4.
    mirrored = document("lasts", stripe, *way, "--mirror", "--done", "0", "--string", "4", *of[4:], home=tmp_path)
    assert mirrored["needs_mm"] == found["needs_mm"]
