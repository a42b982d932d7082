"""Pieces renamed, put aside, copied and deleted: nothing of their logs goes, and all of it can be taken back."""

import json
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest

from benchmate import piece_opening as openings
from benchmate.design_files.load import load
from benchmate.piece_exchange import imported, rescued
from benchmate.piece_opening import NO_OPTIONS, Kept, WorkingOptions
from benchmate.store.errors import Gone, NotSaved, StoreError
from benchmate.store.inspection import damages_in_file
from benchmate.store.open_piece import OpenPiece
from benchmate.store.pieces import Outcome, Pieces, TakenOver
from benchmate.store.reading import Arrangement
from benchmate.store.safekeeping.copies import copy_files, read_copy
from benchmate.store.safekeeping.keeping import make_copy
from tests.homes import command, export
from tests.running import CHART
from tests.screen.benches import full


def arrange(kept: Kept, piece: int, **changes: str | bool | None) -> None:
    """Changes how a piece is kept."""
    kept.pieces.arrange(piece, kept.holder.token, lambda before: before._replace(**changes))  # type: ignore[arg-type]


def begun(kept: Kept, band: Path, done: int = 3, options: WorkingOptions = NO_OPTIONS) -> OpenPiece:
    """A piece with steps done, and let go."""
    held = openings.begin(kept, load(str(band)), options, None).held
    held.hold()
    for _ in range(done):
        held.finish_step()
    held.let_go()
    return held


def listed(home: Path) -> list[dict[str, object]]:
    """What `pieces --json` prints."""
    found = json.loads(command("pieces", "--json", home=home).out)
    assert isinstance(found, list)
    return found


@pytest.fixture
def other(kept: Kept) -> Iterator[Kept]:
    """Another window."""
    with closing(Kept()) as other:
        yield other


def test_a_name_takes_the_place_of_the_title(kept: Kept, band: Path, home: Path) -> None:
    begun(kept, band)
    touched = kept.pieces.get(1).touched
    arrange(kept, 1, name="For Mira")
    assert (kept.pieces.get(1).title, kept.pieces.get(1).touched) == ("For Mira", touched)
    assert listed(home)[0]["title"] == "For Mira"
    assert "For Mira" in command("pieces", home=home).out
    held = openings.resume_listed(kept, kept.pieces.get(1)).held
    assert held.title == "For Mira"
    held.hold()
    band.write_text(CHART.replace("Rain on slate", "Sleet on slate"), encoding="utf-8")
    changed = openings.resume_listed(kept, kept.pieces.get(1))
    assert changed.updated is not None
    held.change_design(*changed.updated)
    assert (held.title, kept.pieces.get(1).title) == ("For Mira", "For Mira")
    held.let_go()
    arrange(kept, 1, name=None)
    assert kept.pieces.get(1).title == "Sleet on slate"
    assert damages_in_file(kept.home.database) == []


def test_a_piece_put_aside_is_listed_and_resumed_and_work_takes_it_back(kept: Kept, band: Path, home: Path) -> None:
    begun(kept, band)
    arrange(kept, 1, aside=True)
    (piece,) = listed(home)
    assert (piece["piece"], piece["aside"]) == (1, True)
    assert "put aside" in command("pieces", home=home).out
    held = openings.follow(kept, str(band), NO_OPTIONS, new=False).held
    assert held.piece == 1
    held.hold()
    assert kept.pieces.get(1).arrangement.aside
    held.finish_step()
    assert kept.pieces.get(1).arrangement == Arrangement(changes=2) == held.record().arrangement
    assert "aside" not in listed(home)[0]


def test_a_deleted_piece_is_gone_from_every_list_and_comes_back_whole(kept: Kept, band: Path, home: Path) -> None:
    begun(kept, band, done=4)
    record = kept.pieces.record(1)
    arrange(kept, 1, deleted=True)
    assert listed(home) == []
    assert command("pieces", home=home).out == "No pieces yet.\n"
    assert openings.follow(kept, str(band), NO_OPTIONS, new=False).held.piece is None
    done = command("pieces", "--export", "-", "1", home=home)
    assert (done.status, "there is no piece 1" in done.err) == (2, True)
    arrange(kept, 1, deleted=False)
    assert kept.pieces.record(1) == record._replace(arrangement=Arrangement(changes=2))
    assert openings.follow(kept, str(band), NO_OPTIONS, new=False).held.progress.done == 4


def test_a_copy_has_the_same_progress_and_goes_its_own_way(kept: Kept, band: Path) -> None:
    held = openings.begin(kept, load(str(band)), WorkingOptions("segments"), None).held
    held.hold()
    held.use_plan(held.plan())
    for _ in range(5):
        held.finish_step()
    held.mark_wrong(held.progress.history[2])
    held.let_go()
    number = kept.pieces.copy(1, "For Mira")
    first, second = kept.pieces.record(1), kept.pieces.record(number)
    assert second == first._replace(started=second.started, touched=second.touched, arrangement=Arrangement("For Mira"))
    assert second.started > first.started
    copied = openings.resume_listed(kept, kept.pieces.get(number)).held
    assert (copied.order.sequence, copied.wrong) == (held.order.sequence, held.wrong)
    copied.hold()
    copied.finish_step()
    assert kept.pieces.get(1).entries == len(first.log)
    assert damages_in_file(kept.home.database) == []


def test_a_piece_open_in_another_window_stays_as_it_is(kept: Kept, other: Kept, band: Path) -> None:
    begun(kept, band)
    held = openings.resume_listed(kept, kept.pieces.get(1)).held
    held.hold()
    for change in ({"name": "x"}, {"aside": True}, {"deleted": True}):
        with pytest.raises(TakenOver):
            arrange(other, 1, **change)
    assert kept.pieces.get(1).arrangement == Arrangement()
    # A copy of it takes nothing away.
    assert other.pieces.copy(1, "x") == 2


def test_a_piece_deleted_elsewhere_is_not_opened(kept: Kept, other: Kept, band: Path) -> None:
    begun(kept, band)
    held = openings.resume_listed(kept, kept.pieces.get(1)).held
    arrange(other, 1, deleted=True)
    for force in False, True:
        with pytest.raises(StoreError, match="was deleted in another window"):
            held.hold(force=force)
    assert kept.pieces.get(1).holder is None


def test_a_deleted_piece_does_not_stand_in_the_way_of_a_new_one(kept: Kept, other: Kept, band: Path) -> None:
    fresh = openings.begin(kept, load(str(band)), NO_OPTIONS, kept.pieces.newest()).held
    begun(other, band)
    arrange(other, 1, deleted=True)
    fresh.hold()
    fresh.finish_step()
    assert fresh.piece == 2


def test_a_change_saved_although_the_disk_failed_counts(
    kept: Kept, band: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun(kept, band)
    writing = type(kept.pieces._database).writing

    def fails_after(self: object) -> Iterator[None]:
        with writing(self):  # type: ignore[arg-type]
            yield
        raise NotSaved("The disk is failing.")

    monkeypatch.setattr(type(kept.pieces._database), "writing", contextmanager(fails_after))
    arrange(kept, 1, name="For Mira")
    assert kept.pieces.copy(1, "For Ada") == 2
    assert [piece.title for piece in kept.pieces.all()] == ["For Ada", "For Mira"]

    monkeypatch.setattr(type(kept.pieces._database), "writing", full)
    with pytest.raises(NotSaved):
        arrange(kept, 1, deleted=True)
    with pytest.raises(NotSaved):
        kept.pieces.copy(1, "For Ada")


def test_no_copy_of_the_database_gives_way_to_one_that_lacks_a_name(kept: Kept, band: Path) -> None:
    begun(kept, band)
    make_copy(kept.home)
    before = kept.home.database.read_bytes()
    arrange(kept, 1, name="For Mira")
    make_copy(kept.home)
    (file,) = copy_files(kept.home)
    # An older database comes in its place, and knows less.
    kept.home.database.write_bytes(before)
    make_copy(kept.home)
    assert len(copy_files(kept.home)) == 2
    content = read_copy(file)
    assert content is not None
    assert [known.arranged for known in content.pieces.values()] == [1]


def test_what_is_kept_of_it_goes_to_another_machine_and_back(
    kept: Kept, band: Path, home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun(kept, band)
    arrange(kept, 1, name="For Mira")
    arrange(kept, 1, aside=True)
    kept.pieces.copy(1, "For Ada")
    begun(kept, band)
    arrange(kept, 3, deleted=True)
    there = tmp_path / "there"
    file = export(home, tmp_path / "all.pieces")
    monkeypatch.setenv("BENCHMATE_HOME", str(there))
    with closing(Kept()) as elsewhere:
        assert [piece.outcome for piece in imported(elsewhere.home, str(file))] == [Outcome.NEW] * 2
        assert [piece.arrangement for piece in reversed(elsewhere.pieces.all())] == [
            Arrangement("For Mira", aside=True, changes=2),
            Arrangement("For Ada"),
        ]
        # There it is renamed, and here it is deleted meanwhile: taking it in takes it out of the bin.
        arrange(elsewhere, 1, name="For Ole", aside=False)
    back = export(there, tmp_path / "back.pieces")
    arrange(kept, 1, deleted=True)
    assert [(piece.outcome, piece.deleted) for piece in imported(kept.home, str(back))] == [
        (Outcome.OUT_OF_BIN, False),
        (Outcome.KNOWN, False),
    ]
    assert not kept.pieces.get(1).arrangement.deleted
    assert [piece.outcome for piece in imported(kept.home, str(back))] == [Outcome.KNOWN] * 2
    assert damages_in_file(kept.home.database) == []


def test_a_name_given_elsewhere_is_taken_in_alone(
    kept: Kept, band: Path, home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun(kept, band)
    before = export(home, tmp_path / "before.pieces").read_bytes()
    arrange(kept, 1, name="For Mira")
    after = export(home, tmp_path / "after.pieces")
    there = tmp_path / "there"
    monkeypatch.setenv("BENCHMATE_HOME", str(there))
    (tmp_path / "first.pieces").write_bytes(before)
    with closing(Kept()) as elsewhere:
        imported(elsewhere.home, str(tmp_path / "first.pieces"))
        assert [piece.outcome for piece in imported(elsewhere.home, str(after))] == [Outcome.CONTINUED]
        assert elsewhere.pieces.get(1).title == "For Mira"
        # An older file changes nothing.
        assert [piece.outcome for piece in imported(elsewhere.home, str(tmp_path / "first.pieces"))] == [Outcome.KNOWN]


def test_a_rescue_takes_the_bin_along(kept: Kept, band: Path, home: Path, tmp_path: Path) -> None:
    begun(kept, band)
    arrange(kept, 1, deleted=True)
    held = begun(kept, band)
    error = rescued(held, Gone("It is gone."))
    assert "with 1 other piece" in str(error)
    kept.home.database.unlink()
    done = command("pieces", "--import", home / "rescued-1.pieces", home=home)
    assert done.out.splitlines() == [
        "1: Rain on slate, 3/12: added",
        "2: Rain on slate, 3/12: added (in the bin)",
    ]
    with closing(Pieces(kept.home)) as pieces:
        assert [piece.arrangement.deleted for piece in pieces.all()] == [False, True]
