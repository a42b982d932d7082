"""Designs loaded from files, with the start and finish they name."""

import os
from pathlib import Path

import pytest

from benchmate.design_files import load as designs
from benchmate.design_files import shelf
from benchmate.design_files.load import load
from benchmate.design_files.shelf import shipped, shipped_folder
from benchmate.files.tree import BadFile

BAND = """\
benchmate: 1
title: Band
family: diagonal
colours: {a: teal}
strings: [a, a]
rows: [f]
"""

PIECE = """\
benchmate: 1
title: Loop
family: steps
colours: {a: teal}
steps: [{do: Fold}]
"""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder for the person's files, with another folder of shipped designs."""
    own, ships = tmp_path / "own", tmp_path / "ships"
    own.mkdir()
    ships.mkdir()
    (ships / "shipped-loop.yaml").write_text(PIECE.replace("Loop", "Shipped loop"))
    for module in (designs, shelf):
        monkeypatch.setattr(module, "shipped_folder", lambda: str(ships))
    return own


def write(path: Path, text: str) -> str:
    path.write_text(text, encoding="utf-8")
    return str(path)


def fault(path: str) -> list[str]:
    with pytest.raises(BadFile) as caught:
        load(path)
    assert caught.value.name == path
    return [line.removeprefix(path) for line in caught.value.lines()]


def test_a_design_file(folder: Path) -> None:
    text = BAND + "thread: silk\n"
    given = os.path.relpath(write(folder / "band.yaml", text))
    file = load(given)
    assert (file.given, file.path, file.text) == (given, os.path.realpath(folder / "band.yaml"), text)
    assert file.design.title == "Band"
    assert (file.start, file.finish) == (None, None)
    assert [problem[:2] for problem in file.warnings] == [(7, 9)]


def test_start_and_finish_are_found_beside_the_file_then_among_the_shipped(folder: Path) -> None:
    write(folder / "loop.yaml", PIECE + "thread: silk\n")
    file = load(write(folder / "band.yaml", BAND + "start: loop\nfinish: shipped-loop\n"))
    assert file.start is not None
    assert file.finish is not None
    assert file.start.design.title == "Loop"
    assert file.finish.design.title == "Shipped loop"
    assert file.start.path == os.path.realpath(folder / "loop.yaml")
    assert len(file.start.warnings) == 1
    assert file.warnings == []


def test_a_file_beside_comes_before_a_shipped_one(folder: Path) -> None:
    write(folder / "shipped-loop.yaml", PIECE.replace("Loop", "My loop"))
    file = load(write(folder / "band.yaml", BAND + "start: shipped-loop\n"))
    assert file.start is not None
    assert file.start.design.title == "My loop"


def test_the_start_is_looked_for_beside_a_links_target(folder: Path, tmp_path: Path) -> None:
    write(folder / "loop.yaml", PIECE)
    write(folder / "band.yaml", BAND + "start: loop\n")
    link = tmp_path / "link.yaml"
    link.symlink_to(folder / "band.yaml")
    file = load(str(link))
    assert file.path == os.path.realpath(folder / "band.yaml")
    assert file.given == str(link)
    assert file.start is not None


@pytest.mark.parametrize(
    ("piece", "problem"),
    [
        (BAND, "`start`: `loop.yaml` must be of the family `steps` (found `diagonal`)"),
        (PIECE + "start: shipped-loop\n", "`start`: `loop.yaml` must not have a `start` of its own"),
        (PIECE + "finish: nowhere\n", "`start`: `loop.yaml` must not have a `finish` of its own"),
        (
            PIECE.replace("{do: Fold}", "{}"),
            "`start`: `loop.yaml` cannot be used: line 1, column 1: the key `do`",
        ),
        (
            "thread: silk\n" + PIECE + "x: 1\n",
            "`start`: `loop.yaml` cannot be used: line 7, column 1: unknown",
        ),
        ("a: [", "`start`: `loop.yaml` cannot be used: line 1, column 5: a value is missing"),
    ],
)
def test_a_start_that_cannot_be_worked(folder: Path, piece: str, problem: str) -> None:
    write(folder / "loop.yaml", piece)
    lines = fault(write(folder / "band.yaml", BAND + "start: loop\n"))
    assert len(lines) == 1
    assert lines[0].startswith(f":7:8: {problem}")


def test_a_missing_start(folder: Path) -> None:
    lines = fault(write(folder / "band.yaml", BAND + "start: nowhere\nfinish: shipped-loop\n"))
    assert lines == [
        ":7:8: no design `nowhere.yaml` for `start` beside this file or among the shipped designs",
    ]


def test_a_start_that_is_a_folder_or_a_broken_link(folder: Path) -> None:
    (folder / "loop.yaml").mkdir()
    (folder / "shipped-loop.yaml").symlink_to(folder / "gone.yaml")
    lines = fault(write(folder / "band.yaml", BAND + "start: loop\nfinish: shipped-loop\n"))
    assert lines == [
        ":7:8: `start`: `loop.yaml` cannot be used: this is a folder, not a file",
        ":8:9: `finish`: `shipped-loop.yaml` cannot be used: no such file",
    ]


def test_a_piece_that_starts_with_itself(folder: Path) -> None:
    lines = fault(write(folder / "loop.yaml", PIECE + "start: loop\n"))
    assert lines == [":6:8: `start`: `loop.yaml` must not have a `start` of its own"]


def test_a_written_piece_can_have_a_start(folder: Path) -> None:
    file = load(write(folder / "loop.yaml", PIECE + "start: shipped-loop\n"))
    assert file.start is not None


def test_a_missing_start_is_reported_even_in_a_faulty_design(folder: Path) -> None:
    lines = fault(write(folder / "band.yaml", BAND.replace("[f]", "[g]") + "start: nowhere\nthread: silk\n"))
    assert [line.split(" ")[0] for line in lines] == [":6:8:", ":7:8:", ":8:9:"]
    assert lines[2].startswith(":8:9: warning: ")


def test_files_that_cannot_be_opened(folder: Path) -> None:
    assert fault(str(folder / "gone.yaml")) == [": no such file"]
    assert fault(str(folder)) == [": this is a folder, not a file"]
    assert fault(str(folder / ("x" * 300))) == [": this file cannot be read: File name too long"]
    with pytest.raises(BadFile, match=r"^a\?b: no such file: no file name can contain"):
        load("a\0b")


def test_a_file_without_permission_is_not_called_missing(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = write(folder / "band.yaml", BAND)

    def forbidden(*_: object) -> int:
        raise PermissionError(13, "Permission denied")

    with monkeypatch.context() as patch:
        patch.setattr(os, "open", forbidden)
        with pytest.raises(BadFile) as caught:
            load(path)
    assert caught.value.lines() == [f"{path}: no permission to read this file"]


def test_shipped_designs_are_sorted_by_name(folder: Path, tmp_path: Path) -> None:
    for name in ("b.yaml", "a.yaml", "read.me"):
        write(tmp_path / "ships" / name, PIECE)
    assert [Path(path).name for path in shipped()] == ["a.yaml", "b.yaml", "shipped-loop.yaml"]


def test_the_shipped_folder_exists() -> None:
    assert os.path.basename(shipped_folder()) == "designs"
    assert os.path.isdir(shipped_folder())


def test_the_limit_of_steps_includes_start_and_finish(folder: Path) -> None:
    write(folder / "loop.yaml", PIECE.replace("{do: Fold}", "{do: Fold, times: 3}"))
    band = BAND.replace("rows: [f]", "rows: [f, '']") + "repeats: 199997\n"
    assert load(write(folder / "most.yaml", band + "start: loop\n")).start is not None
    over = write(folder / "over.yaml", band.replace("199997", "199998") + "start: loop\n")
    (line,) = fault(over)
    assert "makes 200001 steps; the limit is 200000" in line


def test_a_misspelt_start_of_a_row_is_the_only_problem_reported(folder: Path) -> None:
    band = BAND.replace("[a, a]", "[a, a, a, a]").replace("rows: [f]", "rows: [{strat: 2, knots: f}]")
    assert [line.split(": ")[1] for line in fault(write(folder / "band.yaml", band))] == [
        "unknown key `strat`; did you mean `start`?"
    ]


def test_every_problem_of_a_start_is_reported(folder: Path) -> None:
    write(folder / "loop.yaml", PIECE.replace("teal", "tel").replace("do", "od"))
    lines = fault(write(folder / "band.yaml", BAND + "start: loop\n"))
    assert [line.split("cannot be used: ")[1].split(": ")[0] for line in lines] == [
        "line 1, column 1",
        "line 4, column 14",
        "line 5, column 10",
    ]
    assert {line.split(" ")[0] for line in lines} == {":7:8:"}


def test_an_unreadable_character_hides_no_other_problem(folder: Path) -> None:
    band = BAND.replace("title: Band", "title: Ba\x01nd") + "author: b\u2028c\x02\nfoo: 1\n"
    assert [line.split(" ")[0] for line in fault(write(folder / "band.yaml", band))] == [":2:10:", ":7:10:", ":8:1:"]
