"""Lengths that a person types: far from usual is asked about once, what is no length is refused."""

import csv
from collections.abc import Iterator
from pathlib import Path

import pytest

from benchmate.craft.thread import plausible
from benchmate.craft.wording.length_words import fine_words
from benchmate.piece_questions import typed_numbers
from benchmate.piece_questions.typed_numbers import Judged, judge

DATA = Path(__file__).parents[1] / "outside" / "data"


def _published_wrists() -> Iterator[float]:
    """The narrowest and the widest of each sex, and the means of children, mm."""
    with (DATA / "ansur2_wrist_summary.csv").open(encoding="utf-8") as file:
        for row in csv.DictReader(line for line in file if not line.startswith("#")):
            if row["measure"] == "wristcircumference":
                yield from (float(row["min"]), float(row["max"]))
    with (DATA / "children_wrist.csv").open(encoding="utf-8") as file:
        for row in csv.DictReader(line for line in file if not line.startswith("#")):
            yield 10 * float(row["mean_cm"])


def test_no_published_wrist_is_asked_about() -> None:
    wrists = list(_published_wrists())
    assert len(wrists) > 8
    assert [mm for mm in wrists if plausible.question("wrist", mm) is not None] == []


def test_an_absurd_wrist_is_asked_about_in_the_units_of_the_person() -> None:
    assert plausible.question("wrist", 1700) == "1 m 70 cm? A wrist is usually 10 cm to 22 cm."
    assert plausible.question("wrist", 17) == f"{fine_words(17, 'cm')}? A wrist is usually 10 cm to 22 cm."
    assert "in to " in (plausible.question("wrist", 1700, "inches") or "")


@pytest.mark.parametrize("what", plausible.USUAL)
def test_what_is_usual_is_never_asked_about(what: str) -> None:
    usual = plausible.USUAL[what]
    assert usual.least <= usual.low < usual.high <= usual.most
    assert [plausible.question(what, mm) for mm in (usual.low, usual.high, usual.least, usual.most)] == [None] * 4
    asked = plausible.question(what, usual.most * 1.1)
    assert asked is not None
    assert asked.startswith(fine_words(usual.most * 1.1, "cm") + "? ")


def test_an_absurd_length_is_taken_the_second_time() -> None:
    asked = typed_numbers.length("WRIST", "wrist", "wrist", "cm")
    assert judge(asked, "16,5", None) == Judged(165.0)
    first = judge(asked, "170", None)
    assert (first.number, first.doubted) == (None, 1700.0)
    assert judge(asked, "170", first.doubted) == Judged(1700.0)
    other = judge(asked, "1700", first.doubted)
    assert (other.number, other.doubted) == (None, 17000.0), "another one is asked about again"


@pytest.mark.parametrize("text", ["", "ten", "-5", "0", "1/0", "1e5", "9999999999"])
def test_what_is_no_length_is_refused(text: str) -> None:
    asked = typed_numbers.length("WRIST", "wrist", "wrist", "cm")
    assert judge(asked, text, None) == Judged(None, asked.refused)
    assert asked.refused == "Type a length above 0, such as 16.5; a number alone is in cm."


def test_there_may_be_nothing_left() -> None:
    asked = typed_numbers.length("LEFT", "left", "left", "inches")
    assert judge(asked, "0", None) == Judged(0.0)
    assert judge(asked, "6 3/8", None).number == pytest.approx(161.925)


@pytest.mark.parametrize("text", ["0", "2.5", "x", "-1", "", "1000000000000"])
def test_a_count_is_a_whole_number_above_0(text: str) -> None:
    asked = typed_numbers.count("SWATCH", "knots")
    assert judge(asked, text, None).says == "Type a whole number above 0, such as 20."
    assert judge(asked, "20", None) == Judged(20.0)
