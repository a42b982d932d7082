"""A disk that fails in the last moment of a change: it is saved, and SQLite says that it is not."""

from pathlib import Path

import pytest

from benchmate import piece_opening as openings
from benchmate.piece_opening import Kept
from benchmate.store import places
from benchmate.store.errors import NotSaved
from benchmate.store.open_piece import OpenPiece
from benchmate.store.pieces import Pieces
from benchmate.store.reading import pieces_kept
from benchmate.store.saved_piece import SavedPiece


@pytest.fixture
def begun(kept: Kept, band: Path) -> OpenPiece:
    """A piece with two steps tied."""
    held = openings.follow(kept, str(band), openings.NO_OPTIONS, new=False).held
    held.tie([0, 1])
    return held


def failing_at_the_end(saved: SavedPiece, name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """One write of `name` is made and then reported as failed."""
    write = getattr(saved.pieces, name)

    def failing(*arguments: object, **options: object) -> None:
        monkeypatch.setattr(saved.pieces, name, write)
        write(*arguments, **options)
        raise NotSaved("the disk failed")

    monkeypatch.setattr(saved.pieces, name, failing)


def test_a_press_counts_when_it_was_saved_after_all(begun: OpenPiece, monkeypatch: pytest.MonkeyPatch) -> None:
    done = begun.progress.done
    failing_at_the_end(begun._saved, "add", monkeypatch)
    begun.finish_step()
    begun.finish_step()
    assert begun.progress.done == saved_done() == done + 2
    failing_at_the_end(begun._saved, "change_way", monkeypatch)
    begun.change_way("rows", from_right=True)
    failing_at_the_end(begun._saved, "add", monkeypatch)
    begun.leave({0: None}, {8: None})
    failing_at_the_end(begun._saved, "tell", monkeypatch)
    begun.measure(1, 320)
    failing_at_the_end(begun._saved, "add", monkeypatch)
    begun.mark_made({0: begun.charted.how_made(0)})
    failing_at_the_end(begun._saved, "add", monkeypatch)
    begun.drop_changes()
    assert (begun.made, begun.changes, begun.measured[1].mm) == ({}, {}, 320)
    failing_at_the_end(begun._saved, "change_copy", monkeypatch)
    begun.change_design(begun.copy, begun.whole)
    begun.finish_step()
    assert begun.progress.done == saved_done() == done + 3
    assert [entry.act for entry in begun.record().log[-2:]] == ["copy", "tie"]


def test_a_first_press_counts_when_it_was_saved_after_all(
    kept: Kept, band: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    held = openings.follow(kept, str(band), openings.NO_OPTIONS, new=False).held
    failing_at_the_end(held._saved, "begin", monkeypatch)
    held.finish_step()
    held.finish_step()
    assert (held.piece, held.progress.done, saved_done()) == (1, 2, 2)


def test_a_press_that_was_saved_unseen_is_shown_at_the_next(begun: OpenPiece, monkeypatch: pytest.MonkeyPatch) -> None:
    done = begun.progress.done
    failing_at_the_end(begun._saved, "add", monkeypatch)
    with monkeypatch.context() as unreadable:
        unreadable.setattr(Pieces, "get", lambda *_: (_ for _ in ()).throw(NotSaved("the disk cannot be read")))
        with pytest.raises(NotSaved, match="the disk failed"):
            begun.finish_step()
    assert begun.progress.done == done
    with pytest.raises(NotSaved, match="was saved after all, and counts now"):
        begun.finish_step()
    assert begun.progress.done == saved_done() == done + 1
    begun.finish_step()
    assert begun.progress.done == saved_done() == done + 2


def test_a_press_that_was_not_saved_does_not_count(begun: OpenPiece, monkeypatch: pytest.MonkeyPatch) -> None:
    done = begun.progress.done
    monkeypatch.setattr(begun._saved.pieces, "add", lambda *_, **__: (_ for _ in ()).throw(NotSaved("the disk failed")))
    with pytest.raises(NotSaved, match="the disk failed"):
        begun.finish_step()
    assert begun.progress.done == saved_done() == done


def saved_done() -> int:
    """How many steps are saved as done of the only piece."""
    (piece,) = pieces_kept(places.home())
    return piece.done
