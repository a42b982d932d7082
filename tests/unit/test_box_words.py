"""The box in plain mode, typed line by line."""

import io
from decimal import Decimal
from pathlib import Path

import pytest

from benchmate.craft.thread.box_thread import BoxThread
from benchmate.piece_opening import Kept
from benchmate.piece_questions.thread.box_form import Draft, doubt_about, draft_of, threads
from benchmate.plain.answers import Answers
from benchmate.plain.first_list.box_words import keep_box
from benchmate.plain.lines import Lines
from benchmate.store import places
from benchmate.store.thread.box import Box, threads_in

KINDS = ["floss", "wool"]
DUSK = BoxThread(1, "dusk", "#000080", "floss", 8000.0, True, Decimal("1.20"))


@pytest.fixture
def kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Kept:
    monkeypatch.setenv(places.HOME, str(tmp_path / "home"))
    return Kept()


def typed(kept: Kept, *answers: str, units: str = "cm") -> tuple[str, str]:
    """What is said and what is noticed when these lines are typed at the box."""
    out, notices = io.StringIO(), io.StringIO()
    given = io.StringIO("".join(f"{answer}\n" for answer in answers))
    keep_box(Box(kept.pieces.database), KINDS, units, Answers(given), Lines(out, notices))
    return out.getvalue(), notices.getvalue()


def test_a_thread_is_added_with_an_empty_line_for_what_is_usual(kept: Kept) -> None:
    said, noticed = typed(kept, "add", "dusk", "navy", "", "", "8 m", "1,20", "2", "q")
    assert noticed == ""
    assert said.startswith("Box: Your box is empty.\n")
    assert said.endswith("Added: dusk, 2 times.\n")
    assert threads_in(kept.home) == [DUSK, DUSK._replace(number=2)]


def test_what_cannot_be_is_asked_again_and_what_is_unusual_once(kept: Kept) -> None:
    said, noticed = typed(kept, "add", "", "dusk", "nivy", "navy", "2", "offcut", "word", "900 m", "900 m", "", "q")
    assert noticed.splitlines() == [
        "A thread needs a name, such as harbour blue.",
        "`nivy` is not a CSS colour; did you mean `navy`?",
        "Type a length above 0, such as 8 m; a number alone is in cm.",
        "900 m? An offcut is usually 10 cm to 4 m. Type it again, or another length.",
    ]
    assert threads_in(kept.home) == [BoxThread(1, "dusk", "#000080", "wool", 900_000.0, False)]
    assert "1: a skein, not cut into yet\n2: an offcut" in said


def test_a_thread_is_corrected_taken_out_and_put_back(kept: Kept) -> None:
    Box(kept.pieces.database).add([DUSK, DUSK])
    said, noticed = typed(kept, "2", "dawn", "", "", "", "7 m 50", "none", "take 1", "undo", "list", "q")
    assert noticed == ""
    assert threads_in(kept.home) == [DUSK, DUSK._replace(number=2, name="dawn", mm=7500.0, price=None)]
    assert "Corrected: dawn.\nTaken out: dusk. undo puts it back.\nUndone: took out thread 1.\n" in said
    assert said.endswith("2: dawn (navy): skein, 7 m 50 cm, floss\n" + said.splitlines()[-1] + "\n")


@pytest.mark.parametrize("typed_last", ["q", None])
def test_going_back_in_the_middle_changes_nothing(kept: Kept, typed_last: str | None) -> None:
    said, _ = typed(kept, "add", "dusk", "navy", *([typed_last] if typed_last else []))
    assert "Nothing was changed." in said
    assert threads_in(kept.home) == []


@pytest.mark.parametrize("answer", ["take", "box", "take x", "export here.csv"])
def test_what_is_not_understood_says_the_words(kept: Kept, answer: str) -> None:
    Box(kept.pieces.database).add([DUSK])
    _, noticed = typed(kept, answer, "undo", "undo", "q")
    assert noticed.startswith("Not understood. Type a number to correct")
    assert noticed.endswith("There is nothing to undo.\n")
    assert threads_in(kept.home) == []


@pytest.mark.parametrize("units", ["cm", "inches"])
@pytest.mark.parametrize("mm", [1.0, 94.0, 1234.5, 8000.0, 33.333])
def test_a_thread_that_is_only_looked_at_stays_as_it_is(units: str, mm: float) -> None:
    thread = DUSK._replace(mm=mm, whole=False)
    draft = draft_of(thread, units)
    assert doubt_about(draft, KINDS, units, new=False, taken=["length"]) is None
    assert threads(draft, units, thread.number) == [thread]


@pytest.mark.parametrize("text", ["0", "10001", "1.5", "x", "", "-1", "1000000000"])
def test_a_number_of_skeins_is_whole_and_in_bounds(text: str) -> None:
    draft = Draft("dusk", "navy", length="8 m", skeins=text)
    doubt = doubt_about(draft, KINDS, "cm", new=True)
    assert doubt is not None
    assert doubt.field == "skeins"


def test_as_many_skeins_are_added_as_a_box_holds() -> None:
    assert doubt_about(Draft("dusk", "navy", length="8 m", skeins="10000"), KINDS, "cm", new=True) is None


def test_the_box_goes_to_a_file_and_comes_back(kept: Kept, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Box(kept.pieces.database).add([DUSK, DUSK._replace(name="=1+1", mm=420.0, whole=False, price=None)])
    said, noticed = typed(kept, "export", "export", "import thread-box.csv", "import nothing.csv", "q")
    assert f"Saved: thread-box.csv in {tmp_path}\nSaved: thread-box-2.csv in {tmp_path}\n" in said
    assert "Read from a file: 2 threads." in said
    assert noticed.startswith("nothing.csv: ")
    found = threads_in(kept.home)
    assert [thread._replace(number=0) for thread in found[:2]] == [thread._replace(number=0) for thread in found[2:]]


def test_a_faulty_file_changes_nothing(kept: Kept, tmp_path: Path) -> None:
    file = tmp_path / "box.csv"
    file.write_text("name,colour,length_mm\ndusk,nivy,8000\ndawn,teal,0\n", encoding="utf-8")
    _, noticed = typed(kept, f"import {file}", "q")
    assert noticed == f"{file}:2:6: `nivy` is not a CSS colour; did you mean `navy`? (1 more problem)\n"
    assert threads_in(kept.home) == []


@pytest.mark.parametrize("answer", ["take 2", "9"])
def test_a_number_that_no_thread_has_is_said(kept: Kept, answer: str) -> None:
    Box(kept.pieces.database).add([DUSK])
    _, noticed = typed(kept, answer, "q")
    assert noticed == f"There is no thread {answer[-1]} in your box; list says what there is.\n"


def test_a_number_stays_a_threads_own(kept: Kept) -> None:
    Box(kept.pieces.database).add([DUSK._replace(name=name) for name in ("one", "two", "three")])
    said, _ = typed(kept, "take 1", "list", "take 2", "q")
    assert "2: two (navy): skein" in said
    assert [thread.name for thread in threads_in(kept.home)] == ["three"]


@pytest.mark.parametrize("answer", ["abc", "0", "?"])
def test_an_answer_that_is_no_choice_is_asked_again(kept: Kept, answer: str) -> None:
    said, noticed = typed(kept, "add", "dusk", "nivy", "navy", "wolle", "1", answer, "1", "", "", "", "q")
    assert noticed.splitlines()[-1] == "Type skein or offcut."
    assert "Now: nivy" not in said
    assert threads_in(kept.home) == [DUSK._replace(price=None)]
