"""Alpha bands read from text."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmate.design_files.load import parse
from benchmate.families.alpha.body import Alpha
from benchmate.families.alpha.writing import alpha_text
from tests.charts import seeded

HEAD = "benchmate: 1\ntitle: T\nfamily: alpha\ncolours: {deep: teal, foam: '#abc', no: red}\n"


def band(chart: str, base: str = "deep", key: str = "{'.': deep, '#': foam}", more: str = "") -> str:
    """A design whose `chart` begins on line 7."""
    return f"{HEAD}base: {base}\nkey: {key}\nchart: {chart}\n{more}"


def said(text: str) -> list[str]:
    design, problems = parse(text)
    assert (design is None) == any(not problem.warning for problem in problems)
    return [f"{p.line}:{p.column}: {p.message}" for p in problems]


def body_of(text: str) -> Alpha:
    design, problems = parse(text)
    assert problems == []
    assert design is not None
    assert isinstance(design.body, Alpha)
    return design.body


@pytest.mark.parametrize(
    ("chart", "rows"),
    [
        ("|\n  .##.\n  #..#", [".##.", "#..#"]),
        ("|\n        .##.\n        #..#\n", [".##.", "#..#"]),
        ("|-\n  .", ["."]),
        ("|+\n  .\n  #\n\n\n", [".", "#"]),
        ("|2\n  .#", [".#"]),
        ("|  # two rows\n  .#\n  #.", [".#", "#."]),
        ('".#\\n#."', [".#", "#."]),
        ("'#.'", ["#."]),
        (".#", [".#"]),
        ("|\r\n  .#\r\n  #.", [".#", "#."]),
    ],
)
def test_good_charts(chart: str, rows: list[str]) -> None:
    body = body_of(band(chart))
    assert body.rows == tuple(tuple({".": "deep", "#": "foam"}[sign] for sign in row) for row in rows)
    assert (body.base, body.first, body.columns, len(body.strings)) == ("deep", "left", len(rows[0]), len(rows[0]))


def test_keys_and_names_are_taken_as_written() -> None:
    body = body_of(band('"1#é"', base="no", key='{1: no, "#": deep, é: foam}', more="first: right\n"))
    assert body.rows == (("no", "deep", "foam"),)
    assert (body.base, body.first, body.leading) == ("no", "right", ("foam", "deep", "no"))


@pytest.mark.parametrize(
    ("text", "problems"),
    [
        (
            band("|\n  .##.\n  #.\n  ....x\n"),
            [
                "9:3: row 2 of the chart has 2 knots but row 1 has 4; make all rows the same width",
                "10:3: row 3 of the chart has the character `x`, which is not in `key`",
            ],
        ),
        (band("|\n     .#\n     .X\n"), ["9:6: row 2 of the chart has the character `X`, which is not in `key`"]),
        (band("|\n  .#\n  . \n"), ["9:3: row 2 of the chart has a space, which is not in `key`"]),
        (band("|\n  .#\n\n  .#\n"), ["9:1: row 2 of the chart has 0 knots but row 1 has 2"]),
        (band('".#\\n#"'), ["7:8: row 2 of the chart has 1 knot but row 1 has 2"]),
        (band("|\n\n  .#\n  .#\n"), ["8:1: row 1 of the chart has 0 knots but row 2 has 2"]),
        (band("|\n\n"), ["7:8: `chart` is empty; add at least one row of characters from `key`"]),
        (band(""), ["7:1: `chart` is empty; add at least one row of characters from `key`"]),
        (band("[a]"), ["7:8: `chart` must be rows of characters under `chart: |` (found a list)"]),
        (band("'.'", base="dep"), ["5:7: unknown colour `dep`: it must be one of `colours`"]),
        (band("'.'", base="''"), ["5:7: the base strings have no colour: write the name of one of `colours`"]),
        (
            band("'.'", key="{'.': deep, '##': foam, ' ': deep, '': deep}"),
            [
                "6:18: a chart character must be one printable character other than a space (found `##`)",
                "6:30: a chart character must be one printable character other than a space (found ` `)",
                "6:41: a chart character must be one printable character other than a space (found nothing)",
            ],
        ),
        (band("'x'", key="{'.': dep}"), ["6:12: unknown colour `dep`: it must be one of `colours`"]),
        (band("'.'", key="{'.': [deep]}"), ["6:12: `.` must stand for a name in `colours`"]),
        (band("'.'", key="{}"), ['6:6: `key` is empty; add at least one character']),
        (band("'.'", more="first: up\n"), ["8:8: `first` must be one of left, right (found `up`)"]),
        (band("'.'", more="rows: [f]\n"), ["8:1: unknown key `rows`"]),
        (HEAD, ["1:1: the key `base` is missing", "1:1: the key `key` is missing", "1:1: the key `chart` is missing"]),
        (band("|\n  " + "." * 501), ["7:8: the chart is 501 knots wide; the limit is 500 strings"]),
        (band("|\n" + f"  {'.' * 500}\n" * 401), ["7:8: the chart has 200500 knots; the limit is 200000"]),
        (
            band("'..'", more="repeats: 100001\n"),
            ["8:10: 100001 repeats make 200002 steps, more than 200000; at most 100000 repeats fit"],
        ),
    ],
)  # fmt: skip
def test_every_problem_has_its_position(text: str, problems: list[str]) -> None:
    found = said(text)
    assert [line[: len(problem)] for line, problem in zip(found, problems, strict=True)] == problems


def test_control_characters_in_a_chart_never_reach_the_terminal() -> None:
    found = said(band('".\\e[2J\\u202e"'))
    assert found == ["7:8: row 1 of the chart has the character `?`, which is not in `key`"]


@given(
    st.lists(st.text("ab", min_size=3, max_size=3), min_size=1, max_size=5),
    st.lists(
        st.characters(exclude_categories=["C", "Z"], exclude_characters="ab"), min_size=2, max_size=2, unique=True
    ),
    st.text(st.characters(exclude_categories=["C", "Z"]), min_size=1).filter(str.isprintable),
)
@seeded
def test_reading_a_written_design_gives_the_same_design(rows: list[str], signs: list[str], title: str) -> None:
    to = str.maketrans("ab", "".join(signs))
    colours = {"deep": "#0b3c5d", "1": "#ffffff"}
    text = alpha_text(
        title, colours, "1", dict(zip(signs, colours, strict=True)), [row.translate(to) for row in rows], notes=title
    )
    design, problems = parse(text)
    assert problems == []
    assert design is not None
    assert (design.title, design.notes) == (title, title)
    assert isinstance(design.body, Alpha)
    names = dict(zip("ab", colours, strict=True))
    assert design.body.rows == tuple(tuple(names[sign] for sign in row) for row in rows)
