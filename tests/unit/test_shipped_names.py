"""Shipped designs by name, in every command that takes a design."""

import json
import os
from pathlib import Path

import pytest

from benchmate.design_files.load import load
from benchmate.design_files.shelf import name_of, nearest_name, path_of, shipped
from benchmate.files.tree import BadFile
from tests.loaded import run
from tests.running import CHART, Done, pieces

NAME = "tidewater-chevron"
COMMANDS = [["check"], ["order"], ["untie", "--done", "2", "--knot", "1"], ["draw"], ["follow", "--plain"]]
"""Every command that takes a DESIGN, and what else it needs."""

ONCE = CHART.replace("repeats: 4\n", "")

each_command = pytest.mark.parametrize("command", COMMANDS, ids=[command[0] for command in COMMANDS])


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder to work in."""
    folder = tmp_path / "desk"
    folder.mkdir()
    monkeypatch.chdir(folder)
    return folder


def named(command: list[str], design: str, home: Path, desk: Path, given: str = "") -> Done:
    return run(command[0], design, *command[1:], home=home, cwd=desk, given=given)


@each_command
def test_a_name_does_what_the_path_does(command: list[str], home: Path, desk: Path) -> None:
    path = path_of(NAME)
    assert os.path.isfile(path)
    by_name, by_path = named(command, NAME, home, desk), named(command, path, home, desk)
    assert (by_name.status, by_name.err) == (0, "")
    assert by_name.out == by_path.out.replace(path, NAME)
    assert by_name.out


@each_command
def test_a_file_in_the_working_folder_goes_first(command: list[str], home: Path, desk: Path) -> None:
    (desk / NAME).write_text(CHART.replace("f b", "f q"))
    done = named(command, NAME, home, desk)
    assert (done.status, done.out) == (1, "")
    assert done.err.startswith(f"{NAME}:7:7: unknown knot `q`")
    for file in NAME, "rain.yaml":
        (desk / file).write_text(ONCE)
    done = named(command, NAME, home, desk)
    assert (done.status, done.err) == (0, "")
    assert done.out == named(command, "rain.yaml", home, desk).out.replace("rain.yaml", NAME)


@each_command
@pytest.mark.parametrize(
    ("given", "meant"),
    [
        ("tidewater-chevrn", NAME),
        ("Tidewater chevron", NAME),
        ("tidewater_chevron", NAME),
        (f"{NAME}.yaml", NAME),
        ("larks-head-on-ring", "larks-head-on-a-ring"),
    ],
)
def test_a_near_miss_names_the_nearest(command: list[str], given: str, meant: str, home: Path, desk: Path) -> None:
    done = named(command, given, home, desk)
    assert (done.status, done.out) == (1, "")
    assert done.err == f"{given}: no such file; did you mean the shipped design `{meant}`?\n"
    assert not pieces(home)


@each_command
@pytest.mark.parametrize("given", ["zzz", "", ".", f"./{NAME}", f"designs/{NAME}x", f"./{NAME}.yaml", "a\x1bb"])
def test_no_guess_for_a_path_or_a_name_unlike_any(command: list[str], given: str, home: Path, desk: Path) -> None:
    done = named(command, given, home, desk)
    assert (done.status, done.out) == (1, "")
    what = "this is a folder, not a file" if given == "." else "no such file"
    assert done.err == f"{given.replace(chr(27), '?')}: {what}\n"


@pytest.mark.parametrize("first", [NAME, path_of(NAME)], ids=["started by name", "started by path"])
@pytest.mark.parametrize("then", [NAME, path_of(NAME)], ids=["resumed by name", "resumed by path"])
def test_a_piece_is_resumed_by_name_and_by_path(first: str, then: str, home: Path, desk: Path) -> None:
    assert named(["follow", "--plain"], first, home, desk, "\n\n").status == 0
    done = named(["follow", "--plain"], then, home, desk, "\n")
    assert (done.status, done.err) == (0, "")
    assert [line.split("/")[0] for line in done.out.splitlines()] == ["3", "4"]
    (piece,) = pieces(home)
    assert (piece["file"], piece["done"]) == (os.path.realpath(path_of(NAME)), 3)


def test_a_file_with_the_name_of_a_shipped_design_has_its_own_piece(home: Path, desk: Path) -> None:
    plain = ["follow", "--plain"]
    named(plain, NAME, home, desk, "\n")
    (desk / NAME).write_text(CHART)
    assert named(plain, NAME, home, desk, "\n\n").out.startswith("1/12 ")
    (desk / NAME).unlink()
    assert named(plain, NAME, home, desk).out.startswith("2/")
    assert sorted(piece["file"] for piece in pieces(home)) == sorted(
        [os.path.realpath(path_of(NAME)), os.path.realpath(desk / NAME)]
    )


def test_a_piece_of_a_shipped_design_that_became_faulty_is_resumed_by_name(
    home: Path, desk: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from benchmate.cli import main

    shelf = tmp_path / "shelf"
    shelf.mkdir()
    (shelf / "rain.yaml").write_text(CHART)
    monkeypatch.setattr("benchmate.design_files.shelf.shipped_folder", lambda: str(shelf))
    typed = tmp_path / "typed"
    typed.write_text("\n")
    for text, begins in (CHART, "1/12 "), (CHART.replace("f b", "f q"), "2/12 "):
        (shelf / "rain.yaml").write_text(text)
        with typed.open(encoding="utf-8") as answers:
            monkeypatch.setattr("sys.stdin", answers)
            assert main(["follow", "rain", "--plain"]) == 0
        printed = capsys.readouterr()
        assert printed.out.startswith(begins)
    assert "rain:7:7: unknown knot `q`" in printed.err


def test_order_by_name_is_one_document(home: Path, desk: Path) -> None:
    done = run("order", NAME, "--json", home=home, cwd=desk)
    assert (done.status, done.err) == (0, "")
    assert json.loads(done.out)["title"] == "Tidewater chevron"


def test_names_and_paths() -> None:
    for path in shipped():
        name = name_of(path)
        assert path == os.path.join(os.path.dirname(path), f"{name}.yaml")
        assert path_of(name) == path
        assert path_of(path) == path
        assert nearest_name(path) is None
        assert nearest_name(name) == name
        file = load(name)
        assert (file.given, file.path) == (name, os.path.realpath(path))


def test_a_folder_or_a_broken_link_of_that_name(desk: Path) -> None:
    (desk / NAME).mkdir()
    assert load(NAME).path == os.path.realpath(path_of(NAME))
    (desk / NAME).rmdir()
    (desk / NAME).symlink_to("nowhere")
    with pytest.raises(BadFile) as caught:
        load(NAME)
    assert caught.value.lines() == [f"{NAME}: no such file"]


def test_a_message_about_a_shipped_design_uses_the_name_given(
    tmp_path: Path, desk: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "rain.yaml").write_bytes(b"title: \xff\n")
    monkeypatch.setattr("benchmate.design_files.shelf.shipped_folder", lambda: str(tmp_path))
    with pytest.raises(BadFile) as caught:
        load("rain")
    assert caught.value.lines() == ["rain:1:8: byte 0xff is not UTF-8: save the file as UTF-8 text"]
