"""`fit`, and `follow --wrist`: what is printed, refused and begun."""

import json
from pathlib import Path

import pytest

from benchmate import piece_opening as openings
from benchmate.craft.thread.fitting.fit import Fit, exact
from benchmate.craft.thread.observations import Measured
from benchmate.craft.wording.fit_words import JUST_RIGHT, beside_words, fit_words, off_words
from benchmate.craft.wording.length_words import fine_spoken, fine_words
from benchmate.piece_opening import Kept
from benchmate.settings import DEFAULTS, write_settings
from benchmate.store import places
from benchmate.store.thread.gauges import record
from tests.loaded import run
from tests.running import CHART, WRITTEN, pieces
from tests.screen.benches import PICTURE, ROPE, written_to

ONCE = CHART.replace("  - f\n", "  - f\n  - f b\n").replace("repeats: 4\n", "")
"""Three rows that begin and end at position 1, so they cannot repeat."""


@pytest.fixture
def band(tmp_path: Path) -> Path:
    return written_to(tmp_path, CHART)


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ((), "give --wrist MM"),
        (("--wrist", "0"), "must be a number of millimetres above 0"),
        (("--wrist", "-5"), "must be a number of millimetres above 0"),
        (("--wrist", "nan"), "must be a number of millimetres above 0"),
        (("--wrist", "1e3"), "must be a number of millimetres above 0"),
        (("--wrist", "\N{ARABIC-INDIC DIGIT ONE}70"), "must be a number of millimetres above 0"),
        (("--wrist", "9" * 400), "must be a number of millimetres above 0"),
        (("--wrist", "160", "--ease=-+5"), "must be a number of millimetres, such as"),
        (("--wrist", "160", "--ease", "some"), "must be a number of millimetres"),
        (("--wrist", "20", "--gap", "35"), "wrist + ease - gap must be above 0 mm (found 0 mm)"),
        (("--wrist", "20", "--gap", "40"), "must be above 0 mm (found -5 mm)"),
        (("--ease", "20"), "--ease needs --wrist"),
        (("--wrist", "999999999"), "more than 200000"),
        (("--wrist", "160", "--thread", "spider"), "there is no thread `spider`"),
        (("--sizes", "--wrist", "160"), "leave out --wrist"),
    ],
)
def test_a_faulty_command_line(band: Path, home: Path, options: tuple[str, ...], message: str) -> None:
    done = run("fit", band, *options, home=home)
    assert (done.status, done.out) == (2, "")
    assert message in done.err
    assert not home.exists()


@pytest.mark.parametrize("text", [ROPE, WRITTEN, ONCE])
def test_what_has_no_such_length(tmp_path: Path, home: Path, text: str) -> None:
    file = written_to(tmp_path, text)
    done = run("fit", file, "--wrist", "160", home=home)
    assert (done.status, done.out) == (1, "")
    assert done.err.startswith(f"{file}: ")
    assert done.err.count("\n") == 1


def test_rows_that_cannot_repeat_fit_where_they_need_not(tmp_path: Path, home: Path) -> None:
    # Three rows are 3.9 mm; from 5.85 mm on, two repeats would be as near.
    file = written_to(tmp_path, ONCE)
    assert json.loads(run("fit", file, "--wrist", "5.84", "--ease", "0", "--json", home=home).out)["repeats"] == 1
    assert run("fit", file, "--wrist", "5.85", "--ease", "0", home=home).status == 1


def test_the_keys_of_the_document(band: Path, home: Path) -> None:
    found = json.loads(run("fit", band, "--wrist", "160.26", "--gap", "0.01", "--json", home=home).out)
    # 175.25 mm are 67.4 repeats of 2.6 mm.
    assert found == {
        "band_mm": 175.2,
        "row_mm": 1.3,
        "rows_per_repeat": 2,
        "repeats": 67,
        "rows": 134,
        "length_mm": 174.2,
    }


def test_the_same_for_a_person(band: Path, home: Path) -> None:
    done = run("fit", band, "--wrist", "160", home=home)
    assert done.err == ""
    assert done.out.splitlines() == [
        "Rain on slate, for a wrist of 16 cm: a band of 17.5 cm",
        "67 repeats, 134 rows: 17.4 cm, 1 mm shorter than wanted.",
        "17.2 cm with one fewer and 17.7 cm with one more.",
        "Estimated for six-strand embroidery floss; measure a swatch for your own.",
        "Never tie a band tight: a finger must fit under it. More: benchmate help fit",
    ]


@pytest.mark.parametrize("text", ["160", "+160", "160.", "160.0", "0160"])
def test_a_number_of_millimetres(band: Path, home: Path, text: str) -> None:
    assert json.loads(run("fit", band, "--wrist", text, "--json", home=home).out)["band_mm"] == 175.0
    assert json.loads(run("fit", band, "--wrist", text, "--ease", ".5", "--json", home=home).out)["band_mm"] == 160.5
    assert json.loads(run("fit", band, "--wrist", text, "--ease=-.5", "--json", home=home).out)["band_mm"] == 159.5


def test_an_absurd_wrist_is_asked_about_and_not_refused(band: Path, home: Path) -> None:
    done = run("fit", band, "--wrist", "1700", home=home)
    assert done.status == 0
    assert done.err == "1 m 70 cm? A wrist is usually 10 cm to 22 cm.\n"
    assert run("fit", band, "--wrist", "1700", "--json", home=home).err == ""
    assert "660 repeats, 1320 rows: 1 m 71.6 cm" in done.out
    both = run("fit", band, "--wrist", "160", "--ease", "200", "--gap", "120", home=home).err.splitlines()
    assert both[0].startswith("20 cm? Ease is usually ")
    assert both[1].startswith("12 cm? The gap of a closure is usually ")
    assert "1 m 70 cm? " in run("follow", band, "--plain", "--wrist", "1700", home=home, given="q\n").err


def test_in_inches(band: Path, home: Path) -> None:
    home.mkdir()
    write_settings(home / "settings.yaml", DEFAULTS._replace(units="inches"))
    said = run("fit", band, "--wrist", "160", home=home).out
    assert "for a wrist of 6¼ in: a band of 6⅞ in" in said
    assert f"6⅞ in, {JUST_RIGHT}." in said


def test_it_says_what_the_height_of_the_rows_rests_on(band: Path, tmp_path: Path, home: Path) -> None:
    def says(design: Path, thread: str) -> str:
        return run("fit", design, "--wrist", "160", "--thread", thread, home=home).out.splitlines()[-2]

    assert run("gauge", "jute", "--tex", "1800", home=home).status == 0
    assert says(band, "jute") == "Estimated for jute from its thickness; measure a swatch for your own."
    assert run("gauge", "jute", "--measured", "rows:40:90", home=home).status == 0
    assert says(band, "jute") == "By your own gauge for jute: rows you measured."
    picture = tmp_path / "picture"
    picture.mkdir()
    # Its rows are of another height, which nobody has measured.
    file = written_to(picture, PICTURE)
    assert says(file, "jute") == "Estimated for jute from its thickness; measure a swatch for your own."
    assert run("gauge", "jute", "--measured", "alpha-rows:40:150", home=home).status == 0
    assert says(file, "jute") == "By your own gauge for jute: alpha rows you measured."


def test_pictures_rows_are_higher(tmp_path: Path, home: Path) -> None:
    found = json.loads(run("fit", written_to(tmp_path, PICTURE), "--wrist", "160", "--json", home=home).out)
    # 175 mm are 30.7 repeats of three rows of 1.9 mm.
    assert (found["row_mm"], found["repeats"]) == (1.9, 31)


def test_rows_are_as_high_as_the_gauge_of_the_thread_says(kept: Kept, band: Path) -> None:
    record(kept.pieces.database, "reed-yarn", [Measured("rows", 100, 160.0)])
    home = kept.home.folder
    named = json.loads(run("fit", band, "--wrist", "160", "--thread", "reed-yarn", "--json", home=home).out)
    assert named["row_mm"] > 1.3
    assert "Estimated" not in run("fit", band, "--wrist", "160", "--thread", "reed-yarn", home=home).out
    band.write_text(CHART + "thread: reed-yarn\n", encoding="utf-8")
    assert json.loads(run("fit", band, "--wrist", "160", "--json", home=home).out) == named
    band.write_text(CHART + "thread: fog\n", encoding="utf-8")
    unknown = run("fit", band, "--wrist", "160", "--json", home=home)
    assert json.loads(unknown.out)["row_mm"] == 1.3
    assert unknown.err == ""


def test_lengths_to_the_millimetre() -> None:
    assert [fine_words(mm, "cm") for mm in (0, 4.6, 186.4, 200, 1000, 1716.2, 1000.4)] == [
        "0 cm",
        "0.5 cm",
        "18.6 cm",
        "20 cm",
        "1 m",
        "1 m 71.6 cm",
        "1 m",
    ]


@pytest.mark.parametrize(
    ("mm", "units", "said"),
    [
        (72, "cm", "7.2 centimetres"),
        (10, "cm", "1 centimetre"),
        (1716.2, "cm", "1 metre 71.6 centimetres"),
        (2000, "cm", "2 metres"),
        (73, "inches", "2 and 7 eighths inches"),
    ],
)
def test_lengths_to_the_millimetre_aloud(mm: float, units: str, said: str) -> None:
    assert fine_spoken(mm, units) == said


@pytest.mark.parametrize(
    ("over", "units", "words"),
    [
        (0.4, "cm", JUST_RIGHT),
        (-2.2, "cm", "2 mm shorter than wanted"),
        (12, "cm", "1.2 cm longer than wanted"),
        (1.5, "inches", JUST_RIGHT),
        (-3.2, "inches", "⅛ in shorter than wanted"),
    ],
)
def test_how_far_off(over: float, units: str, words: str) -> None:
    assert off_words(over, units) == words


def test_one_repeat_has_none_fewer() -> None:
    one = Fit(exact(3.0), exact(1.3), 2, 1)
    assert fit_words(one, "cm") == "1 repeat, 2 rows: 0.3 cm, just as long as wanted"
    assert beside_words(one, "cm", more=True) == "0.5 cm with one more"
    assert beside_words(one, "cm", more=False) == ""


# follow --wrist


def test_follow_begins_with_the_repeats_that_fit(band: Path, home: Path) -> None:
    done = run("follow", band, "--plain", "--wrist", "160", "--gap", "5", home=home, given="\nq\n")
    assert done.status == 0
    # 170 mm are 65.4 repeats of 2.6 mm and three knots.
    assert done.out.startswith("1/195 ")
    assert "65 repeats, 130 rows: 16.9 cm, 1 mm shorter than wanted. Never tie a band tight" in done.err
    assert [(piece["done"], piece["of"]) for piece in pieces(home)] == [(1, 195)]


def test_follow_takes_a_wrist_or_repeats(band: Path, home: Path) -> None:
    done = run("follow", band, "--plain", "--wrist", "160", "--repeats", "3", home=home)
    assert (done.status, done.out) == (2, "")
    assert "choose one of --repeats and --wrist" in done.err
    assert run("follow", band, "--plain", "--gap", "3", home=home).status == 2


def test_a_piece_of_another_length_is_answered_as_for_repeats(band: Path, home: Path) -> None:
    run("follow", band, "--plain", home=home, given="\n\nq\n")
    by_wrist = run("follow", band, "--plain", "--wrist", "160", home=home)
    by_repeats = run("follow", band, "--plain", "--repeats", "67", home=home)
    assert by_wrist.status == by_repeats.status == 2
    assert by_wrist.err.splitlines()[-1] == by_repeats.err.splitlines()[-1]
    assert run("follow", band, "--plain", "--wrist", "160", "--new", home=home, given="q\n").out.startswith("1/201 ")


def test_follow_on_what_has_no_such_length(tmp_path: Path, home: Path) -> None:
    done = run("follow", written_to(tmp_path, ROPE), "--plain", "--wrist", "160", home=home)
    assert (done.status, done.out) == (1, "")
    assert not home.exists()


def test_the_wanted_length_stays_known(kept: Kept, band: Path) -> None:
    options = openings.WorkingOptions(repeats=67, band_mm=175.0)
    assert openings.follow(kept, str(band), options, new=False).options.band_mm == 175.0
    assert places.home() == kept.home
