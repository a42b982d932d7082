"""Diagonal bands read from text."""

import pytest

from benchmate.craft.knots import Knot
from benchmate.design_files.load import parse
from benchmate.families.diagonal.body import Diagonal, Row

F, B, FB, BF = Knot.FORWARD, Knot.BACKWARD, Knot.FORWARD_BACKWARD, Knot.BACKWARD_FORWARD


def band(rows: str, strings: str = "[a, b, a, b]", repeats: str = "1") -> str:
    """A design whose `rows` begin on line 7; `repeats` stands on line 5 from column 10."""
    return (
        "benchmate: 1\ntitle: T\nfamily: diagonal\ncolours: {a: teal, b: '#abc'}\n"
        f"repeats: {repeats}\nstrings: {strings}\nrows:{rows}\n"
    )


def said(text: str) -> list[str]:
    design, problems = parse(text)
    assert (design is None) == any(not problem.warning for problem in problems)
    return [f"{p.line}:{p.column}: {'warning: ' if p.warning else ''}{p.message}" for p in problems]


def rows_of(text: str) -> tuple[Row, ...]:
    design, problems = parse(text)
    assert problems == []
    assert design is not None
    assert isinstance(design.body, Diagonal)
    return design.body.rows


@pytest.mark.parametrize(
    ("rows", "expected"),
    [
        (" [f b]", [Row(1, (F, B))]),
        (' ["f b", fb, bf -]', [Row(1, (F, B)), Row(2, (FB,)), Row(1, (BF, None))]),
        (' ["- b"]', [Row(1, (None, B))]),
        (" [f*2]", [Row(1, (F, F))]),
        (" [f*01 b*1]", [Row(1, (F, B))]),
        (' ["-*2"]', [Row(1, (None, None))]),
        (' ["  f   b  "]', [Row(1, (F, B))]),
        ("\n- |\n  f\n  b\n- >\n  f", [Row(1, (F, B)), Row(2, (F,))]),
        ("\n- f\tb", [Row(1, (F, B))]),
        ("\n- {knots: f b}\n- {start: 1, knots: b f}", [Row(1, (F, B)), Row(1, (B, F))]),
        ("\n- {start: 3, knots: bf}\n- {start: 4, knots: ''}\n- {start: 2, knots: f}", [
            Row(3, (BF,)), Row(4, ()), Row(2, (F,)),
        ]),
    ],
)  # fmt: skip
def test_good_rows(rows: str, expected: list[Row]) -> None:
    assert rows_of(band(rows)) == tuple(expected)


def test_a_row_where_no_pair_fits_is_empty() -> None:
    assert rows_of(band('\n- f\n- ""\n- b\n-', "[a, b]")) == (Row(1, (F,)), Row(2, ()), Row(1, (B,)), Row(2, ()))


def test_rows_count_from_1_in_the_file_whatever_their_contents() -> None:
    starts = [row.start for row in rows_of(band("\n- '- -'\n- '-'\n- {start: 3, knots: f}\n- f"))]
    assert starts == [1, 2, 3, 2]


@pytest.mark.parametrize(
    ("rows", "expected"),
    [
        ("", ["7:1: `rows` must be a list of rows of knots, such as `- f b` (found nothing)"]),
        (" []", ["7:7: `rows` is empty"]),
        (" f b", ["7:7: `rows` must be a list of rows of knots, such as `- f b` (found text)"]),
        (
            "\n- f",
            ["8:3: the row has 1 token but 2 pairs of 4 strings fit from position 1; write one token for each pair"],
        ),
        ("\n- f b f", ["8:3: the row has 3 tokens but 2 pairs of 4 strings fit from position 1"]),
        ("\n- f b\n- f b", ["9:3: the row has 2 tokens but 1 pair of 4 strings fits from position 2"]),
        ("\n- ''", ["8:3: the row has 0 tokens but 2 pairs"]),
        ("\n-", ["8:2: the row has 0 tokens but 2 pairs"]),
        ("\n- {start: 4, knots: f}", ["8:21: the row has 1 token but no pair of 4 strings fits from position 4"]),
        ("\n- f*3", ["8:3: the row has 3 tokens but 2 pairs"]),
        ("\n- f*999999999", ["8:3: the row has 999999999 tokens but 2 pairs"]),
        ("\n- f*1000000000", ["8:3: the row has more than 999999999 tokens but 2 pairs"]),
        ("\n- f*" + "9" * 9999, ["8:3: the row has more than 999999999 tokens but 2 pairs"]),
        ("\n- f*0 b", ["8:3: `f*0` needs a whole number of 1 or more after the *, such as f*4"]),
        ("\n- f* b", ["8:3: `f*` needs a whole number"]),
        ("\n- b f*-1", ["8:5: `f*-1` needs a whole number"]),
        ("\n- b f*+1", ["8:5: `f*+1` needs a whole number"]),
        ("\n- b f*1.0", ["8:5: `f*1.0` needs a whole number"]),
        ("\n- b f*1_0", ["8:5: `f*1_0` needs a whole number"]),
        ("\n- b f*0x1", ["8:5: `f*0x1` needs a whole number"]),
        ("\n- b f*٢", ["8:5: `f*٢` needs a whole number"]),
        ("\n- b fb*2*2", ["8:5: `fb*2*2` needs a whole number"]),
        ("\n- b *2", ["8:5: `*2` has no knot before the *; write it without a space, such as f*4"]),
        ("\n- F b", ["8:3: unknown knot `F`; did you mean `f`? The knots are f, b, fb, bf, and - for no knot"]),
        ("\n- f ff", ["8:5: unknown knot `ff`; did you mean `f`?"]),
        ("\n- f bw", ["8:5: unknown knot `bw`; did you mean `b`?"]),
        ("\n- f FB", ["8:5: unknown knot `FB`; did you mean `fb`?"]),
        ("\n- f \u2013", ["8:5: unknown knot `\u2013`; did you mean `-`?"]),
        ("\n- f x", ["8:5: unknown knot `x`. The knots are"]),
        ("\n- x f y", ["8:3: unknown knot `x`", "8:7: unknown knot `y`"]),
        ("\n- 'x f'", ["8:4: unknown knot `x`"]),
        ('\n- "f  x"', ["8:7: unknown knot `x`"]),
        ('\n- "f \\x78"', ["8:3: unknown knot `x`"]),
        ("\n- |\n  f\n  x", ["8:3: unknown knot `x`"]),
        ("\n- f\u00a0b", ["8:3: unknown knot `f\u00a0b`"]),
        ("\n- f \u200bb", ["8:5: unknown knot `?b`"]),
        ('\n- "f \\eb"', ["8:3: unknown knot `?b`"]),
        ("\n- f " + "q" * 99, ["8:5: unknown knot `" + "q" * 37 + "...`"]),
        ("\n- - f", ['8:3: a row that begins with - goes in quotes, such as `- "- f b"`']),
        ("\n- - - f", ["8:3: a row that begins with - goes in quotes"]),
        ("\n- -", ["8:3: a row that begins with - goes in quotes"]),
        (
            " [- f]",
            ["7:8: a list item cannot begin here: put each `- ` on its own line, and quote a row that begins with -"],
        ),
        ("\n- {start: 1, knots: - f}", ["8:21: a list item cannot begin here"]),
        ("\n- knots: - f", ["8:10: a list item cannot begin here"]),
        ("\n- [f, b]", ["8:3: a row must be text, not a list in square brackets"]),
        ("\n- {knots: [f]}", ['8:11: `knots` must be the knots of a row, such as "f b" (found a list)']),
        ("\n\n- {start: 2}", ["1:1: the key `knots` is missing from row 1 on line 9"]),
        ("\n- {start: 0, knots: f}", ["8:11: `start` must be a whole number from 1 to 4, such as 2 (found `0`)"]),
        ("\n- {start: 5, knots: f}", ["8:11: `start` must be a whole number from 1 to 4, such as 2 (found `5`)"]),
        (
            "\n- {start: 1, knot: f b}",
            ["1:1: the key `knots` is missing", "8:14: unknown key `knot`; did you mean `knots`?"],
        ),
        ("\n- *x", ["8:3: an alias"]),
        ("\n- {start: *x, knots: f q}", ["8:11: an alias", "8:24: unknown knot `q`"]),
    ],
)
def test_faulty_rows(rows: str, expected: list[str]) -> None:
    lines = said(band(rows))
    assert len(lines) == len(expected), lines
    for line, words in zip(lines, expected, strict=True):
        assert line.startswith(words), lines


@pytest.mark.parametrize(
    ("strings", "expected"),
    [
        ("", ["6:1: `strings` must be a list of colour names, such as `[deep, foam]` (found nothing)"]),
        ("a b", ["6:10: `strings` must be a list of colour names"]),
        ("[]", ["6:10: `strings` must have at least 2 (found 0)"]),
        ("[a]", ["6:10: `strings` must have at least 2 (found 1)"]),
        ("[a, c, a, b]", ["6:14: unknown colour `c`: it must be one of `colours`; the nearest is `"]),
        ("[a, A, a, b]", ["6:14: unknown colour `A`: it must be one of `colours`; did you mean `a`?"]),
        ("[a, '', a, b]", ["6:14: a string has no colour"]),
        ("[a, [b], a, b]", ["6:14: a string must be the name of a colour (found a list)"]),
        ("[a, teal, a, b]", ["6:14: unknown colour `teal`"]),
        ("[a, *x, a, b]", ["6:14: an alias"]),
        (f"[{', '.join('a' * 501)}]", ["6:10: `strings` must have at most 500 (found 501)"]),
    ],
)
def test_faulty_strings(strings: str, expected: list[str]) -> None:
    lines = said(band("\n- f b", strings))
    assert len(lines) == len(expected), lines
    for line, words in zip(lines, expected, strict=True):
        assert line.startswith(words), lines


def test_tokens_are_checked_when_the_number_of_strings_is_unknown() -> None:
    assert [line[:20] for line in said(band("\n- f q f f f\n- f*99999", "[a]"))] == [
        "6:10: `strings` must",
        "8:5: unknown knot `q",
    ]


def test_500_strings_are_allowed() -> None:
    assert rows_of(band("\n- f*250", f"[{', '.join('a' * 500)}]")) == (Row(1, (F,) * 250),)


def test_200000_steps_are_allowed() -> None:
    strings = f"[{', '.join('a' * 500)}]"
    # 400 times 250 + 249 steps are 199,600.
    rows = "\n- f*250\n- f*249" * 400
    assert len(rows_of(band(rows, strings))) == 800
    one_more = rows + "\n- f*250\n- f*151 -*98"
    assert said(band(one_more, strings)) == ["8:1: the rows make 200001 steps; the limit is 200000"]


@pytest.mark.parametrize(
    ("rows", "repeats", "expected"),
    [
        ("\n- b f", "2", ["5:10: row 1 and the last row both start at position 1"]),
        ("\n- b f\n- f\n- b f", "2", ["5:10: row 1 and the last row both start at position 1"]),
        ("\n- b f\n- {start: 1, knots: f b}", "2", ["5:10: row 1 and the last row both start at position 1"]),
        ("\n- b f\n- x\n- {start: 1, knots: y f}", "2", [
            "5:10: row 1 and the last row both start", "9:3: unknown knot `x`", "10:21: unknown knot `y`",
        ]),
        ("\n- b f\n- f\n- b f", "1", []),
        ("\n- fb bf\n- fb", "66666", []),
        ("\n- fb bf\n- fb", "66667", ["5:10: 66667 repeats make 200001 steps, more than 200000"]),
        ("\n- fb bf\n- fb", "200001", ["5:10: `repeats` must be a whole number from 1 to 200000, such as 12 (found"]),
        ("\n- '- -'\n- '-'", "200000", []),
        ("\n- f f\n- '-'", "2", ["5:10: warning: after one repeat the colours hang in a different order ("]),
        ("\n- f f\n- x", "2", ["9:3: unknown knot `x`"]),
        ("\n- f f\n- '-'", "1", []),
    ],
)  # fmt: skip
def test_repeats(rows: str, repeats: str, expected: list[str]) -> None:
    lines = said(band(rows, repeats=repeats))
    assert len(lines) == len(expected), lines
    for line, words in zip(lines, expected, strict=True):
        assert line.startswith(words), lines


def test_equal_colours_on_other_strings_give_no_warning() -> None:
    assert said(band("\n- f -\n- '-'", "[a, a, b, b]", "2")) == []
