"""`designs`: the shelf as a document and for a person."""

import json
from pathlib import Path
from typing import Any

import pytest
import yaml

from benchmate.craft.effort import effort
from benchmate.design_files.load import load
from benchmate.design_files.shelf import easy_to_hard, path_of, shipped
from tests.running import run


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


def test_every_shipped_design_is_listed_with_what_its_file_holds(shelf: list[dict[str, Any]]) -> None:
    files = {Path(path).stem: yaml.safe_load(Path(path).read_text(encoding="utf-8")) for path in shipped()}
    assert sorted(each["name"] for each in shelf) == sorted(files)
    for each in shelf:
        assert list(each) == ["name", "title", "family", "strings", "steps", "effort", "notes"]
        file = files[each["name"]]
        assert (each["title"], each["family"]) == (file["title"], file["family"])
        assert each["notes"] == file.get("notes")
        # As they hang at the start: base strings, strands, the strings that written steps name.
        hanging = {
            "diagonal": lambda file: len(file["strings"]),
            "alpha": lambda file: len(file["chart"].splitlines()[0]),
            "braid": lambda file: len(file["strands"]),
            "steps": lambda file: len(file.get("strings", [])),
        }
        assert each["strings"] == hanging[each["family"]](file)


def test_steps_are_as_many_as_order_lists(shelf: list[dict[str, Any]], home: Path) -> None:
    chosen = {each["family"]: each for each in shelf}
    assert len(chosen) == 4
    for each in chosen.values():
        listed = json.loads(run("order", each["name"], "--json", home=home).out)
        assert len(listed["steps"]) == each["steps"]


def test_easy_comes_before_hard_and_written_steps_come_last(shelf: list[dict[str, Any]]) -> None:
    sorts = [(each["family"] == "steps", each["effort"]) for each in shelf]
    assert sorts == sorted(sorts)
    assert {written for written, _ in sorts} == {False, True}
    for each in shelf:
        assert each["effort"] == effort(load(path_of(each["name"])).design).number


def test_sorting_keeps_designs_of_equal_effort_as_they_were() -> None:
    design = load(path_of("mooring-line")).design
    assert [each.path for each in easy_to_hard([(design, "b"), (design, "a")])] == ["b", "a"]


def test_for_a_person_a_line_each_in_columns(shelf: list[dict[str, Any]], home: Path) -> None:
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
