"""The oldest and the newest Python on the machine compile every module; `python -m tests.pythons` also runs them."""

import sys
from functools import cache
from pathlib import Path
from subprocess import CalledProcessError

import pytest

from tests import pythons
from tests.pythons import KNOWN, Python, compile_all, ends, missing
from tests.running import ROOT


@cache
def found() -> list[Python]:
    """The Pythons on this machine, looked for once."""
    return pythons.pythons()


def test_the_running_python_is_found_and_all_are_supported() -> None:
    assert sys.version_info[:3] in [python.version for python in found()]
    assert found()[0].version[:2] >= pythons.lowest() == KNOWN[0]


def test_the_oldest_and_the_newest_are_tried_and_what_is_missing_is_named() -> None:
    three = [Python((3, minor, 1), f"python3.{minor}") for minor in (11, 12, 13)]
    assert ends(three) == [three[0], three[2]]
    assert ends(three[:1]) == three[:1]
    assert missing(three) == ["3.14"]
    assert missing(three[1:]) == ["3.11", "3.14"]


def test_the_oldest_and_the_newest_compile_every_module_without_a_warning(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "one.py").write_text("one = 1\n", encoding="utf-8")
    (tmp_path / "two.py").write_text('two = "\\d"\n', encoding="utf-8")
    for python in ends(found()):
        assert compile_all(python, ROOT / "benchmate") > 150
        with pytest.raises(CalledProcessError):
            compile_all(python, tmp_path)
        assert "two.py" in capsys.readouterr().err, python.name
