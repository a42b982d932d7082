"""The maker's rules for floats: from the settings everywhere, from the command line for one list of steps."""

import json
from pathlib import Path

import pytest

from tests.loaded import run
from tests.running import LAMPS


@pytest.fixture
def picture(tmp_path: Path) -> Path:
    file = tmp_path / "lamps.yaml"
    file.write_text(LAMPS, encoding="utf-8")
    return file


def leading(file: Path, home: Path, *options: str) -> int:
    """How many leading strings `order` starts."""
    done = run("order", file, "--json", *options, home=home)
    assert done.status == 0, done.err
    steps: list[dict[str, int]] = json.loads(done.out)["steps"]
    return max(step["leading"] for step in steps)


def test_options_of_order(picture: Path, tmp_path: Path) -> None:
    assert leading(picture, tmp_path) == 2
    assert leading(picture, tmp_path, "--float-columns", "3") == 3
    assert leading(picture, tmp_path, "--float-columns", "0") == 4
    assert leading(picture, tmp_path, "--hang", "2") == 2
    assert leading(picture, tmp_path, "--hang", "1") == 4
    high = tmp_path / "high.yaml"
    high.write_text(LAMPS.replace("o....o", "o.....") + "  o.....\n", encoding="utf-8")
    assert leading(high, tmp_path) == 2
    assert leading(high, tmp_path, "--float-rows", "0") == 3


def test_settings_hold_in_order_and_in_plain_lines(picture: Path, tmp_path: Path) -> None:
    (tmp_path / "settings.yaml").write_text("float-columns: 3\n", encoding="utf-8")
    assert leading(picture, tmp_path) == 3
    assert leading(picture, tmp_path, "--float-columns", "5") == 2, "an option goes before a setting"
    done = run("follow", picture, "--plain", home=tmp_path, given="\n" * 5)
    assert "6/12 begin a new lamp, leave a 9 cm tail; then forward, lamp over 6" in done.out
    assert done.err == (
        "3 leading strings in all, up to 2 hanging at once; 6 ends to hide. "
        "Floats pass behind up to 1 column; catch a long one under a knot on its way.\n"
    )
    # A piece that is resumed is planned by the settings as they are now.
    (tmp_path / "settings.yaml").unlink()
    done = run("follow", picture, "--plain", home=tmp_path)
    assert done.out.startswith("6/12 bring lamp across the back from column 1 (4 knots); then")
    assert "to hide" not in done.err, "that is for before the first knot"


@pytest.mark.parametrize(
    ("options", "fault"),
    [
        (("--hang", "0"), "must be a whole number from 1"),
        (("--float-columns", "21"), "--float-columns must be at most 20 (found 21)"),
        (("--float-rows", "-1"), "must be a whole number from 0"),
    ],
)
def test_rules_out_of_range(picture: Path, tmp_path: Path, options: tuple[str, ...], fault: str) -> None:
    done = run("order", picture, *options, home=tmp_path)
    assert (done.status, done.out) == (2, "")
    assert fault in done.err


def test_faulty_settings_stop_only_pictures(picture: Path, tmp_path: Path) -> None:
    settings = tmp_path / "settings.yaml"
    settings.write_text("hang: many\n", encoding="utf-8")
    for command, *options in (["order"], ["follow", "--plain"]):
        done = run(command, picture, *options, home=tmp_path)
        assert (done.status, done.out) == (1, "")
        assert done.err.startswith(f"{settings}:1:7: ")
    assert run("order", "tidewater-chevron", "--json", home=tmp_path).status == 0
    assert run("follow", "tidewater-chevron", "--plain", home=tmp_path).status == 0
