"""How many skeins are enough, and what a design's preview says of thread and evenings."""

import json
import random
from math import ceil
from pathlib import Path

import pytest

from benchmate.choosing.preview import MOST_KNOTS_PLANNED, Wanted, preview_of
from benchmate.choosing.shelves import Entry
from benchmate.choosing.skeins import enough_skeins
from benchmate.craft.colours.terminal_colours import TRUE_COLOUR
from benchmate.craft.pace import Pace
from benchmate.craft.thread.cut_list import Length, cut_list
from benchmate.craft.thread.estimate import Estimate
from benchmate.craft.thread.gauge import FLOSS
from benchmate.design_files.load import load
from benchmate.settings import DEFAULTS, Settings
from tests.loaded import run
from tests.running import WRITTEN
from tests.screen.benches import CHEVRON, PICTURE, written_to


def lengths(**cuts: list[float]) -> list[Length]:
    return [Length(colour, (1,), cut) for colour, every in cuts.items() for cut in every]


@pytest.mark.parametrize(
    ("cuts", "skeins"),
    [
        ({}, 0),
        ({"deep": [8000.0]}, 1),
        ({"deep": [8010.0]}, None),
        ({"deep": [4000.0, 4000.0, 4000.0]}, 2),
        ({"deep": [4000.0], "foam": [4000.0]}, 2),
        # Shortest first it would take three.
        ({"deep": [3000.0, 3000.0, 5000.0, 5000.0]}, 2),
    ],
)
def test_so_many_skeins_are_enough(cuts: dict[str, list[float]], skeins: int | None) -> None:
    assert enough_skeins(lengths(**cuts), 8000.0) == skeins


def test_never_fewer_than_the_thread_takes_and_never_two_half_empty() -> None:
    chance = random.Random(14)
    for _ in range(200):
        cuts = [float(10 * chance.randint(20, 700)) for _ in range(chance.randint(1, 40))]
        found = enough_skeins(lengths(deep=cuts), 8000.0)
        assert found is not None
        assert ceil(sum(cuts) / 8000.0) <= found < 2 * sum(cuts) / 8000.0 + 1


def facts(
    folder: Path, text: str, pace: Pace | None = None, settings: Settings = DEFAULTS, estimate: Estimate | None = None
) -> dict[str, str]:
    file = load(str(written_to(folder, text)))
    entry = Entry(file.design.title, None, file, file.design.effort.number)
    return dict(preview_of(Wanted(entry, None, pace, TRUE_COLOUR, estimate or Estimate(), settings)).facts)


LONG = CHEVRON.replace("repeats: 3", "repeats: 60")
"""600 knots."""


def test_thread_and_evenings_of_a_design(tmp_path: Path) -> None:
    found = facts(tmp_path, LONG)
    total = sum(cut_list(load(str(tmp_path / "band.yaml")).design, Estimate()).colours.values())
    assert found["thread"].startswith(f"{total / 1000:.1f} m, up to ")
    assert found["thread"].endswith(" skeins of 8 m")
    # 600 knots of 6 seconds are an hour.
    assert found["evenings"] == "2 of 40 min at 6 s a knot"
    assert facts(tmp_path, LONG, Pace(20.0, 18.0, 25.0))["evenings"] == "5 to 7 of 40 min"


@pytest.mark.parametrize("name", ["snails-after-rain", "tidewater-chevron", "four-square-cord"])
def test_the_thread_is_that_of_the_cut_list(name: str, home: Path) -> None:
    file = load(name)
    found = dict(preview_of(Wanted(Entry("", None, file), None, None, TRUE_COLOUR, Estimate(), DEFAULTS)).facts)
    document = json.loads(run("thread", name, "--json", home=home).out)
    total = sum(colour["cut_mm"] for colour in document["colours"])
    assert found["thread"].startswith(f"{total / 1000:.1f} m, ")


def test_they_follow_the_settings_and_the_gauge(tmp_path: Path) -> None:
    found = facts(tmp_path, LONG, settings=DEFAULTS._replace(units="inches", sitting=30))
    assert found["evenings"].startswith("2 of 30 min")
    assert " yards, up to " in found["thread"]
    thick = facts(tmp_path, LONG, estimate=Estimate(FLOSS._replace(made_mm=21.0)))
    assert float(thick["thread"].partition(" ")[0]) > 1.5 * float(facts(tmp_path, LONG)["thread"].partition(" ")[0])


def test_a_length_longer_than_a_skein_is_said(tmp_path: Path) -> None:
    found = facts(tmp_path, CHEVRON.replace("repeats: 3", "repeats: 900"))
    assert found["thread"].endswith("; a length is longer than a skein of 8 m")


def test_nothing_is_said_where_nothing_is_cut_or_planning_takes_long(tmp_path: Path) -> None:
    assert "thread" not in facts(tmp_path, WRITTEN)
    assert "evenings" not in facts(tmp_path, WRITTEN)
    assert "thread" in facts(tmp_path, PICTURE)
    large = PICTURE.replace("repeats: 2", f"repeats: {MOST_KNOTS_PLANNED // 15 + 1}")
    assert "thread" not in facts(tmp_path, large)
