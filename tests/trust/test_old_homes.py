"""Homes that programs of earlier versions left behind open, resume and take new work: ended well or killed.

Each was made once by the program of its time and never changes. `tests/trust/test_migrations.py` has whole databases as
text; here are the states that no dump shows. In `killed` homes no session ended well, so everything is in the
write-ahead log, and the locks of dead programs lie beside it. In `killed-later` a copy of the day is older than the
log. In `settled` homes the plan has a column that later databases of version 2 do not have.
"""

from pathlib import Path
from typing import NamedTuple

import pytest

from tests.installing import unpack
from tests.loaded import run
from tests.running import pieces

DATA = Path(__file__).with_name("data")

RAIN = """\
benchmate: 1
title: Rain on slate
family: diagonal
colours: {slate: "#2f4858", rain: {css: "#cfe8ef", say: "pale rain"}}
strings: [slate, rain, rain, slate]
rows:
  - f b
  - f
repeats: 4
"""
QUAY = """\
benchmate: 1
title: Lamplit quay
family: diagonal
colours: {tar: "#22252b", lamp: {css: "#f0d9a0", say: "lamp light"}}
strings: [tar, lamp, lamp, tar, tar]
rows:
  - f b
  - f b
  - "f -"
  - b b
repeats: 3
"""
DESIGNS = {
    "Rain on slate": RAIN,
    "Hail on slate": RAIN.replace("Rain", "Hail"),
    "Lamplit quay": QUAY,
}
"""The designs of the unfinished pieces, as they were when the pieces were begun."""
NEW = QUAY.replace("Lamplit quay", "Morning quay")


class Left(NamedTuple):
    """A piece as the program that left it listed it, and where it would go on."""

    title: str
    by: str
    done: int
    of: int
    line: str = ""


RAIN_4 = "5/12 backward, 4 pale rain over 3 slate, then pale rain hangs at 3, slate at 4; row 3"
QUAY_3 = "4/21 forward, 1 lamp light over 2 tar, then lamp light hangs at 2, tar at 1; row 3; lamp light: 1 of 1, "
HOMES = {
    "1-killed": [
        Left("Hail on slate", "rows", 2, 12, "3/12 forward, 2 slate over 3 slate, they change places; row 2"),
        Left("Rain on slate", "rows", 4, 12, RAIN_4),
    ],
    "2-settled": [
        Left(
            *("Lamplit quay", "segments", 6, 21),
            "7/21 backward, 5 lamp light over 4 tar, then lamp light hangs at 4, tar at 5; row 4; lamp light: 1 of 2",
        ),
        Left(
            *("Rain on slate", "rows", 3, 12),
            "4/12 forward, 1 pale rain over 2 slate, then pale rain hangs at 2, slate at 1; row 3",
        ),
    ],
    "2-settled-killed": [
        Left("Lamplit quay", "segments", 3, 21, QUAY_3 + "then pick up 3 tar"),
        Left("Rain on slate", "rows", 4, 12, RAIN_4),
    ],
    "2-killed": [
        Left("Lamplit quay", "segments", 3, 21, QUAY_3 + "then pick up 3 tar"),
        Left("Rain on slate", "rows", 4, 12, RAIN_4),
    ],
    "2-killed-later": [
        Left("Lamplit quay", "segments", 3, 21, QUAY_3 + "then pick up 3 tar"),
        Left("Rain on slate", "rows", 5, 12, "6/12 forward, 2 pale rain over 3 pale rain, they change places; row 4"),
        Left("A loop over a pin", "rows", 3, 3),
    ],
}
"""The homes by the version of their database and what happened to them, with what their own program said of them."""


def put(name: str, home: Path) -> None:
    """Puts an old home in place."""
    unpack(DATA / f"home-{name}.tar.gz", home.parent)
    assert home.is_dir()


def test_every_home_that_is_kept_is_tested() -> None:
    assert {file.name for file in DATA.glob("home-*")} == {f"home-{name}.tar.gz" for name in HOMES}
    assert sum(file.stat().st_size for file in DATA.iterdir()) < 100_000


@pytest.mark.parametrize("name", [name for name in HOMES if name.endswith("killed")])
def test_the_data_of_a_killed_home_are_in_its_write_ahead_log_alone(name: str, home: Path) -> None:
    put(name, home)
    database = home / "pieces.db"
    assert database.stat().st_size == 4096
    assert all(title.encode() not in database.read_bytes() for title in DESIGNS)
    assert (home / "pieces.db-wal").stat().st_size > 50_000


@pytest.mark.parametrize("name", HOMES)
def test_an_old_home_lists_and_resumes_its_pieces_and_takes_new_work(name: str, home: Path, tmp_path: Path) -> None:
    put(name, home)
    left = HOMES[name]
    listed = [(piece["title"], piece["by"], piece["done"], piece["of"], piece["finished"]) for piece in pieces(home)]
    assert listed == [(*piece[:4], not piece.line) for piece in left]
    for piece in left:
        if piece.line:
            # The design lies elsewhere now; the piece is known by its text.
            design = tmp_path / f"{piece.title}.yaml"
            design.write_text(DESIGNS[piece.title], encoding="utf-8")
            done = run("follow", design, "--plain", home=home, given="\n\nb\n")
            assert (done.status, done.err) == (0, "")
            first, *lines = done.out.splitlines()
            assert first == piece.line
            counts = [f"{number}/{piece.of}" for number in (piece.done + 2, piece.done + 3, piece.done + 2)]
            assert [line.split()[0] for line in lines] == counts

    # A piece by segments saves its plan.
    design = tmp_path / "new.yaml"
    design.write_text(NEW, encoding="utf-8")
    done = run("follow", design, "--plain", "--by", "segments", home=home, given="\n\n")
    assert (done.status, done.err) == (0, "")
    worked = {piece.title: piece.done + 1 if piece.line else piece.done for piece in left} | {"Morning quay": 2}
    assert {piece["title"]: piece["done"] for piece in pieces(home)} == worked
