"""DEVELOPERS.md lists the licence of every dependency, as the installed metadata state it."""

import re
from importlib.metadata import PathDistribution
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from tests import licences
from tests.dependencies import ROOT, SYSTEMS, closure, every_system, here, installed, project
from tests.licences import NOT_IN_METADATA, Row, UnknownLicence, identifiers, licence_in, licence_of

DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
PERMISSIVE = {"0BSD", "Apache-2.0", "BSD", "CC0-1.0", "ISC", "MIT", "MIT-0", "MIT-CMU", "PSF-2.0", "Zlib"}
FILE_BY_FILE = {"MPL-2.0"}
"""Asks only that changes to its own files are passed on."""


def listed() -> dict[str, Row]:
    """The table of DEVELOPERS.md by package."""
    lines = re.findall(
        r"^\| (.*) \|$", DEVELOPERS.partition("<!-- licences -->\n")[2].partition("\n\n")[0], re.MULTILINE
    )
    rows = [Row(*(cell.strip() for cell in line.split("|"))) for line in lines[2:]]
    assert len({row.package for row in rows}) == len(rows) > 40
    return {row.package: row for row in rows}


def faults(table: dict[str, Row]) -> list[str]:
    """What the table says wrongly of what is installed here.

    A row may be of a package that only other versions or systems install; so may one of several licences.
    """
    found = []
    for row in licences.rows():
        there = table.get(row.package)
        if there is None:
            found.append(f"{row.package} is not in the table")
        elif there.purpose != row.purpose:
            found.append(f"{row.package} is for {row.purpose}")
        elif not identifiers(row.licence) <= identifiers(there.licence):
            found.append(f"{row.package} has {row.licence}")
    return found


def test_the_table_is_true() -> None:
    assert faults(listed()) == [], "`python -m tests.licences` prints the table anew"


def test_it_lists_no_direct_dependency_that_is_not_declared() -> None:
    declared = {canonicalize_name(each.name) for found in project().values() for each in found}
    assert {row.package for row in listed().values() if not row.brought_by} == declared


def test_every_direct_dependency_has_its_reason() -> None:
    reasons = DEVELOPERS.partition("## Dependencies, and why\n\n")[2].partition("\n\n")[0]
    first_cells = " ".join(re.findall(r"^\| (.*?) \|", reasons, re.MULTILINE))
    named = {canonicalize_name(name) for name in re.findall(r"[\w-]+", first_cells)}
    assert {canonicalize_name(each.name) for found in project().values() for each in found} <= named


def test_what_the_program_runs_with_can_be_passed_on_with_it() -> None:
    run = closure(project()["run"], every_system())
    assert len(run) > 10
    for name in run:
        assert identifiers(licence_of(name)) <= PERMISSIVE | FILE_BY_FILE, name
    assert identifiers(licence_of("espeakng-loader")) == {"GPL-3.0"}
    assert "espeakng-loader" not in run


def test_a_package_that_is_added_or_changes_its_licence_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    table = listed()
    without = {name: row for name, row in table.items() if name != "mdurl"}
    assert faults(without) == ["mdurl is not in the table"]
    changed = {**table, "rich": table["rich"]._replace(licence="Apache-2.0")}
    assert faults(changed) == ["rich has MIT"]
    moved = {**table, "textual": table["textual"]._replace(purpose="test")}
    assert faults(moved) == ["textual is for run"]
    declared = {**project(), "run": (*project()["run"], Requirement("pytest-xdist"))}
    monkeypatch.setattr(licences, "project", lambda: declared)
    assert set(faults(table)) == {"execnet is for run", "iniconfig is for run", "packaging is for run"} | {
        f"{name} is for run" for name in ("pluggy", "pytest", "pytest-xdist", "colorama")
    }


@pytest.mark.parametrize(
    ("fields", "licence"),
    [
        ({"License-Expression": "MIT OR Apache-2.0"}, "MIT OR Apache-2.0"),
        ({"License": "MIT"}, "MIT"),
        ({"License": "3-Clause BSD License"}, "BSD-3-Clause"),
        ({"License": "The whole text of it", "Classifier": "License :: OSI Approved :: MIT License"}, "MIT"),
        ({"Classifier": "License :: OSI Approved :: BSD License"}, "BSD"),
        ({"Classifier": "License :: OSI Approved"}, None),
        ({"License": "Whatever you like"}, None),
        ({"License": "UNKNOWN"}, None),
        ({}, None),
    ],
)
def test_licences_are_read_as_old_and_new_metadata_state_them(
    tmp_path: Path, fields: dict[str, str], licence: str | None
) -> None:
    lines = {"Metadata-Version": "2.1", "Name": "thing", "Version": "1", **fields}.items()
    (tmp_path / "METADATA").write_text("".join(f"{name}: {text}\n" for name, text in lines), encoding="utf-8")
    assert licence_in(PathDistribution(tmp_path).metadata) == licence


def test_licences_are_compared_by_their_identifiers() -> None:
    assert identifiers("BSD-3-Clause AND (0BSD OR MIT)") == {"BSD", "0BSD", "MIT"}
    assert identifiers("LGPL-3.0-or-later") == identifiers("LGPL-3.0-only") == identifiers("LGPL-3.0")
    assert identifiers("GPL-3.0 WITH GCC-exception-3.1") == {"GPL-3.0", "GCC-exception-3.1"}


def test_a_package_without_a_known_licence_is_refused() -> None:
    with pytest.raises(UnknownLicence, match="nowhere: read its licence"):
        licence_of("nowhere")


def test_licences_written_by_hand_are_only_those_no_metadata_state() -> None:
    stated = {name for name in NOT_IN_METADATA if name in installed() and licence_in(installed()[name].metadata)}
    assert not stated - {"colorama", "sounddevice"}
    everything = [each for found in project().values() for each in found]
    assert closure(everything, every_system()).keys() >= NOT_IN_METADATA.keys()


def test_what_only_other_systems_install_is_listed_too() -> None:
    linux, mac, windows = ([{**here()[0], **system}] for system in SYSTEMS)
    (pyttsx3,) = (each for each in project()["run"] if each.name == "pyttsx3")
    assert closure([pyttsx3], linux).keys() == {"pyttsx3"}
    assert closure([pyttsx3], mac).keys() == {"pyttsx3", "pyobjc"}
    assert closure([pyttsx3], windows).keys() == {"pyttsx3", "comtypes", "pypiwin32", "pywin32"}
    assert closure([pyttsx3], every_system()).keys() <= listed().keys()
