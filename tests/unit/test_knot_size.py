"""A gauge that learns plans new pictures, and never one that is half made."""

import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from benchmate import piece_opening as openings
from benchmate.craft.float_rules import KnotSize
from benchmate.craft.thread.gauge import FLOSS
from benchmate.craft.thread.kinds import KINDS
from benchmate.craft.thread.observations import Measured
from benchmate.design_files.load import load
from benchmate.families.alpha.work import AlphaWork
from benchmate.piece_opening import Kept, WorkingOptions
from benchmate.store.database import Database
from benchmate.store.open_piece import OpenPiece
from benchmate.store.safekeeping import exchange
from benchmate.store.thread.gauges import estimate_of, record
from benchmate.store.thread.gauges import take_back as forget
from tests.homes import export, take_in
from tests.loaded import run

PICTURE = """\
benchmate: 1
title: Three lanterns
family: alpha
colours: {dusk: navy, lamp: gold}
base: dusk
key: {".": dusk, "o": lamp}
chart: |
  o.ooo.
  oooooo
  ..oo..
"""
"""Which string comes from where depends on whether columns are wide or rows are high."""
NARROW_AND_HIGH = (Measured("wide", 40, 40.0), Measured("base", 40, 320.0), Measured("alpha rows", 40, 320.0))
"""Knots 1 mm wide, rows 8 mm high: no such thread exists, but the gauge learns it."""


@pytest.fixture
def picture(tmp_path: Path) -> Path:
    file = tmp_path / "lanterns.yaml"
    file.write_text(PICTURE, encoding="utf-8")
    return file


def measured(kept: Kept, name: str = "floss", times: int = 40) -> list[int]:
    """Teaches the gauge of a thread that its knots are narrow and high."""
    with closing(Database(kept.home)) as database:
        return [record(database, name, NARROW_AND_HIGH) for _ in range(times)]


def size_of(held: OpenPiece) -> KnotSize:
    """The size of knots by which a piece is planned."""
    return held.whole.main.design.knot_size or KnotSize()


def plan_of(held: OpenPiece) -> list[int]:
    """The leading string of every knot."""
    work = held.whole.main.work
    assert isinstance(work, AlphaWork)
    return [work.plan.leading(number) for number in range(work.size)]


def begun(kept: Kept, design: str | Path) -> OpenPiece:
    """A new piece with its first two knots."""
    held = openings.follow(kept, str(design), WorkingOptions(), new=True).held
    held.hold()
    held.finish_step()
    held.finish_step()
    held.let_go()
    return held


def test_a_piece_goes_on_by_the_size_it_was_begun_with(kept: Kept, picture: Path) -> None:
    before = begun(kept, picture)
    measured(kept)
    learned = estimate_of(kept.home, "floss")
    assert learned is not None
    after = begun(kept, picture)
    assert size_of(after) == KnotSize(learned.gauge.wide_mm, learned.gauge.base_mm) != KnotSize()
    assert plan_of(after) != plan_of(before)
    for number, earlier in ((1, before), (2, after)):
        again = openings.resume_listed(kept, kept.pieces.get(number)).held
        assert (size_of(again), plan_of(again)) == (size_of(earlier), plan_of(earlier))
    # With the same text, with a text that changed, and where the file is gone.
    picture.write_text(PICTURE.replace("Three lanterns", "Lanterns"), encoding="utf-8")
    changed = openings.resume_listed(kept, kept.pieces.get(2))
    assert changed.updated is not None
    assert size_of(changed.held) == size_of(after) == (changed.updated.whole.main.design.knot_size or KnotSize())
    picture.unlink()
    assert size_of(openings.resume_listed(kept, kept.pieces.get(1)).held) == KnotSize()
    assert size_of(openings.resume_listed(kept, kept.pieces.get(2)).held) == size_of(after)


def test_only_pictures_of_another_size_keep_one(kept: Kept, picture: Path, band: Path) -> None:
    begun(kept, picture)
    begun(kept, band)
    assert [kept.pieces.knot_size_of(number) for number in (1, 2)] == [None, None]
    picture.write_text(PICTURE.replace("base:", "thread: wool\nbase:"), encoding="utf-8")
    wool = KINDS["wool"].gauge
    begun(kept, picture)
    assert kept.pieces.knot_size_of(3) == KnotSize(wool.wide_mm, wool.base_mm)
    measured(kept, "wool", 3)
    assert kept.pieces.knot_size_of(3) == KnotSize(wool.wide_mm, wool.base_mm)


def test_a_copy_and_another_machine_have_it_too(kept: Kept, picture: Path, tmp_path: Path) -> None:
    measured(kept)
    size = size_of(begun(kept, picture))
    assert kept.pieces.knot_size_of(kept.pieces.copy(1, "Lanterns again")) == size
    file, there = export(kept.home.folder, tmp_path / "all.pieces"), tmp_path / "there"
    assert take_in(there, file) == ["added", "added"]
    assert export(there, tmp_path / "again.pieces").read_bytes() == file.read_bytes()
    lines = file.read_text(encoding="ascii").splitlines()
    assert json.loads(lines[1])["knots"] == size._asdict()


@pytest.mark.parametrize(
    "size", ['{"wide":0.0,"high":1.0}', '{"wide":"1","high":1.0}', '{"wide":2.0,"high":1e99}', "7"]
)
def test_a_size_that_is_none_is_refused(kept: Kept, picture: Path, tmp_path: Path, size: str) -> None:
    measured(kept)
    begun(kept, picture)
    file, there = export(kept.home.folder, tmp_path / "all.pieces"), tmp_path / "there"
    head, text = file.read_text(encoding="ascii").splitlines()
    document = json.loads(text)
    del document["sha256"]
    document["knots"] = json.loads(size)
    file.write_text(f"{head}\n{json.dumps(exchange._sealed(document))}\n", encoding="ascii")
    done = run("pieces", "--import", file, home=there)
    assert (done.status, done.out) == (1, "")
    assert done.err.startswith(f"{file}:2:1: this piece cannot be used: ")


def test_a_damaged_size_is_the_usual_one(kept: Kept, picture: Path) -> None:
    measured(kept)
    begun(kept, picture)
    with closing(sqlite3.connect(kept.home.database, isolation_level=None)) as connection:
        connection.execute("UPDATE knot_size SET wide = 3")
    assert kept.pieces.knot_size_of(1) is None
    assert size_of(openings.resume_listed(kept, kept.pieces.get(1)).held) == KnotSize()


def test_order_and_thread_plan_by_the_gauge(kept: Kept, picture: Path) -> None:
    home = kept.home.folder

    def plan() -> list[int]:
        steps = json.loads(run("order", picture, "--json", home=home).out)["steps"]
        found = json.loads(run("thread", picture, "--json", home=home).out)["leading"]
        numbers = [step["leading"] for step in steps]
        assert [each["knots"] for each in found] == [numbers.count(each["leading"]) for each in found]
        return numbers

    before = plan()
    numbers = measured(kept)
    assert plan() != before
    with closing(Database(kept.home)) as database:
        for number in numbers:
            forget(database, number)
    assert plan() == before
    assert load(str(picture)).design.knot_size is None
    assert KnotSize() == KnotSize(FLOSS.wide_mm, FLOSS.base_mm)
