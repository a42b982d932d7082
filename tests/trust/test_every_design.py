"""Every shipped design: good, listed, and knotted in plain lines to its last step."""

import io
import json
import os
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from benchmate import piece_opening as openings
from benchmate.craft.wording import step_words
from benchmate.design_files.load import load
from benchmate.design_files.shelf import shipped
from benchmate.piece_opening import Kept
from benchmate.plain import piece as plain
from benchmate.plain.answers import Answers
from benchmate.plain.lines import Lines
from tests.loaded import run

FILES = shipped()
ids = pytest.mark.parametrize("file", FILES, ids=lambda file: Path(file).stem)


@pytest.fixture
def tmp_path() -> Iterator[Path]:
    """A folder in memory where there is room: nothing is killed here, and many thousand steps need no disk."""
    with TemporaryDirectory(dir=os.environ.get("PYTEST_DEBUG_TEMPROOT")) as folder:
        yield Path(folder)


def test_every_design_is_good_without_warnings(tmp_path: Path) -> None:
    done = run("check", *FILES, home=tmp_path)
    assert (done.status, done.err) == (0, "")
    assert done.out.count(": ok, ") == len(FILES)


@ids
def test_order_lists_every_step(file: str, tmp_path: Path) -> None:
    for by in ("rows", "segments"):
        done = run("order", file, "--json", "--by", by, home=tmp_path)
        assert (done.status, done.err) == (0, "")
        document = json.loads(done.out)
        steps = document["steps"]
        assert [step["n"] for step in steps] == list(range(1, len(steps) + 1))
        if "pickups" in document:
            assert document["pickups"] == steps[-1]["run"] >= document["least"]


@ids
def test_it_can_be_knotted_to_the_last_step(file: str, kept: Kept) -> None:
    # All repeats work the same rows, from the same or the other side.
    repeats = min(load(file).design.repeats, 2)
    opening = openings.follow(kept, file, openings.NO_OPTIONS._replace(repeats=repeats), new=False)
    size = opening.held.whole.size
    opening.held.hold()
    out, notices = io.StringIO(), io.StringIO()
    assert plain.run(opening, Answers(io.StringIO("\n" * size)), Lines(out, notices)) == 0
    *steps, last = out.getvalue().splitlines()
    assert [line.split(" ", 1)[0] for line in steps] == [f"{n}/{size}" for n in range(1, size + 1)]
    assert last.startswith("All done")
    # The strings of a picture, before its first knot.
    known = step_words.before_first(opening.held.whole)
    assert notices.getvalue() == (f"{known}\n" if known else "")
    assert bool(known) == (opening.held.whole.main.design.family.name == "alpha")
    (piece,) = kept.pieces.all()
    assert (piece.done, piece.finished) == (size, True)
    assert os.path.samefile(piece.file, file)


def test_every_family_has_a_design() -> None:
    families = [load(file).design.family.name for file in FILES]
    assert len(families) >= 40
    assert set(families) == {"diagonal", "alpha", "braid", "steps"}
