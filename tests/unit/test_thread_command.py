"""The command `thread`: a cut list to work from, its document, and the sum for one string."""

import json
import re
from pathlib import Path
from typing import Any

import pytest

from benchmate.commands.shared.thread.thread_needed import Floss, thread_needed
from tests.loaded import run
from tests.running import LAMPS

STRIPE = """\
benchmate: 1
title: Towpath stripe
family: diagonal
colours: {deep: {css: "#0b3c5d", say: deep blue}, foam: "#f4f1de"}
strings: [deep, foam, foam, deep]
rows: [f f, f, f f, f, f f, f, f f, f]
"""
FOLD = """\
benchmate: 1
title: Fold
family: steps
colours: {deep: navy}
doubled: true
uses: 40.5
steps: [{do: Fold}]
"""


@pytest.fixture
def stripe(tmp_path: Path) -> Path:
    (tmp_path / "fold.yaml").write_text(FOLD, encoding="utf-8")
    file = tmp_path / "stripe.yaml"
    file.write_text(STRIPE, encoding="utf-8")
    return file


def document(*arguments: str | Path, home: Path) -> Any:
    """What `thread --json` prints."""
    done = run("thread", *arguments, "--json", home=home)
    assert (done.status, done.err) == (0, "")
    return json.loads(done.out)


def test_the_document_of_a_band(stripe: Path, tmp_path: Path) -> None:
    found = document(stripe, home=tmp_path)
    assert list(found) == ["title", "family", "gauge", "strings", "pieces", "colours", "band_mm"]
    assert found["gauge"] == {
        **{"name": "floss", "made_mm": 10.5, "carried_mm": 1.95, "stayed_mm": 1.4, "waited_mm": 1.3, "row_mm": 1.3},
        **{"base_mm": 1.9, "wide_mm": 2.45, "start_mm": 100, "finish_mm": 150, "hold_mm": 50, "tail_mm": 90},
        "seen": 0,
    }
    # Eight rows bring all four strings home: each makes three knots, is carried in three, and waits twice.
    needs = 3 * 10.5 + 3 * 1.95 + 2 * 1.3
    assert found["strings"][0] == {
        **{"string": 1, "colour": "deep", "made": 3, "carried": 3, "stayed": 0, "waited": 2},
        **{"needs_mm": round(needs, 1), "spare_mm": round(needs / 5, 1), "cut_mm": 300},
    }
    assert found["pieces"] == [
        {"colour": colour, "strings": [string], "cut_mm": 300}
        for string, colour in enumerate(("deep", "foam", "foam", "deep"), 1)
    ]
    assert found["colours"] == [{"colour": "deep", "cut_mm": 600}, {"colour": "foam", "cut_mm": 600}]
    assert found["band_mm"] == 10.4
    twice = document(stripe, "--repeats", "2", home=tmp_path)
    assert twice["strings"][0]["needs_mm"] == round(2 * needs, 1)


def test_the_document_of_a_picture_and_of_a_braid(tmp_path: Path) -> None:
    lamps = tmp_path / "lamps.yaml"
    lamps.write_text(LAMPS, encoding="utf-8")
    found = document(lamps, home=tmp_path)
    assert set(found) == {"title", "family", "gauge", "strings", "leading", "pieces", "colours", "band_mm"}
    assert found["strings"][5] == {
        **{"string": 6, "colour": "dusk", "made": 0, "carried": 0, "stayed": 2, "waited": 0},
        **{"needs_mm": 3.8, "spare_mm": 0.8, "cut_mm": 260},
    }
    # The lamps are four columns apart; the dusk goes one row up at the right, behind one column.
    assert found["leading"][0] == {
        **{"leading": 1, "colour": "lamp", "knots": 2, "floats_mm": 9.8},
        **{"needs_mm": 30.8, "spare_mm": 6.2, "cut_mm": 220},
    }
    assert [each["leading"] for each in found["leading"]] == [1, 2]
    assert sum(each["cut_mm"] for each in found["colours"]) == 6 * 260 + sum(
        each["cut_mm"] for each in found["leading"]
    )
    braid = document("mooring-line", home=tmp_path)
    assert braid["estimated"] is True
    assert list(braid["strings"][0]) == ["string", "slot", "colour", "moves", "needs_mm", "spare_mm", "cut_mm"]
    assert [each["string"] for each in braid["strings"]] == list(range(1, 9))
    assert [each["slot"] for each in braid["strings"]] == [1, 8, 9, 16, 17, 24, 25, 32]
    assert [piece["strings"] for piece in braid["pieces"]] == [[number] for number in range(1, 9)]


def test_the_plan_is_that_of_order(tmp_path: Path) -> None:
    steps = json.loads(run("order", "knot-by-knot", "--json", home=tmp_path).out)["steps"]
    found = document("knot-by-knot", home=tmp_path)["leading"]
    assert [each["knots"] for each in found] == [
        sum(step["leading"] == each["leading"] for step in steps) for each in found
    ]
    (tmp_path / "settings.yaml").write_text("float-columns: 1\nfloat-rows: 0\n", encoding="utf-8")
    more = document("knot-by-knot", home=tmp_path)["leading"]
    steps = json.loads(run("order", "knot-by-knot", "--json", home=tmp_path).out)["steps"]
    assert len(more) == max(step["leading"] for step in steps) > len(found)


def test_a_cut_list_to_work_from(stripe: Path, tmp_path: Path) -> None:
    done = run("thread", stripe, home=tmp_path)
    assert (done.status, done.err) == (0, "")
    assert done.out.splitlines() == [
        "Towpath stripe: what to cut",
        "",
        "deep blue, 2 lengths of 30 cm, for strings 1 and 4",
        "foam, 2 lengths of 30 cm, for strings 2 and 3",
        "",
        "Thread in all: 1.2 m (deep blue 60 cm, foam 60 cm)",
        "The band will be about 1 cm long, without start and finish.",
        "Estimated for six-strand embroidery floss; measure a swatch for your own.",
    ]
    stripe.write_text(
        STRIPE.replace("[f f, f, f f, f, f f, f, f f, f]", "[f -, '-']\nrepeats: 4") + "start: fold\n", encoding="utf-8"
    )
    (tmp_path / "settings.yaml").write_text("units: inches\n", encoding="utf-8")
    assert run("thread", stripe, home=tmp_path).out.splitlines()[2:4] == [
        # 230 mm, for two knots made, two carried and four rows waited, and 210 mm, for eight rows waited.
        "deep blue, 17⅜ in, folded 9 in from one end: the long end is string 1, the short one string 4",
        "foam, 17⅜ in, folded 9 in from one end: the long end is string 2, the short one string 3",
    ]


def test_many_folded_lengths_are_one_line(tmp_path: Path) -> None:
    done = run("thread", "fish-both-ways", home=tmp_path)
    first, second = done.out.splitlines()[2:4]
    assert first == "water, 8 lengths of 86 cm, folded: base strings 1 and 2, 3 and 4, and so on to 15 and 16"
    assert second == "water, 43 cm, for base string 17"


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (
            ("barley-ear", "--explain", "3"),
            [
                "knots made 60 x 10.5 mm 630.0 mm derived for six-strand floss",
                "knots carried, changing places 44 x 1.95 mm 85.8 mm derived for six-strand floss",
                "spare 20% of 737.0 mm 147.4 mm common practice, until you measure",
                "in all 1134.4 mm",
                "cut 1140.0 mm rounded up to a whole centimetre",
            ],
        ),
        (
            ("knot-by-knot", "--explain", "l3"),
            ["knots made 38 x 10.5 mm 399.0 mm derived for six-strand floss", "two cut ends 2 x 90 mm 180.0 mm"],
        ),
        (("framed-quince", "--explain", "1"), ["One length of 2 m 20 cm with string 12, folded."]),
        (("knot-by-knot", "--explain", "3"), ["rows knotted over 74 x 1.9 mm 140.6 mm"]),
        (("mooring-line", "--explain", "8"), ["a helix in the braid"]),
        (("mooring-line", "--explain", "8"), ["start 120.0 mm as its design says: Knot in a disk"]),
        (("tidewater-chevron", "--thread", "wool", "--explain", "1"), ["that of floss, for the thickness of wool"]),
    ],
)
def test_the_sum_for_a_string(arguments: tuple[str, ...], said: list[str], tmp_path: Path) -> None:
    done = run("thread", *arguments, home=tmp_path)
    assert (done.status, done.err) == (0, "")
    out = done.out.replace("\N{MULTIPLICATION SIGN}", "x")
    lines = "\n".join(" ".join(line.split()) for line in out.splitlines())
    assert [line for line in said if line not in lines] == []


def test_the_terms_add_up(tmp_path: Path) -> None:
    for arguments in (("barley-ear", "5"), ("knot-by-knot", "L1"), ("knot-by-knot", "1"), ("mooring-line", "9")):
        done = run("thread", arguments[0], "--explain", arguments[1], home=tmp_path)
        terms = [line for line in done.out.splitlines() if line.startswith("  ")]
        # The last length of a line that two spaces set apart is the term.
        *each, in_all, cut = (float(re.findall(r"  ([0-9.]+) mm(?:  |$)", line)[-1]) for line in terms)
        assert in_all == pytest.approx(sum(each), abs=0.3)
        assert in_all <= cut < in_all + 10


def test_a_gauge_of_the_makers_own_says_where_it_comes_from(stripe: Path, tmp_path: Path) -> None:
    used = ("--used", "30,30,0,4:500", "--used", "28,33,0,3:470", "--used", "31,30,0,3:505")
    assert run("gauge", "floss", *used, home=tmp_path).status == 0
    lines = run("thread", stripe, home=tmp_path).out.splitlines()
    assert lines[-1] == "By your own gauge for floss: 3 strings you measured."
    sums = run("thread", stripe, "--explain", "1", home=tmp_path).out
    assert "learned from 3 strings you measured, probably " in sums
    assert "lasts 49 times in 50, learned from 3 strings you measured" in sums


def test_alpha_rows_teach_what_a_knot_takes_though_no_string_was_measured(stripe: Path, tmp_path: Path) -> None:
    assert run("gauge", "floss", "--measured", "alpha-rows:40:120", home=tmp_path).status == 0
    gauge = document(stripe, home=tmp_path)["gauge"]
    assert (gauge["made_mm"] > 11, gauge["seen"]) == (True, 0)
    assert run("thread", stripe, home=tmp_path).out.splitlines()[-1] == (
        "By your own gauge for floss: alpha rows you measured."
    )
    sums = run("thread", stripe, "--explain", "1", home=tmp_path).out
    assert "learned from alpha rows you measured, probably " in sums
    assert "derived for six-strand floss" not in sums
    assert "common practice, until you measure a string" in sums
    assert "floss: six-strand embroidery floss; from alpha rows you measured" in (
        run("gauge", "floss", home=tmp_path).out.splitlines()
    )


def test_rows_teach_nothing_of_the_thread_that_is_used(stripe: Path, tmp_path: Path) -> None:
    assert run("gauge", "floss", "--measured", "rows:40:60", home=tmp_path).status == 0
    assert "Estimated for six-strand embroidery floss" in run("thread", stripe, home=tmp_path).out
    assert "derived for six-strand floss" in run("thread", stripe, "--explain", "1", home=tmp_path).out


def test_a_thread_of_unknown_thickness_is_not_estimated_from_it(stripe: Path, tmp_path: Path) -> None:
    assert run("gauge", "eel", "--slippery", home=tmp_path).status == 0
    assert run("gauge", "hemp", "--tex", "900", home=tmp_path).status == 0
    eel, hemp = (run("thread", stripe, "--thread", name, home=tmp_path).out for name in ("eel", "hemp"))
    assert "\nEstimated for eel as for six-strand floss; measure a swatch for your own.\n" in eel
    assert "\nEstimated for hemp from its thickness; measure a swatch for your own.\n" in hemp


def test_what_is_refused(stripe: Path, tmp_path: Path) -> None:
    for arguments, status, said in (
        (("twisted-tie",), 1, "twisted-tie: written steps alone have no strings to cut\n"),
        ((stripe, "--thread", "flos"), 2, "--thread: there is no thread `flos`; did you mean `floss`?"),
        ((stripe, "--thread", "qqqqqqqq"), 2, "there is no thread `qqqqqqqq`; benchmate gauge lists the threads"),
        ((stripe, "--explain", "5"), 2, "--explain: there is no string '5' (there are strings 1 to 4)"),
        ((stripe, "--explain", "L1"), 2, "there is no string 'L1'"),
        ((stripe, "--explain", "\x1b[1m"), 2, "there is no string '?[1m'"),
        (("mooring-line", "--explain", "2"), 2, "(there are slots 1, 8, 9, 16, 17, 24, 25 and 32)"),
        (("knot-by-knot", "--explain", "L9"), 2, "(there are base strings 1 to 11, leading strings L1 to L8)"),
        ((stripe, "--explain", "1", "--json"), 2, "--explain prints lines for people; leave out --json"),
        ((stripe, "--repeats", "0"), 2, "--repeats"),
        ((stripe, "--repeats", "90000"), 2, "--repeats: 90000 repeats make 1080000 steps, more than 200000"),
        (("four-square-cord", "--repeats", "60000"), 2, "--repeats"),
        (("nowhere.yaml",), 1, "nowhere.yaml: "),
    ):
        done = run("thread", *arguments, home=tmp_path)
        assert (done.status, done.out) == (status, ""), arguments
        assert said in done.err


def test_the_thread_of_a_design(stripe: Path, tmp_path: Path) -> None:
    """Its own gauge where it has one; an unknown one is floss, and only `check` warns."""
    stripe.write_text(STRIPE.replace("strings:", "thread: wool\nstrings:"), encoding="utf-8")
    assert document(stripe, home=tmp_path)["gauge"]["name"] == "wool"
    assert run("check", stripe, home=tmp_path).err == ""
    assert document(stripe, "--thread", "floss", home=tmp_path)["gauge"]["name"] == "floss"
    stripe.write_text(STRIPE.replace("strings:", "thread: hedge-silk\nstrings:"), encoding="utf-8")
    assert document(stripe, home=tmp_path)["gauge"]["name"] == "floss"
    said = run("thread", stripe, home=tmp_path)
    assert "The thread `hedge-silk` has no gauge of its own yet." in said.out
    warning = f"{stripe}:5:9: warning: unknown thread `hedge-silk`: `floss` is used\n"
    assert run("check", stripe, home=tmp_path).err == warning
    assert run("gauge", "hedge-silk", "--used", "30,30,0,4:500", home=tmp_path).status == 0
    assert run("check", stripe, home=tmp_path).err == ""
    assert document(stripe, home=tmp_path)["gauge"]["name"] == "hedge-silk"
    # What can be no name never reaches any output.
    stripe.write_text(STRIPE.replace("strings:", 'thread: "two words"\nstrings:'), encoding="utf-8")
    assert "unknown thread `two words`" in run("check", stripe, home=tmp_path).err
    assert document(stripe, home=tmp_path)["gauge"]["name"] == "floss"


def test_letters_and_pictures_say_the_thread_they_need(tmp_path: Path) -> None:
    out = tmp_path / "moss.yaml"
    done = run("letters", "MOSS", "-o", out, "--finish", "crimped-end", home=tmp_path)
    assert done.status == 0
    said = done.err.splitlines()[-1]
    in_all = sum(each["cut_mm"] for each in document(out, home=tmp_path)["colours"])
    assert said.startswith(f"Thread in all: {in_all / 1000:.1f} m (ground ")
    assert said.endswith("; benchmate thread says how to cut it.")
    (tmp_path / "settings.yaml").write_text("units: furlongs\n", encoding="utf-8")
    broken = run("letters", "MOSS", home=tmp_path)
    assert broken.status == 0
    assert f"{tmp_path / 'settings.yaml'}:1:8: " in broken.err
    assert "The sizes are those of floss before anything was measured." in broken.err


def test_a_picture_of_single_knots_says_at_least_its_knots() -> None:
    """Its leading strings are not planned, so that writing a design never takes long: 6400 knots of 12.4 mm."""
    chart = "\n".join("  " + ".o" * 40 for _ in range(80))
    text = f"{LAMPS[: LAMPS.index('chart')]}chart: |\n{chart}\n"
    said = thread_needed(text, None, Floss())
    assert said == "Thread: at least 79.4 m in the knots alone; benchmate thread counts floats and ends too."
    assert thread_needed(text, None, Floss(units="inches")).startswith("Thread: at least 86.8 yards in ")


def test_the_list_on_the_help_page_is_true(tmp_path: Path) -> None:
    shown = run("help", "thread", home=tmp_path).out
    lines = run("thread", "tidewater-chevron", home=tmp_path).out.splitlines()[2:5]
    assert "\n".join(f"    {line}" for line in lines) in shown
