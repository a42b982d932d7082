"""The box as a CSV file: every problem has its place, and what was exported comes back the same."""

import csv
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as some

from benchmate.craft.thread.box_thread import MOST_THREADS, BoxThread
from benchmate.files.safe_text import LONGEST_NAME, hidden_in
from benchmate.files.tree import BadFile
from benchmate.store.thread.box_file import read, written
from benchmate.store.thread.typed_thread import name_of
from tests.charts import seeded

HARBOUR = BoxThread(0, "harbour blue", "#0b3c5d", "floss", 8000.0, True, Decimal("1.20"))
FOAM = BoxThread(0, "foam", "#f4f1de", "wool", 940.5, False)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "box.csv"


def problems(file: Path, text: str | bytes) -> list[str]:
    """What is wrong with a file, without its name."""
    file.write_bytes(text.encode() if isinstance(text, str) else text)
    with pytest.raises(BadFile) as error:
        read(str(file))
    lines = error.value.lines()
    assert all(line.isprintable() and line.startswith(f"{file}:") for line in lines)
    return [line.removeprefix(f"{file}:") for line in lines]


def read_text(file: Path, text: str) -> list[BoxThread]:
    file.write_bytes(text.encode())
    return read(str(file))


NAMES = some.text(
    some.sampled_from("=+-@'\", ;ä\U0001f9f5") | some.characters(exclude_categories=("Cs", "Cc", "Cf", "Zl", "Zp")),
    min_size=1,
    max_size=30,
).filter(lambda name: name == name.strip() and not hidden_in(name))
THREADS = some.builds(
    BoxThread,
    some.just(0),
    NAMES,
    some.from_regex("#[0-9a-f]{6}", fullmatch=True),
    some.sampled_from(["floss", "wool", "-x", "ä 1", "=1"]),
    some.integers(1, 10**8).map(lambda tenths: tenths / 10),
    some.booleans(),
    some.none() | some.decimals(0, 9999, places=2),
)


@settings(seeded, max_examples=50, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(some.lists(THREADS, max_size=5))
def test_what_was_exported_comes_back_the_same(file: Path, threads: list[BoxThread]) -> None:
    content = written(threads)
    file.write_bytes(content)
    assert read(str(file)) == threads
    # Nothing in it is a formula, and each line ends as the standard says.
    text = content.decode()
    table = list(csv.reader(text.splitlines(keepends=True), strict=True))
    assert text.count("\r\n") == text.count("\n") == len(table) == len(threads) + 1
    assert all(cell[:1] not in tuple("=+-@\t\r\uff1d\uff0b\uff0d\uff20") for row in table for cell in row)


def test_the_file_has_a_header_and_plain_values() -> None:
    assert written([HARBOUR, FOAM._replace(name='a "b", c'), FOAM._replace(name="=1+1")]).decode() == (
        "name,colour,kind,length_mm,whole,price\r\n"
        "harbour blue,#0b3c5d,floss,8000.0,yes,1.20\r\n"
        '"a ""b"", c",#f4f1de,wool,940.5,no,\r\n'
        "'=1+1,#f4f1de,wool,940.5,no,\r\n"
    )


def test_no_control_character_of_a_name_is_written() -> None:
    assert b"\x1b" not in written([FOAM._replace(name="a\x1b[2J\u202eb")])


def test_columns_come_in_any_order_and_some_may_be_missing(file: Path) -> None:
    assert read_text(file, "Length_MM,colour, name \n8000,teal,one\n") == [
        BoxThread(0, "one", "#008080", "floss", 8000.0, True)
    ]
    rows = ["price,whole,kind,length_mm,colour,name", ",FALSE,wool,12.25,#ABC,two", '1.5,,,8000,teal,"a, b"', ",,,,,"]
    assert read_text(file, "\ufeff" + "\r\n".join([*rows, ""])) == [
        BoxThread(0, "two", "#aabbcc", "wool", 12.25, False),
        BoxThread(0, "a, b", "#008080", "floss", 8000.0, True, Decimal("1.5")),
    ]
    assert read_text(file, "name,colour,length_mm\n") == []
    assert [each.mm for each in read_text(file, "name,colour,length_mm\na,teal,.5\nb,teal,8000.\n")] == [0.5, 8000]
    assert read_text(file, 'name,colour,length_mm,price\na,teal,5,"1,20"\n')[0].price == Decimal("1.20")
    # A formula in a file that somebody wrote is a name.
    assert read_text(file, "name,colour,length_mm\n=1+1,teal,5\n")[0].name == "=1+1"


def test_every_problem_is_said_with_its_place_in_one_run(file: Path) -> None:
    text = (
        "name,coulour,colour,length_mm,price,whole\n"
        ",,tael,8000,1,yes\n"
        'one,,teal,"8,000",1 000,maybe\n'
        "two,,#12,0,-1,no,,x\n"
        "three,,teal\n"
        '"four\nfive",,teal,5\n'
        "six\x07\u202e,,teal,5\n"
    )
    assert problems(file, text) == [
        "1:6: unknown column `coulour`; did you mean `colour`?",
        "2:1: a thread needs a name, such as harbour blue",
        "2:3: `tael` is not a CSS colour; did you mean `teal`?",
        "3:11: `8,000` is not a length: write mm, above 0 and up to 10000000, such as 8000",
        "3:19: `1 000` is not a price: write a number such as 1.20",
        "3:25: `maybe` must be yes for a whole skein, or no for an offcut",
        "4:6: `#12` is not a colour: write 3 or 6 digits after #, 0 to 9 and a to f",
        "4:10: `0` is not a length: write mm, above 0 and up to 10000000, such as 8000",
        "4:12: `-1` is not a price: write a number such as 1.20",
        "4:19: this cell has no column; the first line names 6",
        "5:8: a thread needs a length in mm, such as 8000",
        "6:1: a name must be on one line",
        "8:1: the character U+0007 is not allowed in a name: remove it",
    ]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "1:1: the file is empty; its first line must be name,colour,kind,length_mm,whole,price"),
        ("\n\n", "1:1: the file is empty; its first line must be name,colour,kind,length_mm,whole,price"),
        ("name,length_mm\na,5\n", "1:1: the column `colour` is missing"),
        ("name;colour;length_mm\na;teal;5\n", "1:1: the cells of a line must be separated by commas"),
        ("name,colour,length_mm,name\n", "1:23: duplicate column `name`"),
        ("name,colour,length_mm,\na,teal,5,\n", "1:23: a column has no name; known are name, colour, kind, length_mm,"),
        (b"name,colour,length_mm\n\xe9,teal,5\n", "2:1: byte 0xe9 is not UTF-8: save the file as UTF-8 text"),
        ("x" * 1_000_001, "1:1: the file is longer than 1 MB"),
        ("name,colour,length_mm\n" + "a,teal,5\n" * (MOST_THREADS + 1), "10002:1: a box has at most 10000 threads"),
        (f"name,colour,length_mm\n{'a' * (LONGEST_NAME + 1)},teal,5\n", "2:1: the name is longer than 500 characters"),
        ('name,colour,length_mm,kind\na,teal,5,"two\nlines"\n', "2:10: `two?lines` is not the name of a gauge"),
    ],
)
def test_one_problem(file: Path, text: str | bytes, says: str) -> None:
    (found,) = problems(file, text)
    assert found.startswith(says)


def test_a_file_that_is_none(tmp_path: Path) -> None:
    for name in tmp_path / "nowhere.csv", tmp_path:
        with pytest.raises(BadFile) as error:
            read(str(name))
        assert error.value.message


def test_many_problems_take_little_time(file: Path) -> None:
    # The nearest name is not looked for each time.
    found = problems(file, "name,colour,length_mm\n" + "a,tael,5\n" * 3_000)
    assert len(found) == 3_000
    assert found[0].endswith("; did you mean `teal`?")
    assert found[-1].endswith("`tael` is not a CSS colour")


def test_the_longest_name_can_be_a_formula(file: Path) -> None:
    name = "=" * LONGEST_NAME
    assert name_of(name) == name
    file.write_bytes(written([FOAM._replace(name=name)]))
    assert read(str(file))[0].name == name
