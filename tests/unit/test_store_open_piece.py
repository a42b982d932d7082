"""An open piece: every change is saved before it is made, so the screen always shows what is saved."""

import resource
import sqlite3
import time
import zlib
from array import array
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, closing, contextmanager
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmate import piece_opening as openings
from benchmate.craft.knots import Knot
from benchmate.craft.orders import by_rows, by_segments, fewest_left, pickups
from benchmate.craft.progress import NotPossible
from benchmate.craft.start_band_finish import WholePiece
from benchmate.craft.ways import Way
from benchmate.piece_opening import Kept
from benchmate.store import places
from benchmate.store.checksum import COVERED, add_checksum, seal
from benchmate.store.errors import Damaged, Gone, NotSaved, StoreError
from benchmate.store.holders import Holder, is_alive
from benchmate.store.log import Event, LogEnd, read_log
from benchmate.store.open_piece import OpenPiece
from benchmate.store.opened.held_piece import KEPT_PRESSES
from benchmate.store.pieces import TakenOver
from benchmate.store.reading import Copy
from tests.charts import seeded
from tests.homes import events_of
from tests.running import CHART, LONG_CHART, WRITTEN


def held_from(kept: Kept, file: Path, *, new: bool = False) -> OpenPiece:
    """The piece of a design, held by this window."""
    held = openings.follow(kept, str(file), openings.NO_OPTIONS, new=new).held
    held.hold()
    return held


@pytest.fixture
def held(kept: Kept, band: Path) -> OpenPiece:
    """A new piece."""
    return held_from(kept, band)


@pytest.fixture
def begun(held: OpenPiece) -> OpenPiece:
    """A piece with seven of twelve steps tied."""
    held.tie(range(3))
    for number in range(3, 7):
        held.tie([number])
    return held


@pytest.fixture
def other(home: Path) -> Iterator[Kept]:
    """Another window."""
    kept = Kept()
    yield kept
    kept.close()


def shown(held: OpenPiece) -> tuple[object, ...]:
    """Everything a window can show of a piece."""
    progress = held.progress
    return (
        *(held.piece, held.copy, held.way, held.order.by, held.whole.size, held.title),
        *(list(progress.history), progress.next, list(progress.hanging), held.wrong, list(held.taken_out)),
        *(held.made, held.changes, dict(held.measured), [held.whole.knotting(step) for step in range(held.whole.size)]),
    )


def saved_of(held: OpenPiece) -> tuple[object, ...]:
    """What the database holds of it, read over another connection."""
    connection = sqlite3.connect(places.home().database)
    try:
        piece = connection.execute("SELECT piece, title, file, done, size, touched FROM piece").fetchall()
        events = connection.execute("SELECT * FROM event").fetchall()
        copies = connection.execute("SELECT * FROM copy").fetchall()
        ways = connection.execute("SELECT way, from_right, mirrored, planned FROM piece").fetchall()
        ways += connection.execute("SELECT * FROM plan").fetchall()
        ways += connection.execute("SELECT * FROM measured").fetchall()
    finally:
        connection.close()
    return piece, events, copies, ways


def test_a_piece_is_saved_from_its_first_press(kept: Kept, held: OpenPiece) -> None:
    assert (held.piece, held.holding, held.title) == (None, True, "Rain on slate")
    held.back()
    held.unmark_wrong()
    held.jump(0)
    assert held.still_holds()
    assert not held.refresh()
    held.let_go()
    held.hold()
    assert kept.pieces.all() == []
    held.tie([0])
    assert held.piece == 1
    assert events_of(kept.pieces, 1) == [Event(1, "tie", 0, 0)]
    assert kept.pieces.get(1).holder == kept.holder.token


def test_a_jump_saves_a_new_piece_too(kept: Kept, held: OpenPiece) -> None:
    held.jump(4)
    assert events_of(kept.pieces, 1) == [Event(1, "jump-tie", 0, 3)]
    assert kept.pieces.get(1).done == 4


def test_every_press_is_in_the_log(kept: Kept, begun: OpenPiece) -> None:
    begun.back()
    begun.mark_wrong(0)
    assert begun.must_come_out() == [5, 4, 3, 2, 0]
    begun.untie(5)
    begun.back()
    begun.unmark_wrong()
    begun.jump(2)
    assert events_of(kept.pieces, 1) == [
        *(Event(1, "tie", 0, 2), Event(2, "tie", 3, 3), Event(3, "tie", 4, 4), Event(4, "tie", 5, 5)),
        *(Event(5, "tie", 6, 6), Event(6, "untie", 6, 6), Event(7, "wrong", 0, 0), Event(8, "untie", 5, 5)),
        *(Event(9, "tie", 5, 5), Event(10, "right", 0, 0), Event(11, "jump-untie", 5, 2)),
    ]
    assert (kept.pieces.get(1).done, begun.progress.done) == (2, 2)
    assert len(begun.presses) == 5 + 1 + 2 + 1


def test_undoing_without_a_wrong_knot(begun: OpenPiece) -> None:
    for number in reversed(range(7)):
        assert begun.progress.last == number
        begun.back()
    begun.back()
    assert begun.progress.done == 0
    assert begun.piece == 1


def test_undoing_down_to_a_wrong_knot_and_continuing_from_there(begun: OpenPiece) -> None:
    begun.mark_wrong(4)
    assert begun.must_come_out() == [6, 5, 4]
    for number in (6, 5, 4):
        begun.untie(number)
    assert (begun.wrong, begun.must_come_out(), begun.taken_out) == (None, [], [])
    assert begun.progress.next == 4
    begun.back()
    assert list(begun.progress.history) == [0, 1, 2]


def test_back_on_the_way_to_a_wrong_knot(begun: OpenPiece) -> None:
    begun.mark_wrong(3)
    begun.untie(6)
    begun.untie(5)
    begun.back()
    assert (begun.wrong, begun.taken_out, begun.progress.done) == (3, [6], 6)
    begun.back()
    assert (begun.wrong, begun.taken_out, begun.progress.done) == (3, [], 7)
    begun.back()
    assert (begun.wrong, begun.progress.done) == (None, 7)


def test_back_on_the_way_to_a_wrong_knot_works_after_a_restart(kept: Kept, begun: OpenPiece, band: Path) -> None:
    begun.mark_wrong(3)
    begun.untie(6)
    begun.untie(5)
    begun.let_go()
    again = held_from(kept, band)
    again.back()
    assert (again.wrong, again.taken_out, list(again.progress.history)) == (3, [6], [0, 1, 2, 3, 4, 5])


def test_an_impossible_change_changes_nothing(begun: OpenPiece) -> None:
    before = shown(begun), saved_of(begun)
    attempts: list[Callable[[], None]] = [
        lambda: begun.tie([8]),
        lambda: begun.tie([7, 8, 11]),
        lambda: begun.tie([7, 99]),
        lambda: begun.tie([6]),
        lambda: begun.untie(3),
        lambda: begun.untie(7),
        lambda: begun.mark_wrong(7),
    ]
    for impossible in attempts:
        with pytest.raises(NotPossible):
            impossible()
        assert (shown(begun), saved_of(begun)) == before


# Every way in which saving really fails.


@contextmanager
def written_by_another(held: OpenPiece) -> Iterator[None]:
    """Another window keeps the database locked for writing."""
    held._saved.pieces._connection.execute("PRAGMA busy_timeout = 0")
    other = sqlite3.connect(places.home().database, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    try:
        yield
    finally:
        other.close()


@contextmanager
def disk_full(held: OpenPiece) -> Iterator[None]:
    """The operating system lets the program write to no file."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@contextmanager
def taken_over(held: OpenPiece) -> Iterator[None]:
    """Another window has taken over the piece."""
    held._saved.pieces.hold(1, "another", force=True)
    try:
        yield
    finally:
        held._saved.pieces.hold(1, held._saved._holder.token, force=True)


@contextmanager
def another_entry(held: OpenPiece) -> Iterator[None]:
    """The last entry that this window has read is not the one in the log now."""
    seen = held._saved._seen
    held._saved._seen = seen._replace(sum=seen.sum ^ 1)
    try:
        yield
    finally:
        held._saved._seen = seen


@contextmanager
def file_moved(held: OpenPiece) -> Iterator[None]:
    """The database is not where the next start will look for it."""
    file = places.home().database
    elsewhere = file.with_name("elsewhere.db")
    file.rename(elsewhere)
    try:
        yield
    finally:
        elsewhere.rename(file)


@contextmanager
def file_replaced(held: OpenPiece) -> Iterator[None]:
    """Another file of the same content is where the next start will look for the database."""
    file = places.home().database
    with file_moved(held):
        file.write_bytes(file.with_name("elsewhere.db").read_bytes())
        yield


FAULTS = {
    "written by another": (written_by_another, NotSaved),
    "disk full": (disk_full, NotSaved),
    "taken over": (taken_over, TakenOver),
    "another entry": (another_entry, Gone),
    "file moved": (file_moved, Gone),
    "file replaced": (file_replaced, Gone),
}


def use_a_plan(held: OpenPiece) -> None:
    """Switches to the order with the fewest pick-ups for the open steps; changes what is saved, but no tied step."""
    assert held.use_plan(by_segments(held.whole, held.progress.history))


def with_start(held: OpenPiece) -> tuple[Copy, WholePiece]:
    """The design with a start before its rows, which moves the number of every knot."""
    copy = held.copy._replace(start=WRITTEN)
    return copy, openings.whole_of_copy(copy, held.way)


CHANGES: dict[str, Callable[[OpenPiece], None]] = {
    "tie": lambda held: held.tie([7]),
    "tie a row": lambda held: held.tie(held.progress.rest_of_row()),
    "untie": lambda held: held.untie(6),
    "back": OpenPiece.back,
    "mark wrong": lambda held: held.mark_wrong(2),
    "mark as made otherwise": lambda held: held.mark_made({3: Knot.FORWARD_BACKWARD, 6: None}),
    "leave a mistake": lambda held: held.leave({5: Knot.BACKWARD_FORWARD}, {8: None, 9: Knot.FORWARD_BACKWARD}),
    "plan a change": lambda held: held.leave({}, {8: None}),
    "take out a mistake": lambda held: held.take_out({2: None}),
    "jump with a mistake": lambda held: held.jump_to(range(9), {4: None}),
    "jump with a step marked wrong": lambda held: held.jump_to(range(9), wrong=[4]),
    "measure": lambda held: held.measure(2, 415.5),
    "join": lambda held: held.join(4, 1200),
    "jump on": lambda held: held.jump(11),
    "jump back": lambda held: held.jump(3),
    "change the way": lambda held: held.change_way("segments", from_right=True),
    "use a plan": use_a_plan,
    "change the design": lambda held: held.change_design(held.copy._replace(repeats=4), held.whole),
    "change the design and its numbers": lambda held: held.change_design(*with_start(held)),
}
ON_THE_WAY: dict[str, Callable[[OpenPiece], None]] = {
    "untie": lambda held: held.untie(5),
    "back": OpenPiece.back,
    "forget wrong": OpenPiece.unmark_wrong,
}


def nothing_changes(held: OpenPiece, change: Callable[[OpenPiece], None], fault: str) -> None:
    """During the fault the change is refused and nothing changes; afterwards it can be made."""
    make: Callable[[OpenPiece], AbstractContextManager[None]]
    make, expected = FAULTS[fault]
    before, saved_before = shown(held), saved_of(held)
    presses = list(held.presses)
    with make(held), pytest.raises(expected):
        change(held)
    assert shown(held) == before
    assert held.presses == presses
    assert saved_of(held) == saved_before
    change(held)
    assert saved_of(held) != saved_before


@pytest.mark.parametrize("fault", FAULTS)
@pytest.mark.parametrize("change", CHANGES)
def test_a_change_that_is_not_saved_is_not_made(begun: OpenPiece, change: str, fault: str) -> None:
    nothing_changes(begun, CHANGES[change], fault)


@pytest.mark.parametrize("fault", FAULTS)
@pytest.mark.parametrize("change", ON_THE_WAY)
def test_a_change_on_the_way_to_a_wrong_knot_that_is_not_saved_is_not_made(
    begun: OpenPiece, change: str, fault: str
) -> None:
    begun.mark_wrong(3)
    begun.untie(6)
    nothing_changes(begun, ON_THE_WAY[change], fault)


@pytest.mark.parametrize("fault", ["written by another", "disk full", "file moved", "file replaced"])
def test_a_new_piece_that_is_not_saved_is_not_started(held: OpenPiece, fault: str) -> None:
    nothing_changes(held, lambda held: held.tie([0, 1]), fault)


def test_a_disk_that_fills_up_stops_the_piece_at_its_last_saved_step(kept: Kept, held: OpenPiece) -> None:
    connection = held._saved.pieces._connection
    held.tie([0])
    connection.execute("PRAGMA max_page_count = 1")

    def fill() -> None:
        for _ in range(5000):
            held.tie([1])
            held.back()

    with pytest.raises(NotSaved, match="Disk full"):
        fill()
    assert list(held.progress.history) == read_log(events_of(kept.pieces, 1)).history
    assert held.progress.done == kept.pieces.get(1).done
    connection.execute("PRAGMA max_page_count = 1000000")
    held.jump(5)
    assert kept.pieces.get(1).done == 5


def test_an_interrupted_save_changes_nothing(begun: OpenPiece, monkeypatch: pytest.MonkeyPatch) -> None:
    before = shown(begun), saved_of(begun)

    def broken(*_: object) -> LogEnd:
        raise KeyboardInterrupt

    monkeypatch.setattr(begun._saved.pieces, "_log", broken)
    monkeypatch.setattr(begun._saved.pieces, "_put_plan", broken)
    monkeypatch.setattr("benchmate.store.rows.piece_rows.put_measured", broken)
    for change in CHANGES.values():
        with pytest.raises(KeyboardInterrupt):
            change(begun)
        assert (shown(begun), saved_of(begun)) == before


@pytest.mark.parametrize("change", CHANGES)
def test_nothing_changes_before_it_is_saved(begun: OpenPiece, change: str, monkeypatch: pytest.MonkeyPatch) -> None:
    before, seen = shown(begun), list[tuple[object, ...]]()

    def saving(*_: object, **__: object) -> int:
        seen.append(shown(begun))
        raise NotSaved("Disk full.")

    for save in ("add", "change_way", "change_copy", "tell"):
        monkeypatch.setattr(begun._saved.pieces, save, saving)
    with pytest.raises(NotSaved):
        CHANGES[change](begun)
    assert seen == [before]
    assert shown(begun) == before


def test_a_new_piece_does_not_change_before_it_is_saved(held: OpenPiece, monkeypatch: pytest.MonkeyPatch) -> None:
    before, seen = shown(held), list[tuple[object, ...]]()

    def saving(*_: object, **__: object) -> tuple[int, int]:
        seen.append(shown(held))
        raise NotSaved("Disk full.")

    monkeypatch.setattr(held._saved.pieces, "begin", saving)
    with pytest.raises(NotSaved):
        held.tie([0, 1])
    assert seen == [before]


def test_an_impossible_jump_is_not_saved(begun: OpenPiece) -> None:
    before = shown(begun), saved_of(begun)
    for target, wrong in (([0, 9], []), (range(4), [4])):
        with pytest.raises(NotPossible):
            begun.jump_to(target, wrong=wrong)
        assert (shown(begun), saved_of(begun)) == before


def test_only_the_holder_can_change_the_piece(begun: OpenPiece) -> None:
    begun.let_go()
    before = shown(begun), saved_of(begun)
    for change in list(CHANGES.values())[:-1]:
        with pytest.raises(TakenOver):
            change(begun)
        assert (shown(begun), saved_of(begun)) == before


def test_leaving_works_on_a_full_disk(begun: OpenPiece, other: Kept, band: Path) -> None:
    with disk_full(begun):
        begun.let_go()
    assert not begun.holding


# Two windows.


def test_a_read_only_window_sees_every_change_and_makes_none(begun: OpenPiece, other: Kept, band: Path) -> None:
    looking = openings.follow(other, str(band), openings.NO_OPTIONS, new=False).held
    with pytest.raises(TakenOver):
        looking.hold()
    assert not looking.holding
    assert shown(looking) == shown(begun)
    assert not looking.refresh()
    begun.tie([7])
    begun.mark_wrong(5)
    begun.untie(7)
    assert looking.refresh()
    assert shown(looking) == shown(begun)
    assert not looking.refresh()
    with pytest.raises(TakenOver):
        looking.untie(6)
    assert shown(looking) == shown(begun)


def test_taking_over(begun: OpenPiece, other: Kept, band: Path) -> None:
    looking = openings.follow(other, str(band), openings.NO_OPTIONS, new=False).held
    begun.tie([7])
    looking.hold(force=True)
    assert shown(looking) == shown(begun)
    assert looking.still_holds()
    assert not begun.still_holds()
    looking.tie([8])
    with pytest.raises(TakenOver) as caught:
        begun.tie([8])
    assert caught.value.piece == 1
    assert begun.progress.done == 8
    assert begun.refresh()
    assert shown(begun) == shown(looking)
    begun.hold(force=True)
    begun.tie([9])
    assert saved_of(begun)[0][0][3] == 10  # type: ignore[index]


def test_a_piece_is_free_once_its_window_has_left(begun: OpenPiece, kept: Kept, other: Kept, band: Path) -> None:
    begun.let_go()
    again = held_from(other, band)
    assert shown(again) == shown(begun)
    again.tie([7])
    assert not begun.still_holds()


def test_a_read_only_window_follows_a_change_of_the_design(begun: OpenPiece, other: Kept, band: Path) -> None:
    looking = openings.follow(other, str(band), openings.NO_OPTIONS, new=False).held
    text = CHART.replace("repeats: 4", "repeats: 6").replace("Rain", "Hail")
    band.write_text(text)
    fresh = openings.follow(other, str(band), openings.NO_OPTIONS, new=False).updated
    assert fresh is not None
    begun.change_design(*fresh)
    begun.tie(range(7, 12))
    begun.tie([12])
    assert looking.refresh()
    assert shown(looking) == shown(begun)
    assert (looking.title, looking.whole.size, looking.copy.design) == ("Hail on slate", 18, text)
    looking.hold(force=True)
    looking.tie([13])
    assert shown(looking)[5:7] == ("Hail on slate", [*range(14)])


def test_a_changed_design_is_accepted_only_if_every_tied_step_is_the_same(
    begun: OpenPiece, other: Kept, tmp_path: Path
) -> None:
    file = tmp_path / "other.yaml"
    file.write_text(CHART.replace("repeats: 4", "repeats: 2"))
    short = openings.follow(other, str(file), openings.NO_OPTIONS, new=True).held
    before = shown(begun), saved_of(begun)
    with pytest.raises(NotPossible):
        begun.change_design(short.copy, short.whole)
    assert (shown(begun), saved_of(begun)) == before
    begun.back()
    begun.change_design(short.copy, short.whole)
    assert begun.progress.finished
    assert (begun.progress.next, begun.copy.repeats) == (None, 2)


# Impossible saved data is reported.


NOW = "'2026-11-25T07:30:00.000Z'"


def written(script: str, *, sealed: bool) -> None:
    """Changes the database; with `sealed`, its checksums and numbers of entries then fit what it holds."""
    with closing(sqlite3.connect(places.home().database, isolation_level=None)) as connection:
        add_checksum(connection)
        connection.executescript(script)
        if sealed:
            connection.execute("DROP TRIGGER IF EXISTS event_is_never_changed")
            connection.execute("UPDATE piece SET entries = (SELECT count(*) FROM event)")
            for table in COVERED:
                connection.execute(seal(table))


NO_FIT = "its log does not fit its design"
IMPOSSIBLE = [
    (f"INSERT INTO event VALUES (1, 6, {NOW}, 'tie', 11, 11, 0)", NO_FIT),
    (f"INSERT INTO event VALUES (1, 6, {NOW}, 'tie', 0, 0, 0)", NO_FIT),
    (f"INSERT INTO event VALUES (1, 6, {NOW}, 'tie', 70, 70, 0)", NO_FIT),
    (f"INSERT INTO event VALUES (1, 6, {NOW}, 'untie', 9, 9, 0)", NO_FIT),
    (f"INSERT INTO event VALUES (1, 6, {NOW}, 'wrong', 9, 9, 0)", NO_FIT),
    (f"INSERT INTO event VALUES (1, 8, {NOW}, 'tie', 7, 7, 0)", "an entry of its log before entry 8 is missing"),
    (
        "DROP TRIGGER event_is_never_removed; DELETE FROM event WHERE number = 3",
        "an entry of its log before entry 5 is missing",
    ),
    ("UPDATE piece SET done = 6", NO_FIT),
    ("INSERT INTO event VALUES (1, 6, 'now', 'tie', 7, 7, 0)", "a time in its log cannot be read"),
    ("UPDATE copy SET design = 'rows: ['", "its design cannot be read"),
    ("UPDATE copy SET start = 'rows: ['", "its design cannot be read"),
    ("UPDATE piece SET way = 'spirals'", "it is worked in a way this program does not know: spirals"),
]
"""What no press can have written, and what is said about it if it has its checksum all the same."""


@pytest.mark.parametrize(("damage", "reason"), IMPOSSIBLE)
def test_impossible_saved_data_is_reported_as_damage(
    begun: OpenPiece, other: Kept, band: Path, damage: str, reason: str
) -> None:
    begun.let_go()
    written(damage, sealed=True)
    message = rf"Piece 1 in \S+pieces\.db is damaged \({reason}\)\. Nothing was changed or deleted"
    with pytest.raises(Damaged, match=message):
        openings.follow(other, str(band), openings.NO_OPTIONS, new=False)


@pytest.mark.parametrize("damage", [damage for damage, _ in IMPOSSIBLE])
def test_what_was_not_written_by_the_program_is_reported_as_damage(
    begun: OpenPiece, other: Kept, band: Path, damage: str
) -> None:
    begun.let_go()
    written(damage, sealed=False)
    with pytest.raises(Damaged, match=r"\((.* is not what was written|its log has [46] entries, not 5)\)"):
        openings.follow(other, str(band), openings.NO_OPTIONS, new=False)


def test_damage_that_the_design_would_not_show_is_reported(begun: OpenPiece, other: Kept, band: Path) -> None:
    begun.let_go()
    # The last four steps can be tied in this order too.
    written(
        "DROP TRIGGER event_is_never_changed; UPDATE event SET first = 4, last = 4 WHERE number = 2;"
        "UPDATE event SET first = 3, last = 3 WHERE number = 3",
        sealed=False,
    )
    with pytest.raises(Damaged, match=r"\(its log is not what was written\)"):
        openings.follow(other, str(band), openings.NO_OPTIONS, new=False)
    written("", sealed=True)
    assert openings.follow(other, str(band), openings.NO_OPTIONS, new=False).held.progress.done == 7


def test_only_the_last_presses_are_remembered(begun: OpenPiece) -> None:
    for _ in range(KEPT_PRESSES // 2 + 5):
        begun.tie([7])
        begun.untie(7)
    assert len(begun.presses) == KEPT_PRESSES


# Whatever is done, in whatever order, the screen shows what is saved.


@st.composite
def random_presses(draw: st.DrawFn) -> list[tuple[str, int]]:
    acts = ["on", "on", "on", "row", "back", "wrong", "right", "jump", "restart", "fault"]
    return draw(st.lists(st.tuples(st.sampled_from(acts), st.integers(0, 40)), min_size=1, max_size=30))


def do(held: OpenPiece, act: str, number: int) -> None:
    """One press of this kind, if it is possible now."""
    out, tied = held.must_come_out(), list(held.progress.history)
    if act in ("on", "row") and out:
        held.untie(out[0])
    elif act == "on" and held.progress.next is not None:
        held.tie([held.progress.next])
    elif act == "row" and held.progress.next is not None:
        held.tie(held.progress.rest_of_row())
    elif act == "back":
        held.back()
    elif act == "wrong" and tied:
        held.mark_wrong(tied[number % len(tied)])
    elif act == "right":
        held.unmark_wrong()
    elif act == "jump":
        held.jump(number % (held.whole.size + 1))


@seeded
@given(random_presses())
def test_what_is_shown_is_what_is_saved(
    tmp_path_factory: pytest.TempPathFactory, presses: list[tuple[str, int]]
) -> None:
    folder = tmp_path_factory.mktemp("kept")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("BENCHMATE_HOME", str(folder / "home"))
        file = folder / "band.yaml"
        file.write_text(CHART)
        kept = Kept()
        try:
            held = held_from(kept, file)
            for act, number in presses:
                if act == "restart":
                    held.let_go()
                    held = held_from(kept, file, new=held.progress.finished)
                elif act == "fault" and held.piece is not None and held.progress.next is not None:
                    before = shown(held)
                    with written_by_another(held), pytest.raises(NotSaved):
                        do(held, "jump", held.progress.done + 1 if held.progress.done < 12 else 0)
                    assert shown(held) == before
                else:
                    do(held, act, number)
                if held.piece is None:
                    assert held.progress.done == 0
                    continue
                again = openings.resume(kept, kept.pieces.get(held.piece)).held
                assert shown(again) == shown(held)
                assert kept.pieces.get(held.piece).done == held.progress.done
        finally:
            kept.close()


def test_opening_a_second_holder_does_not_release_the_first(kept: Kept, begun: OpenPiece, band: Path) -> None:
    # A program that checks its own lock must not release it.
    folder = places.home().holders
    token = kept.pieces.get(1).holder
    assert token is not None
    assert is_alive(folder, token)
    Holder(folder).close()
    assert is_alive(folder, token)


def test_a_jump_costs_in_proportion_to_the_piece(kept: Kept, tmp_path: Path) -> None:
    file = tmp_path / "long.yaml"
    file.write_text(LONG_CHART)

    def quickest(knots: int) -> float:
        times = []
        for _ in range(3):
            held = openings.follow(kept, str(file), openings.NO_OPTIONS, new=True).held
            held.jump(2 * knots)
            began = time.process_time()
            held.jump(knots)
            times.append(time.process_time() - began)
            assert held.progress.done == knots
        return min(times)

    # Four times the knots: four times the work if linear, sixteen times if quadratic.
    assert quickest(8_000) < 9 * quickest(2_000)


# Ways of working.

WIDE = """\
benchmate: 1
title: Reeds at the ford
family: diagonal
colours: {reed: "#5d6b2f", ford: "#a9c5d6"}
strings: [reed, ford, reed, ford, reed, ford]
rows:
  - f f b
  - f b
  - f bf b
  - f b
repeats: 3
"""


@pytest.fixture
def wide(tmp_path: Path) -> Path:
    file = tmp_path / "wide.yaml"
    file.write_text(WIDE)
    return file


def by_segments_from(kept: Kept, file: Path, *, new: bool = False) -> OpenPiece:
    """A piece worked by segments, held and planned."""
    held = openings.follow(kept, str(file), openings.WorkingOptions("segments"), new=new).held
    held.hold()
    if held.needs_plan:
        assert held.use_plan(held.plan())
    return held


def test_a_plan_is_made_once_and_saved_with_the_piece(kept: Kept, other: Kept, wide: Path) -> None:
    held = by_segments_from(kept, wide)
    plan = held.order
    assert (plan.by, held.way) == ("segments", Way("segments"))
    assert pickups(held.whole, plan) == pickups(held.whole, held.order) < pickups(held.whole, by_rows(held.whole)) == 30
    assert kept.pieces.all() == []
    for number in plan.sequence[:5]:
        held.tie([number])
    assert kept.pieces.get(1).way == Way("segments")
    held.let_go()
    again = openings.follow(other, str(wide), openings.NO_OPTIONS, new=False)
    assert (again.held.way, again.mismatch, again.held.needs_plan) == (Way("segments"), None, False)
    assert again.held.order.sequence == plan.sequence
    again.held.hold()
    assert not again.held.needs_plan
    assert again.held.progress.next == plan.sequence[5]


def test_a_plan_made_after_the_first_knots_is_saved(kept: Kept, other: Kept, wide: Path) -> None:
    held = openings.follow(kept, str(wide), openings.WorkingOptions("segments"), new=False).held
    held.hold()
    assert (held.needs_plan, held.order.by, held.progress.next) == (True, "rows", 0)
    found = held.plan()
    held.tie([0])
    # The plan was made before these knots and does not begin with them.
    held.tie([1])
    assert list(found.sequence[:2]) != [0, 1]
    assert not held.use_plan(found)
    assert held.needs_plan
    assert kept.pieces.plan_of(1) is None
    assert held.use_plan(held.plan())
    assert list(held.order.sequence[:2]) == [0, 1]
    held.let_go()
    assert by_segments_from(other, wide).order.sequence == held.order.sequence


def test_the_way_of_working_can_change_at_any_knot(kept: Kept, other: Kept, wide: Path) -> None:
    held = held_from(kept, wide)
    held.tie(range(7))
    held.change_way("segments", from_right=False)
    assert (held.needs_plan, held.order.by, list(held.progress.history)) == (True, "rows", list(range(7)))
    assert held.use_plan(held.plan())
    assert list(held.order.sequence[:7]) == list(range(7)) == list(held.progress.history)
    assert not held.needs_plan
    held.finish_step("run")
    tied = list(held.progress.history)
    held.change_way("rows", from_right=True)
    assert kept.pieces.plan_of(1) is None
    assert (held.needs_plan, list(held.progress.history)) == (False, tied)
    rest = [number for number in by_rows(held.whole, from_right=True).sequence if number not in tied]
    assert held.progress.coming(99) == rest
    held.let_go()
    again = held_from(other, wide)
    assert (again.way, again.progress.coming(99)) == (Way("rows", True), rest)


def test_a_knot_out_of_turn_replans_the_rest(kept: Kept, wide: Path) -> None:
    held = by_segments_from(kept, wide)
    held.tie([held.order.sequence[0]])
    other = next(number for number in held.progress.ready() if number != held.progress.next)
    held.tie([other])
    assert held.needs_plan
    to_come = pickups(held.whole, held.order, held.progress.history)
    assert held.use_plan(held.plan())
    assert held.progress.in_order
    assert pickups(held.whole, held.order, held.progress.history) <= to_come
    assert list(held.order.sequence[:2]) == list(held.progress.history)


def test_on_the_way_to_a_wrong_knot_nothing_is_planned(kept: Kept, wide: Path) -> None:
    held = by_segments_from(kept, wide)
    held.jump(12)
    held.mark_wrong(held.order.sequence[5])
    while held.wrong is not None:
        assert not held.needs_plan
        held.finish_step()
    # Three of the later knots do not rest on the wrong one and stay, so the rest must be replanned.
    assert held.needs_plan
    assert held.use_plan(held.plan())
    assert pickups(held.whole, held.order, held.progress.history) == fewest_left(held.whole, held.progress.history)
    held.jump(held.whole.size)
    assert not held.needs_plan


def test_one_press_can_tie_the_rest_of_the_run(kept: Kept, wide: Path) -> None:
    held = by_segments_from(kept, wide)
    presses = 0
    while not held.progress.finished:
        assert held.steps_of_press("knot") == [held.progress.next]
        assert held.steps_of_press("run") == held.progress.rest_of_run()
        held.finish_step("run")
        presses += 1
    assert presses == pickups(held.whole, held.order)
    assert held.steps_of_press("knot") == held.steps_of_press("run") == held.steps_of_press("row") == []


def test_a_read_only_window_sees_the_way_of_working_change(begun: OpenPiece, other: Kept, band: Path) -> None:
    looking = openings.follow(other, str(band), openings.NO_OPTIONS, new=False).held
    begun.change_way("segments", from_right=False)
    assert looking.refresh()
    assert (looking.way, looking.order.by) == (Way("segments"), "rows")
    # A read-only window makes no plan.
    assert not looking.needs_plan
    assert begun.use_plan(begun.plan())
    assert looking.refresh()
    assert looking.order.sequence == begun.order.sequence
    assert not looking.refresh()
    with pytest.raises(TakenOver):
        looking.change_way("rows", from_right=False)


@pytest.mark.parametrize("damage", [b"", b"not packed", zlib.compress(b"\0" * 48), zlib.compress(b"\1" * 400_000)])
def test_a_damaged_plan_is_planned_again(kept: Kept, other: Kept, band: Path, damage: bytes) -> None:
    held = by_segments_from(kept, band)
    held.tie([held.order.sequence[0]])
    held.let_go()
    kept.pieces._connection.execute("UPDATE plan SET steps = ?", (damage,))
    again = openings.follow(other, str(band), openings.NO_OPTIONS, new=False).held
    again.hold()
    assert again.needs_plan
    assert again.use_plan(again.plan())
    assert again.order.sequence == held.order.sequence


def test_a_saved_plan_that_cannot_be_followed_is_planned_again(kept: Kept, other: Kept, wide: Path) -> None:
    held = by_segments_from(kept, wide)
    for number in held.order.sequence[:2]:
        held.tie([number])
    held.let_go()
    sequence = list(held.order.sequence)
    for damaged in (sequence[:2] + sequence[:1:-1], sequence[:-1], [*sequence, len(sequence)]):
        numbers = array("I", damaged).tobytes()
        kept.pieces._connection.execute("UPDATE plan SET steps = ?", (zlib.compress(numbers),))
        again = openings.follow(other, str(wide), openings.NO_OPTIONS, new=False).held
        again.hold()
        assert again.needs_plan
        again.let_go()


def test_a_plan_for_another_design_is_refused(kept: Kept, band: Path) -> None:
    held = by_segments_from(kept, band)
    held.tie([held.order.sequence[0]])
    old = held.order
    for text in (CHART.replace("repeats: 4", "repeats: 6"), CHART.replace("repeats: 4", "repeats: 2")):
        band.write_text(text)
        fresh = openings.follow(kept, str(band), openings.NO_OPTIONS, new=False).updated
        assert fresh is not None
        held.change_design(*fresh)
        assert not held.use_plan(old)
        assert held.needs_plan
        assert held.use_plan(held.plan())


def test_a_changed_design_is_replanned(kept: Kept, band: Path) -> None:
    held = by_segments_from(kept, band)
    held.tie([held.order.sequence[0]])
    band.write_text(CHART.replace("repeats: 4", "repeats: 6"))
    fresh = openings.follow(kept, str(band), openings.NO_OPTIONS, new=False).updated
    assert fresh is not None
    held.change_design(*fresh)
    assert held.needs_plan
    assert kept.pieces.plan_of(1) is None
    assert held.use_plan(held.plan())
    assert len(held.order.sequence) == held.whole.size == 18


def test_short_plans_are_made_at_once(kept: Kept, band: Path, tmp_path: Path) -> None:
    assert held_from(kept, band).can_plan_at_once
    long = tmp_path / "long.yaml"
    long.write_text(LONG_CHART)
    assert not held_from(kept, long, new=True).can_plan_at_once


def test_entries_that_cannot_be_loaded_do_not_count_as_read(begun: OpenPiece) -> None:
    before = shown(begun)
    written(f"INSERT INTO event VALUES (1, 6, {NOW}, 'tie', 11, 11, 0)", sealed=True)
    saved_before = saved_of(begun)
    with pytest.raises(StoreError, match="does not fit its design"):
        begun.refresh()
    assert shown(begun) == before
    # Nothing is written on top of it.
    with pytest.raises(StoreError, match="does not fit its design"):
        begun.tie([7])
    assert (shown(begun), saved_of(begun)) == (before, saved_before)
