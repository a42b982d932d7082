"""The keys of every design, read from text: each rule and the place of each problem."""

import pytest

from benchmate.craft.colours.colour import Colour
from benchmate.craft.knots import Knot
from benchmate.design_files.load import parse
from benchmate.families.diagonal.body import Diagonal, Row
from benchmate.families.steps.body import Instruction, Steps

F, B = Knot.FORWARD, Knot.BACKWARD

TIDEWATER = """\
benchmate: 1
title: Tidewater chevron
family: diagonal
colours: {deep: "#0b3c5d", foam: {css: "#F4F1DE", say: "off white"}}
strings: [deep, foam, foam, deep]
rows:
  - f b
  - f
"""

PIN = """\
benchmate: 1
title: Fold over a pin
family: steps
colours: {deep: teal}
steps:
  - do: Fold the strings in half over a pin
    hint: Leave a loop as wide as your button
    times: 2
  - do: Pin it down
"""


def said(text: str) -> list[str]:
    """Every problem as `LINE:COLUMN: message`. There is a design exactly when none is an error."""
    design, problems = parse(text)
    assert (design is None) == any(not problem.warning for problem in problems)
    return [f"{p.line}:{p.column}: {'warning: ' if p.warning else ''}{p.message}" for p in problems]


def assert_said(text: str, expected: list[str]) -> None:
    lines = said(text)
    assert len(lines) == len(expected), lines
    for line, words in zip(lines, expected, strict=True):
        assert line.startswith(words), lines


def test_a_diagonal_design() -> None:
    design, problems = parse(TIDEWATER)
    assert problems == []
    assert design is not None
    assert design.title == "Tidewater chevron"
    assert design.family.name == "diagonal"
    assert design.colours == {
        "deep": Colour("deep", "#0b3c5d", "deep"),
        "foam": Colour("foam", "#f4f1de", "off white"),
    }
    assert design.body == Diagonal(("deep", "foam", "foam", "deep"), (Row(1, (F, B)), Row(2, (F,))))
    assert (design.thread, design.repeats, design.start, design.finish) == ("floss", 1, None, None)
    assert (design.notes, design.author, design.licence) == (None, None, None)


def test_a_design_of_written_steps() -> None:
    design, problems = parse(PIN)
    assert problems == []
    assert design is not None
    assert design.body == Steps(
        (),
        (
            Instruction("Fold the strings in half over a pin", "Leave a loop as wide as your button", 2),
            Instruction("Pin it down", None, 1),
        ),
    )


def test_every_optional_key() -> None:
    text = TIDEWATER + (
        "thread: floss\nrepeats: 1\nstart: fold-over-a-pin\nfinish: two_braids\n"
        "notes: |\n  First line.\n\n  Last line.\nauthor: >\n  Someone\n  else\nlicence: CC0-1.0\n"
    )
    design, problems = parse(text)
    assert problems == []
    assert design is not None
    assert (design.start, design.finish) == ("fold-over-a-pin", "two_braids")
    assert design.notes == "First line.\n\nLast line."
    assert (design.author, design.licence) == ("Someone else", "CC0-1.0")


def test_texts_names_and_keys_are_taken_as_written() -> None:
    design, problems = parse(
        "'benchmate': '01'\ntitle: 2024\nfamily: 'diagonal'\ncolours: {no: Teal, 1: '#abc', null: red}\n"
        "strings: [no, '1', 1, null]\nrows: ['f*002', \"-\"]\nnotes: 12:30\n"
    )
    assert problems == []
    assert design is not None
    assert design.title == "2024"
    assert design.notes == "12:30"
    assert design.strings == ("no", "1", "1", "null")
    assert design.say("no") == "no"


def test_a_colour_name_of_any_script() -> None:
    text = TIDEWATER.replace("deep", "नीला").replace("foam", "e\u0301cume-1_2")
    design, problems = parse(text)
    assert problems == []
    assert design is not None
    assert design.strings[0] == "नीला"


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("benchmate: 1", "benchmate: 2", ["1:12: `benchmate` must be 1 (found `2`)"]),
        ("benchmate: 1\n", "", ["1:1: the key `benchmate` is missing"]),
        ("title: Tidewater chevron\n", "", ["1:1: the key `title` is missing"]),
        ("family: diagonal\n", "", ["1:1: the key `family` is missing"]),
        ("strings: [deep, foam, foam, deep]\n", "", ["1:1: the key `strings` is missing"]),
        ("rows:\n  - f b\n  - f\n", "", ["1:1: the key `rows` is missing"]),
        ("Tidewater chevron", "", ["2:1: `title` must not be empty"]),
        ("Tidewater chevron", '"a\\nb"', ["2:8: `title` must be one line of text"]),
        ("Tidewater chevron", "|\n  a\n  b", ["2:8: `title` must be one line of text"]),
        ("Tidewater chevron", '"\\e[2Jx"', ["2:8: warning: 1 control or format character left out of `title`"]),
        ("Tidewater chevron", "\u202etide", ["2:8: warning: 1 control or format character left out of `title`"]),
        ("Tidewater chevron", "ti\tde", ["2:8: warning: 1 control or format character left out of `title`"]),
        ("Tidewater chevron", "[a]", ["2:8: `title` must be one line of text (found a list)"]),
        ("Tidewater chevron", "*a", ["2:8: an alias"]),
        (
            "diagonal",
            "Diagonal",
            ["3:9: `family` must be one of diagonal, alpha, braid, steps (found `Diagonal`); did you mean"],
        ),
        ("diagonal", "[a]", ["3:9: `family` must be one of"]),
        ('"#0b3c5d"', "tael", ["4:17: `tael` is not a CSS colour; did you mean `teal`?"]),
        ('"#0b3c5d"', '"#0b3c5"', ["4:17: `#0b3c5` is not a colour: write 3 or 6 digits after #"]),
        (
            '"#0b3c5d"',
            "",
            ["4:11: the colour has no value: write a CSS colour, in quotes if it begins with #"],
        ),
        ('"#0b3c5d"', "[teal]", ["4:17: a colour must be a CSS colour such as `teal`"]),
        ('"#0b3c5d"', "quincunx", ["4:17: `quincunx` is not a CSS colour"]),
        ('"#0b3c5d"', '"te\\u200bal"', ["4:17: `te?al` is not a CSS colour; did you mean `teal`?"]),
        ('css: "#F4F1DE"', "css: tael", ["4:40: `tael` is not a CSS colour"]),
        ('css: "#F4F1DE", ', "", ["1:1: the key `css` is missing from the colour `foam` on line 4"]),
        ('say: "off white"', "sya: x", ["4:51: unknown key `sya`; did you mean `say`?"]),
        ('"off white"', "''", ["4:56: `say` must not be empty"]),
        ('"off white"', '"off\\nwhite"', ["4:56: `say` must be one line of text"]),
        ('"off white"', '"off\\x07 white"', ["4:56: warning: 1 control or format character left out of `say`"]),
        (
            "deep:",
            "deep end:",
            ["4:11: the colour name `deep end` must be one word", "5:11: unknown colour `deep`", "5:29"],
        ),
        (
            "deep:",
            '"de\\u202eep":',
            ["4:11: the colour name `de?ep` must be one word", "5:11: unknown", "5:29: unknown"],
        ),
        ("foam: {", "deep: teal, foam: {", ["4:28: duplicate key `deep`"]),
        ("rows:", "thread: silk\nrows:", ["6:9: warning: unknown thread `silk`: `floss` is used"]),
        ("rows:", "thread: [silk]\nrows:", ["6:9: `thread` must be the name of a gauge (found a list)"]),
        (
            "rows:",
            "repeats: 0\nrows:",
            ["6:10: `repeats` must be a whole number from 1 to 200000, such as 12 (found `0`)"],
        ),
        ("rows:", "repeats: 0x2\nrows:", ["6:10: `repeats` must be a whole number"]),
        ("rows:", "repeats: " + "9" * 5000 + "\nrows:", ["6:10: `repeats` must be a whole number from 1 to 200000"]),
        ("rows:", "start: ../pin\nrows:", ["6:8: `start` must be a name of letters, digits, - and _ (found `../pin`)"]),
        ("rows:", "finish: pin.yaml\nrows:", ["6:9: `finish` must be a name of letters, digits, - and _"]),
        ("rows:", "start:\nrows:", ["6:1: `start` must be a name of letters, digits, - and _ (found nothing)"]),
        ("rows:", "notes: [a]\nrows:", ["6:8: `notes` must be text (found a list)"]),
        ("rows:", "notes: ''\nauthor:\nrows:", []),
        ("rows:", 'notes: "a\\u200b\\nb"\nrows:', ["6:8: warning: 1 control or format character left out of `notes`"]),
        (
            "colours:",
            "colors:",
            ["1:1: the key `colours` is missing", "4:1: unknown key `colors`; did you mean `colours`?"],
        ),
        ("rows:", "zzz: 1\nrows:", ["6:1: unknown key `zzz`; the nearest is `"]),
        ("rows:", "steps: []\nrows:", ["6:1: unknown key `steps`"]),
        ("rows:", "title: Again\nrows:", ["6:1: duplicate key `title`: it is already on line 2"]),
    ],
)
def test_a_faulty_common_key(old: str, new: str, expected: list[str]) -> None:
    assert old in TIDEWATER
    assert_said(TIDEWATER.replace(old, new, 1), expected)


@pytest.mark.parametrize(
    ("colours", "problem"),
    [
        ("{}", "4:10: `colours` needs at least one colour"),
        ("[teal]", "4:10: `colours` must be a mapping of names and colours, such as `deep: teal` (found a list)"),
        ("", "4:1: `colours` must be a mapping of names and colours, such as `deep: teal` (found nothing)"),
    ],
)
def test_colours_that_are_not_a_mapping(colours: str, problem: str) -> None:
    lines = said(PIN.replace("{deep: teal}", colours))
    assert len(lines) == 1
    assert lines[0].startswith(problem)


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("[a]\n", "1:1: a design must consist of keys and values"),
        ("just words\n", "1:1: a design must consist of keys and values"),
        ("", "1:1: the file is empty"),
        ("*a\n", "1:1: an alias"),
    ],
)
def test_a_text_that_is_not_a_design(text: str, problem: str) -> None:
    assert_said(text, [problem])


def test_the_common_keys_are_checked_even_with_an_unknown_family() -> None:
    text = TIDEWATER.replace("diagonal", "diagnal").replace("title", "tilte")
    assert_said(text, ["1:1: the key `title` is missing", "2:1: unknown key `tilte`", "3:9: `family` must be one of"])


def test_every_problem_is_reported_in_one_run_and_in_file_order() -> None:
    assert_said(
        "title: ''\nfamily: diagonal\ncolours: {deep: tael, deep: red}\nstrings: [deep, foam, deep]\n"
        "rows:\n  - g\n  - - f\n  - {start: 9, knots: f}\nrepeats: x\nthread: silk\ncolors: 1\nnotes: &n a\n",
        [
            "1:1: the key `benchmate` is missing",
            "1:8: `title` must not be empty",
            "3:17: `tael` is not a CSS colour",
            "3:23: duplicate key `deep`",
            "4:17: unknown colour `foam`: it must be one of `colours`; the nearest is `deep`",
            "6:5: unknown knot `g`",
            "7:5: a row that begins with - goes in quotes",
            "8:13: `start` must be a whole number from 1 to 3, such as 2 (found `9`)",
            "9:10: `repeats` must be a whole number",
            "10:9: warning: unknown thread `silk`",
            "11:1: unknown key `colors`; did you mean `colours`?",
            "12:8: an anchor",
        ],
    )


LONGEST = "x" * 500
"""The longest line of text that is allowed."""


@pytest.mark.parametrize(
    ("old", "new", "place"),
    [
        ("title: Fold over a pin", "title: ", "2:8"),
        ("colours: {deep: teal}", "colours: {deep: {css: teal, say: &}}", "4:34"),
        ("do: Pin it down", "do: ", "9:9"),
        ("hint: Leave a loop as wide as your button", "hint: ", "7:11"),
        ("colours:", "author: &\ncolours:", "4:9"),
        ("colours:", "licence: |\n  MIT\n  &\ncolours:", "4:10"),
        ("colours:", "author: |\n  &\n  &\n\n  &\ncolours:", "4:9"),
    ],
)
def test_a_line_of_text_has_at_most_500_characters(old: str, new: str, place: str) -> None:
    assert old in PIN
    fill = new if "&" in new else new + "&"
    assert said(PIN.replace(old, fill.replace("&", LONGEST))) == []
    (line,) = said(PIN.replace(old, fill.replace("&", LONGEST + "é", 1)))
    key = fill.split(":")[0] if "say" not in fill else "say"
    assert line == f"{place}: `{key}` must have at most 500 characters in a line (found 501)"


@pytest.mark.parametrize(
    ("old", "new", "place", "what"),
    [
        ("{deep: teal}", "{deep: teal, &: red}", "4:23", f"the colour name `{'x' * 37}...`"),
        ("colours:", "start: &\ncolours:", "4:8", "`start`"),
        ("colours:", "finish: &\ncolours:", "4:9", "`finish`"),
        ("colours:", "thread: &\ncolours:", "4:9", "`thread`"),
    ],
)
def test_a_name_is_no_longer_than_a_line_of_text(old: str, new: str, place: str, what: str) -> None:
    assert old in PIN
    assert not [line for line in said(PIN.replace(old, new.replace("&", LONGEST))) if "at most" in line]
    (line, *_) = said(PIN.replace(old, new.replace("&", LONGEST + "x")))
    assert line == f"{place}: {what} must have at most 500 characters in a line (found 501)"


def test_a_piece_begun_earlier_keeps_names_of_any_length() -> None:
    long = TIDEWATER.replace("foam", "x" * 900).replace("benchmate: 1", f"benchmate: 1\nstart: {'y' * 900}")
    assert parse(long)[0] is None
    design, problems = parse(long, limit_texts=False)
    assert design is not None
    assert problems == []
    assert "x" * 900 in design.colours


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("&", 10_001),
        ("|\n  &", 10_001),
        ("|\n" + "  line\n" * 2001, 10_004),
    ],
)
def test_notes_have_at_most_10000_characters(text: str, found: int) -> None:
    def notes(count: int) -> str:
        return TIDEWATER + "notes: " + text.replace("&", "x" * count) + "\n"

    if "&" in text:
        assert said(notes(10_000)) == []
    assert said(notes(10_001)) == [f"9:8: `notes` must have at most 10000 characters (found {found})"]


def test_removed_characters_and_outer_blanks_do_not_count() -> None:
    design, problems = parse(TIDEWATER.replace("Tidewater chevron", f'"  \\u200b{LONGEST}\\a  "'))
    assert design is not None
    assert design.title == LONGEST
    assert [problem.warning for problem in problems] == [True]


def test_rows_may_be_longer_than_a_line_of_text() -> None:
    colours = ", ".join(["deep", "foam"] * 250)
    row = " ".join(["fb"] * 250)
    assert len(row) > 500
    assert (
        said(TIDEWATER.replace("[deep, foam, foam, deep]", f"[{colours}]").replace("  - f b\n  - f\n", f"  - {row}\n"))
        == []
    )
