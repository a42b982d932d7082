"""`designs`: the shelf as a document and as lines."""

import json
from pathlib import Path
from typing import Any

import pytest
import yaml

from benchmate.design_files.load import load
from benchmate.design_files.shelf import easy_to_hard, path_of, shipped
from tests.loaded import run


@pytest.fixture
def shelf(home: Path) -> list[dict[str, Any]]:
    """The document of `designs --json`."""
    done = run("designs", "--json", home=home)
    assert (done.status, done.err) == (0, "")
    assert done.out.count("\n") == 1
    assert not home.exists()
    found = json.loads(done.out)
    assert isinstance(found, list)
    return found


def test_every_shipped_design_is_listed_as_its_file_says(shelf: list[dict[str, Any]]) -> None:
    files = {Path(path).stem: yaml.safe_load(Path(path).read_text(encoding="utf-8")) for path in shipped()}
    assert sorted(each["name"] for each in shelf) == sorted(files)
    for each in shelf:
        assert list(each) == ["name", "title", "family", "strings", "steps", "effort", "notes"]
        file = files[each["name"]]
        assert (each["title"], each["family"]) == (file["title"], file["family"])
        assert each["notes"] == file.get("notes")
        # The strings that hang at the start.
        hanging = {
            "diagonal": lambda file: len(file["strings"]),
            "alpha": lambda file: len(file["chart"].splitlines()[0]),
            "braid": lambda file: len(file["strands"]),
            "steps": lambda file: len(file.get("strings", [])),
        }
        assert each["strings"] == hanging[each["family"]](file)


def test_the_number_of_steps_is_that_of_order(shelf: list[dict[str, Any]], home: Path) -> None:
    chosen = {each["family"]: each for each in shelf}
    assert len(chosen) == 4
    for each in chosen.values():
        listed = json.loads(run("order", each["name"], "--json", home=home).out)
        assert len(listed["steps"]) == each["steps"]


def test_easy_comes_before_hard(shelf: list[dict[str, Any]]) -> None:
    efforts = [each["effort"] for each in shelf]
    assert efforts == sorted(efforts)
    for each in shelf:
        assert each["effort"] == load(path_of(each["name"])).design.effort.number


def test_designs_of_equal_effort_keep_their_order() -> None:
    design = load(path_of("mooring-line")).design
    assert [each.path for each in easy_to_hard([(design, "b"), (design, "a")])] == ["b", "a"]


def test_lines_in_columns(shelf: list[dict[str, Any]], home: Path) -> None:
    done = run("designs", home=home)
    assert (done.status, done.err) == (0, "")
    lines = done.out.splitlines()
    assert [line.split()[0] for line in lines] == [each["name"] for each in shelf]
    assert len({len(line) for line in lines}) == 1
    assert len({line.index(" effort ") for line in lines}) == 1
    assert all(len(line) <= 80 for line in lines)
    by_name = {line.split()[0]: line.split()[1:] for line in lines}
    assert by_name["tidewater-chevron"] == ["diagonal", "6", "strings", "300", "steps", "effort", "9.2"]
    assert by_name["braided-tie"] == ["steps", "16", "steps", "effort", "7.5"]
