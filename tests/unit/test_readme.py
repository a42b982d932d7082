"""What the README shows is true: its examples read without a warning, its keys are the keys there are."""

import re
from pathlib import Path

import pytest

from benchmate.design_files.load import load
from benchmate.settings import ACTIONS, key_named, read_settings

README = (Path(__file__).resolve().parents[2] / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```yaml\n(.*?)```", README, re.DOTALL)
DESIGNS = [block for block in BLOCKS if block.startswith("benchmate:")]
SETTINGS = [block for block in BLOCKS if block.startswith("guard:")]


@pytest.mark.parametrize("text", DESIGNS, ids=lambda text: text.splitlines()[1])
def test_its_designs_are_good(text: str, tmp_path: Path) -> None:
    file = tmp_path / "design.yaml"
    file.write_text(text, encoding="utf-8")
    assert load(str(file)).warnings == []


def test_it_shows_a_band_and_written_steps_and_settings() -> None:
    families = [re.findall(r"^family: (\w+)", text, re.MULTILINE) for text in DESIGNS]
    assert families == [["diagonal"], ["steps"], ["alpha"], ["braid"]]
    assert len(SETTINGS) == 1


def test_its_settings_are_good(tmp_path: Path) -> None:
    file = tmp_path / "settings.yaml"
    file.write_text(SETTINGS[0], encoding="utf-8")
    settings = read_settings(file)
    assert settings.keys["done"] == ACTIONS[0].keys


def test_its_keys_are_the_keys_there_are() -> None:
    rows = re.findall(r"^\| (.+?) \| .+ \|$", README, re.MULTILINE)[2:]
    told = [tuple(key_named(key.strip()) for key in row.split(",")) for row in rows]
    assert sorted(told, key=str) == sorted((action.keys for action in ACTIONS), key=str)
