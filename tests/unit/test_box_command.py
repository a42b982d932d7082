"""The box on the command line: every word, what it prints, keeps and refuses; and designs in the threads of the box."""

import argparse
import csv
import json
from pathlib import Path

import pytest

from benchmate.commands.preparing.box import add_arguments
from benchmate.store.places import Home
from benchmate.store.thread.box import threads_in
from tests.homes import command, follow
from tests.running import CHART, ROOT, Done

EMPTY = "Your box is empty. Put your threads in with benchmate box add, or benchmate box import.\n"


def box(home: Path, *arguments: str | Path) -> Done:
    return command("box", *arguments, home=home)


def good(home: Path, *arguments: str | Path) -> str:
    """What a command says that works."""
    done = box(home, *arguments)
    assert (done.status, done.err) == (0, ""), done
    return done.out


@pytest.fixture
def filled(home: Path) -> Path:
    """A home with two skeins and an offcut."""
    good(home, "add", "slate from the quay", "--colour", "#2f4858", "--skeins", "2", "--price", "1.20")
    good(home, "add", "Ånna's mist", "--colour", "#cfe8ef", "--offcut", "--length", "94cm", "--kind", "wool")
    return home


def names(home: Path) -> list[tuple[int, str, float]]:
    return [(thread.number, thread.name, thread.mm) for thread in threads_in(Home(home))]


def test_an_empty_box_is_listed_and_nothing_is_made_for_it(home: Path) -> None:
    assert good(home) == "Your box is empty.\n"
    assert good(home, "--json") == "[]\n"
    for words in ("match", "teal"), ("for", "tidewater-chevron"):
        assert box(home, *words) == (1, "", EMPTY)
    assert command("draw", "tidewater-chevron", "--from-box", home=home) == (1, "", EMPTY)
    assert good(home, "export") == "name,colour,kind,length_mm,whole,price\r\n"
    assert not home.exists()


def test_the_list_has_a_line_for_each_thread_and_a_sum(filled: Path) -> None:
    assert good(filled) == (
        "1  skein     8 m  #2f4858  floss  1.20  slate from the quay\n"
        "2  skein     8 m  #2f4858  floss  1.20  slate from the quay\n"
        "3  offcut  94 cm  #cfe8ef  wool         Ånna's mist\n"
        "2 skeins and 1 offcut, 16 m 94 cm in all\n"
    )


def test_the_document_has_every_thread(filled: Path) -> None:
    slate = {"name": "slate from the quay", "colour": "#2f4858", "kind": "floss", "length_mm": 8000.0}
    mist = {"number": 3, "name": "Ånna's mist", "colour": "#cfe8ef", "kind": "wool", "length_mm": 940.0}
    assert json.loads(good(filled, "--json")) == [
        *({"number": number, **slate, "whole": True, "price": 1.2} for number in (1, 2)),
        {**mist, "whole": False, "price": None},
    ]


def test_lengths_are_in_the_units_of_the_settings(filled: Path) -> None:
    (filled / "settings.yaml").write_text("units: inches\n")
    assert "  315 in  " in good(filled).splitlines()[0]


def test_what_was_done_is_said(home: Path) -> None:
    assert good(home, "add", "one", "--colour", "teal") == "Added: one, number 1.\n"
    assert good(home, "add", "two", "--colour", "TEAL", "--skeins", "2") == "Added: two, numbers 2 and 3.\n"
    assert good(home, "add", "three", "--colour", "teal", "--skeins", "3") == "Added: three, numbers 4 to 6.\n"
    assert good(home, "change", "3", "--name", "sea", "--length", "6 m", "--offcut") == "Corrected: sea, number 3.\n"
    assert good(home, "take", "4", "1") == "Taken out: three, number 4.\nTaken out: one, number 1.\n"
    assert good(home, "undo") == "Undone: took out thread 4 and 1.\n"
    assert good(home, "undo") == "Undone: changed sea.\n"
    assert [name for _, name, _ in names(home)] == ["one", "two", "two", "three", "three", "three"]
    for what in "added three", "added two", "added one":
        assert good(home, "undo") == f"Undone: {what}.\n"
    assert box(home, "undo") == (1, "", "There is no change of the box to undo.\n")
    assert good(home) == "Your box is empty.\n"


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        *(("8000", 8000.0), ("1940.5", 1940.5), ("8m", 8000.0), ("194 cm", 1940.0), ("1 m 88", 1880.0)),
        *(("3 yd", 2743.2), ("8000,5", 8000.5), ("2500 1/2", 2500.5), ("\N{FULLWIDTH DIGIT EIGHT}000", 8000.0)),
    ],
)
def test_a_number_alone_is_in_mm_and_units_count(home: Path, text: str, mm: float) -> None:
    good(home, "add", "one", "--colour", "teal", "--length", text)
    assert names(home) == [(1, "one", mm)]


def test_a_length_far_from_usual_is_asked_about_and_taken(home: Path) -> None:
    add = "add", "one", "--colour", "teal"
    done = box(home, *add, "--length", "26")
    assert (done.status, done.err) == (0, "2.6 cm? A skein is usually 5 m to 12 m.\n")
    assert box(home, *add, "--length", "26", "--offcut").err == "2.6 cm? An offcut is usually 10 cm to 4 m.\n"
    assert box(home, "change", "2", "--length", "9 km").status == 2
    assert box(home, "change", "2", "--length", "20m").err == "20 m? An offcut is usually 10 cm to 4 m.\n"
    assert good(home, "change", "2", "--skein") == "Corrected: one, number 2.\n"
    assert good(home, "change", "2", "--length", "21m") == "Corrected: one, number 2.\n"
    assert names(home) == [(1, "one", 26.0), (2, "one", 21000.0)]


def test_a_price_may_have_a_comma(home: Path) -> None:
    good(home, "add", "one", "--colour", "teal", "--price", "1,20")
    good(home, "add", "two", "--colour", "teal", "--price", "123456789.5")
    assert [str(thread.price) for thread in threads_in(Home(home))] == ["1.20", "123456789.5"]


def test_a_price_is_taken_away(filled: Path) -> None:
    good(filled, "change", "1", "--price", "")
    good(filled, "change", "3", "--skein", "--kind", "floss", "--colour", "#abc")
    first, _, third = threads_in(Home(filled))
    assert (first.price, third.whole, third.kind, third.colour) == (None, True, "floss", "#aabbcc")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["add", "one"], "the following arguments are required: --colour"),
        (["add", " ", "--colour", "teal"], "NAME: a thread needs a name, such as harbour blue"),
        (["add", "a\x1b[2Jb", "--colour", "teal"], "NAME: the character U+001B is not allowed in a name: remove it"),
        (["add", "one", "--colour", "tael"], "--colour: `tael` is not a CSS colour; did you mean `teal`?"),
        (["add", "one", "--colour", "teal", "--length", "0"], "--length: `0` is not a length: write mm, above 0 and"),
        (["add", "one", "--colour", "teal", "--length", "far"], "--length: `far` is not a length: write mm, above 0"),
        (["add", "one", "--colour", "teal", "--length", "1e9"], "--length: `1e9` is not a length: write mm, above 0"),
        (["add", "one", "--colour", "teal", "--offcut"], "--offcut: say how long it is with --length"),
        (
            ["add", "one", "--colour", "teal", "--price", "-1"],
            "--price: `-1` is not a price: write a number such as 1.20",
        ),
        (["add", "one", "--colour", "teal", "--skeins", "0"], "argument --skeins: must be a whole number from 1"),
        (["add", "one", "--colour", "teal", "--skeins", "10001"], "--skeins: a box has at most 10000 threads"),
        (
            ["add", "one", "--colour", "teal", "--kind", "a\nb"],
            "--kind: `a?b` is not the name of a gauge: one line, such",
        ),
        (["change", "1"], "say what to change, such as --length 6m"),
        (["change", "9", "--name", "one"], "there is no thread 9 in your box; benchmate box lists them"),
        (["take", "1", "9"], "there is no thread 9 in your box; benchmate box lists them"),
        (["change", "1", "--skein", "--offcut"], "argument --offcut: not allowed with argument --skein"),
        (["match", "tael"], "COLOUR: `tael` is not a CSS colour; did you mean `teal`?"),
        (["--json", "undo"], "undo prints no document"),
        (["lose", "1"], "argument WORD: invalid choice: 'lose'"),
    ],
)
def test_what_is_typed_wrongly_changes_nothing(filled: Path, words: list[str], says: str) -> None:
    before = (filled / "pieces.db").read_bytes()
    done = box(filled, *words)
    assert (done.status, done.out) == (2, "")
    assert f"error: {says}" in done.err
    assert (filled / "pieces.db").read_bytes() == before


def test_what_is_typed_wrongly_makes_no_home(home: Path) -> None:
    assert box(home, "add", "one", "--colour", "tael").status == 2
    assert not home.exists()


def test_every_word_and_each_of_its_arguments_has_help(home: Path) -> None:
    parser = argparse.ArgumentParser()
    add_arguments(parser)
    (words,) = (action for action in parser._actions if isinstance(action, argparse._SubParsersAction))
    assert list(words.choices) == ["add", "change", "take", "undo", "import", "export", "match", "for"]
    whole = good(home, "--help")
    for word, own in words.choices.items():
        assert f"\n    {word} " in whole
        assert own.description
        for action in own._actions:
            assert action.help
            assert action.metavar or action.nargs == 0


def test_a_kind_that_nobody_knows_is_taken_and_asked_about(home: Path) -> None:
    done = box(home, "add", "one", "--colour", "teal", "--kind", "wol")
    assert (done.status, done.err) == (0, "`wol` has no gauge; did you mean `wool`?\n")
    done = box(home, "change", "1", "--kind", "paperstring")
    assert done.err == "`paperstring` has no gauge; using floss\n"


# Files.


def test_a_file_is_exported_and_comes_back(filled: Path, tmp_path: Path) -> None:
    file = tmp_path / "box.csv"
    good(filled, "add", "=cmd|'/c calc'!A1", "--colour", "teal")
    assert good(filled, "export", "-o", file) == ""
    assert [row[0] for row in csv.reader(file.read_text(encoding="utf-8").splitlines())] == [
        *("name", "slate from the quay", "slate from the quay", "Ånna's mist"),
        "'=cmd|'/c calc'!A1",
    ]
    there = [thread._replace(number=0) for thread in threads_in(Home(filled))]
    other = tmp_path / "other"
    assert good(other, "import", file) == "Imported 4 threads. To undo this: benchmate box undo\n"
    assert [thread._replace(number=0) for thread in threads_in(Home(other))] == there
    assert good(other, "import", file, "--replace") == (
        "Imported 4 threads in place of the others. To undo this: benchmate box undo\n"
    )
    assert [thread.number for thread in threads_in(Home(other))] == [5, 6, 7, 8]
    assert good(other, "undo") == "Undone: imported 4 threads in place of the others.\n"
    assert [thread.number for thread in threads_in(Home(other))] == [1, 2, 3, 4]


def test_a_file_with_a_problem_puts_nothing_in(filled: Path, tmp_path: Path) -> None:
    file = tmp_path / "box.csv"
    file.write_text("name,colour,length_mm\none,teal,8000\ntwo,tael,0\n")
    before = (filled / "pieces.db").read_bytes()
    for home in filled, tmp_path / "other":
        assert box(home, "import", file, "--replace") == (
            1,
            "",
            f"{file}:3:5: `tael` is not a CSS colour; did you mean `teal`?\n"
            f"{file}:3:10: `0` is not a length: write mm, above 0 and up to 10000000, such as 8000\n",
        )
    assert (filled / "pieces.db").read_bytes() == before
    assert not (tmp_path / "other").exists()


def test_a_box_that_is_full_takes_no_more(home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("benchmate.store.thread.box.MOST_THREADS", 4)
    file = tmp_path / "box.csv"
    file.write_text("name,colour,length_mm\n" + "a,teal,5\n" * 4)
    good(home, "import", file)
    for words in ["import", file], ["add", "one", "--colour", "teal"]:
        done = box(home, *words)
        assert (done.status, done.out, done.err) == (1, "", "A box has at most 4 threads. Nothing was changed.\n")
    good(home, "import", file, "--replace")


def test_a_file_is_not_overwritten_unless_asked(filled: Path, tmp_path: Path) -> None:
    file = tmp_path / "box.csv"
    file.write_text("mine")
    assert box(filled, "export", "-o", file).status == 2
    assert file.read_text() == "mine"
    good(filled, "export", "-o", file, "--force")
    assert file.read_text().startswith("name,")
    done = box(filled, "export", "-o", filled / "pieces.db", "--force")
    assert (done.status, "the program keeps this file itself" in done.err) == (2, True)


# Colours.


def test_the_nearest_threads_and_how_far_off_they_are(filled: Path) -> None:
    good(filled, "add", "slate from the quay", "--colour", "#2f4858", "--length", "1 m", "--offcut")
    assert good(filled, "match", "#2f4959") == (
        "slate from the quay (1, 2, 4): no difference to see; #2f4858, floss, 17 m\n"
        "Ånna's mist (3): another colour; #cfe8ef, wool, 94 cm\n"
    )
    for words in ["match", "#2f4959", "--json"], ["--json", "match", "#2f4959"]:
        found = json.loads(good(filled, *words))
        assert [(each["number"], each["words"]) for each in found] == [
            *((number, "no difference to see") for number in (1, 2, 4)),
            (3, "another colour"),
        ]
        assert [each["difference"] for each in found] == sorted(each["difference"] for each in found)


def test_the_thread_for_each_colour_of_a_design(filled: Path, band: Path) -> None:
    assert good(filled, "for", band) == (
        "slate: slate from the quay (thread 1), no difference to see\n"
        "pale rain: Ånna's mist (thread 3, wool), no difference to see\n"
    )
    found = json.loads(good(filled, "for", band, "--json"))
    assert [(each["colour"], each["css"], each["thread"]["number"]) for each in found] == [
        ("slate", "#2f4858", 1),
        ("rain", "#cfe8ef", 3),
    ]


def test_two_colours_of_one_thread_are_said(filled: Path, tmp_path: Path) -> None:
    file = tmp_path / "three.yaml"
    file.write_text(
        CHART.replace('rain: {css: "#cfe8ef", say: "pale rain"}', 'rain: "#cfe8ee", dusk: "#2f4859"').replace(
            "[slate, rain, rain, slate]", "[slate, rain, dusk, slate]"
        )
    )
    assert good(filled, "for", file).splitlines()[-1] == "slate and dusk would be the same thread"


def test_a_design_is_drawn_in_the_threads_there_are(filled: Path, band: Path, tmp_path: Path) -> None:
    good(filled, "change", "1", "--colour", "#aa1122", "--name", "rust")
    good(filled, "take", "2")
    lines = "slate: rust (thread 1), another colour\npale rain: Ånna's mist (thread 3, wool), no difference to see\n"
    plain, svg = [command("draw", band, "--from-box", *more, home=filled) for more in ((), ("-o", "-"))]
    assert (plain.status, plain.err) == (0, lines)
    assert plain.out
    assert (svg.status, svg.err.startswith(lines)) == (0, True)
    assert "#aa1122" in svg.out
    assert "#2f4858" not in svg.out
    png = tmp_path / "band.png"
    assert command("draw", band, "--from-box", "-o", png, home=filled).status == 0
    assert command("draw", band, "-o", tmp_path / "own.png", home=filled).status == 0
    assert png.read_bytes() != (tmp_path / "own.png").read_bytes()


# What is kept beside it.


def test_a_box_without_pieces_is_kept_and_copied(filled: Path, tmp_path: Path) -> None:
    kept = tmp_path / "kept.db"
    there = names(filled)
    assert [file.name.startswith("pieces-") for file in (filled / "copies").iterdir()] == [True]
    assert command("pieces", home=filled).out == "No pieces yet.\n"
    assert command("keep", "-o", kept, home=filled).err == f"{kept}: the box and the gauges kept\n"
    (filled / "pieces.db").unlink()
    refused = box(filled)
    assert (refused.status, refused.out) == (3, "")
    assert "To get your box and gauges back as of" in refused.err
    done = command("restore", kept, home=filled, given="yes\n")
    assert (done.status, done.out.startswith("Restored.")) == (0, True)
    assert "  your box, with 3 threads, and your gauges\n" in done.err
    assert names(filled) == there
    good(filled, "undo")


def test_a_piece_beside_a_box_changes_nothing_in_it(filled: Path, tmp_path: Path) -> None:
    there = names(filled)
    design = ROOT / "designs" / "tidewater-chevron.yaml"
    assert follow(design, filled, 3).status == 0
    assert names(filled) == there
    assert command("keep", "-o", tmp_path / "kept.db", home=filled).err.endswith(
        ": 1 piece, the box and the gauges kept\n"
    )
