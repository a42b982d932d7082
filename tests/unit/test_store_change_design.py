"""A piece that goes on with a changed design: its log, its numbers, and what the next start finds."""

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from random import Random

import pytest

from benchmate import piece_exchange
from benchmate import piece_opening as openings
from benchmate.craft.progress import NotPossible
from benchmate.piece_opening import Kept
from benchmate.store import places
from benchmate.store.open_piece import OpenPiece
from tests.homes import events_of
from tests.running import ROOT, WRITTEN, environment

FINISHED = WRITTEN.replace("A loop", "An end").replace("Fold the strings over a pin", "Plait the ends")


@pytest.fixture
def held(kept: Kept, band: Path) -> OpenPiece:
    """A new piece of four repeats of three knots."""
    held = openings.follow(kept, str(band), openings.NO_OPTIONS, new=False).held
    held.hold()
    return held


def change(held: OpenPiece, *, start: str | None = None, finish: str | None = None, repeats: int = 4) -> None:
    """Goes on with a copy that has this start and finish, and as many repeats."""
    copy = held.copy._replace(start=start, finish=finish, repeats=repeats)
    held.change_design(copy, openings.whole_of_copy(copy, held.way))


def loaded(held: OpenPiece) -> tuple[list[int], list[int], int]:
    """The piece as the next start finds it: the tied steps in turn, the strings as they hang, and all steps."""
    kept = Kept()
    try:
        assert held.piece is not None
        row = kept.pieces.get(held.piece)
        found = openings.resume(kept, row).held
        assert (row.done, row.size) == (found.progress.done, found.whole.size)
        return list(found.progress.history), found.progress.hanging, found.whole.size
    finally:
        kept.close()


def here(held: OpenPiece) -> tuple[list[int], list[int], int]:
    return list(held.progress.history), held.progress.hanging, held.whole.size


def test_a_new_piece_changes_before_its_first_step(held: OpenPiece, kept: Kept) -> None:
    change(held, repeats=2)
    assert (held.whole.size, held.piece, kept.pieces.all()) == (6, None, [])
    held.tie([0])
    assert loaded(held) == here(held)
    assert events_of(kept.pieces, 1)[0].act == "tie"


def test_more_repeats_of_a_finished_piece(held: OpenPiece, kept: Kept) -> None:
    held.tie(range(12))
    change(held, repeats=6)
    assert (held.progress.next, held.whole.size) == (12, 18)
    assert [event[1:] for event in events_of(kept.pieces, 1)] == [("tie", 0, 11), ("copy", 1, 1)]
    held.tie([12])
    assert loaded(held) == here(held)


def test_knots_whose_numbers_change_are_written_down_by_their_new_ones(held: OpenPiece, kept: Kept) -> None:
    held.tie([1, 0])
    change(held, start=WRITTEN)
    assert list(held.progress.history) == [0, 1, 2, 4, 3]
    assert [event[1:] for event in events_of(kept.pieces, 1)] == [
        ("tie", 1, 1),
        ("tie", 0, 0),
        ("jump-untie", 0, 0),
        ("jump-untie", 1, 1),
        ("copy", 1, 1),
        ("jump-tie", 0, 2),
        ("jump-tie", 4, 4),
        ("jump-tie", 3, 3),
    ]
    assert loaded(held) == here(held)
    held.back()
    held.tie([3, 5])
    change(held)
    assert list(held.progress.history) == [1, 0, 2]
    assert loaded(held) == here(held)


def test_steps_of_the_finish_come_out_before_the_band_goes_on(held: OpenPiece, kept: Kept) -> None:
    change(held, finish=FINISHED)
    held.tie(range(14))
    change(held, finish=FINISHED, repeats=5)
    assert list(held.progress.history) == [*range(12)]
    assert [event[1:] for event in events_of(kept.pieces, 1)[1:]] == [("untie", 13, 12), ("copy", 1, 1)]
    held.tie([12, 13, 14, 15])
    assert loaded(held) == here(held)


def test_what_is_tied_beyond_the_new_end_refuses_it(held: OpenPiece) -> None:
    held.tie(range(7))
    for repeats in (2, -4):
        with pytest.raises(NotPossible):
            change(held, repeats=repeats)
    change(held, repeats=-5)
    assert (held.whole.size, held.progress.next) == (8, 7)
    assert loaded(held) == here(held)


def test_nothing_changes_on_the_way_to_a_wrong_knot(held: OpenPiece) -> None:
    held.tie(range(7))
    held.mark_wrong(3)
    with pytest.raises(NotPossible):
        change(held, repeats=9)
    assert held.whole.size == 12


def test_a_changed_piece_goes_to_another_machine(held: OpenPiece, kept: Kept, tmp_path: Path) -> None:
    held.tie([1, 0])
    change(held, start=WRITTEN, repeats=-3)
    held.let_go()
    (tmp_path / "all.pieces").write_bytes(piece_exchange.exported(kept.home, []))
    other = places.Home(tmp_path / "other")
    (arrived,) = piece_exchange.imported(other, str(tmp_path / "all.pieces"))
    assert (arrived.done, arrived.size) == (5, 8)


def killed_after(band: Path, steps: int) -> int:
    """Changes the design in a process that dies after so many steps of the database; its exit status."""
    pid = os.fork()
    if pid:
        return os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])
    kept = Kept()
    held = openings.follow(kept, str(band), openings.NO_OPTIONS, new=False).held
    held.hold(force=True)
    count = iter(range(1, 1 << 20))
    handler = lambda: os._exit(9) if next(count) == steps else 0  # noqa: E731
    held._saved.pieces._connection.set_progress_handler(handler, 10)
    change(held, start=WRITTEN, repeats=5)
    os._exit(0)


def test_a_kill_at_any_moment_leaves_the_piece_as_before_or_after(home: Path, band: Path) -> None:
    # In a process without threads, because it forks.
    script = f"import sys; from pathlib import Path; from {__name__} import kills; kills(Path(sys.argv[1]))"
    subprocess.run([sys.executable, "-c", script, str(band)], env=environment(home), cwd=ROOT, check=True)


def kills(band: Path) -> None:
    """Kills the change of a design after any number of steps of the database."""
    kept = Kept()
    held = openings.follow(kept, str(band), openings.NO_OPTIONS, new=False).held
    held.hold()
    held.tie([1, 0])
    before = here(held)
    held.let_go()
    kept.close()
    steps = 1
    while killed_after(band, steps) == 9:
        assert loaded(held) == before
        steps += 3
    assert steps > 20
    assert loaded(held) == ([0, 1, 2, 4, 3], before[1], 18)


def test_any_turn_of_changes_and_presses_is_found_again(held: OpenPiece) -> None:
    chance = Random(4)
    knots = 0
    for _ in range(60):
        start, finish = chance.choice([None, WRITTEN]), chance.choice([None, FINISHED])
        moves: list[Callable[[], None]] = [
            lambda start=start, finish=finish: change(  # type: ignore[misc]
                held, start=start, finish=finish, repeats=chance.choice([-9, -4, -1, 2, 3, 5])
            ),
            lambda: held.tie([chance.choice(held.progress.ready())]) if held.progress.ready() else None,
            lambda: held.tie([chance.choice(held.progress.ready())]) if held.progress.ready() else None,
            held.back,
        ]
        seen = made(held)
        try:
            chance.choice(moves)()
        except NotPossible:
            assert made(held) == seen
        if held.piece is not None:
            assert loaded(held) == here(held)
        knots = max(knots, len(made(held)))
    assert knots > 5


def made(held: OpenPiece) -> list[object]:
    """The knots of the band in the turn they were tied, whatever their numbers."""
    main = held.whole.main
    return [held.whole.step(number) for number in held.progress.history if number >= main.first]
