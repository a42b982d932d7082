"""From a design's file to a piece: which piece is continued, and what is reported about it."""

import os
import shutil
import time
from contextlib import closing
from pathlib import Path

import pytest

from benchmate import piece_opening as openings
from benchmate.craft.ways import Way
from benchmate.files import fields
from benchmate.files.tree import BadFile
from benchmate.piece_opening import Kept, OpenedPiece, OutOfRange
from benchmate.store.pieces import TakenOver
from benchmate.store.thread.cuts import Cut
from tests.running import CHART, WRITTEN


def follow(
    kept: Kept, file: Path | str, by: str | None = None, repeats: int | None = None, *, new: bool = False
) -> OpenedPiece:
    return openings.follow(kept, str(file), openings.WorkingOptions(by, repeats), new=new)


def begun(kept: Kept, file: Path, done: int = 4, repeats: int | None = None) -> int:
    """Starts a new piece and leaves it; returns its number."""
    time.sleep(0.002)
    held = follow(kept, file, repeats=repeats, new=True).held
    held.hold()
    held.tie(range(done))
    held.let_go()
    assert held.piece is not None
    return held.piece


def test_a_new_piece(kept: Kept, band: Path) -> None:
    found = follow(kept, band)
    assert (found.resumed, found.mismatch, found.changed, found.updated, found.broken) == (False, None, (), None, None)
    assert found.held.piece is None
    assert found.held.whole.size == 12
    assert kept.pieces.all() == []


def test_every_path_to_the_file_opens_the_same_piece(kept: Kept, band: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    piece = begun(kept, band)
    link, far = band.with_name("link.yaml"), band.parent / "far"
    link.symlink_to(band)
    far.symlink_to(band.parent)
    monkeypatch.chdir(band.parent)
    for way in (
        band,
        band.name,
        f"./{band.name}",
        link,
        far / band.name,
        far / "link.yaml",
        f"../{band.parent.name}/{band.name}",
    ):
        found = follow(kept, way)
        assert (found.resumed, found.held.piece, found.changed) == (True, piece, ())
        assert found.held.file == os.path.realpath(band)
    assert follow(kept, link, new=True).held.piece is None


def test_a_piece_started_through_a_link_belongs_to_the_linked_file(kept: Kept, band: Path) -> None:
    link = band.with_name("link.yaml")
    link.symlink_to(band)
    piece = begun(kept, link)
    assert kept.pieces.get(piece).file == os.path.realpath(band)
    link.unlink()
    assert follow(kept, band).held.piece == piece


def test_a_moved_file_keeps_its_piece(kept: Kept, band: Path) -> None:
    piece = begun(kept, band)
    moved = band.with_name("moved.yaml")
    band.rename(moved)
    found = follow(kept, moved)
    assert (found.resumed, found.held.piece, found.changed) == (True, piece, ())
    found.held.hold()
    # OpenedPiece alone changes nothing, as the old file may come back.
    assert kept.pieces.get(piece).file == os.path.realpath(band)
    assert found.held.progress.next is not None
    found.held.tie([found.held.progress.next])
    assert kept.pieces.get(piece).file == os.path.realpath(moved)


def test_a_copied_file_has_no_piece(kept: Kept, band: Path) -> None:
    begun(kept, band)
    shutil.copy(band, band.with_name("copy.yaml"))
    assert not follow(kept, band.with_name("copy.yaml")).resumed


def test_the_unfinished_piece_last_touched_is_continued(kept: Kept, band: Path) -> None:
    first, second = begun(kept, band), begun(kept, band)
    begun(kept, band, done=12)
    assert follow(kept, band).held.piece == second
    time.sleep(0.002)
    held = openings.resume(kept, kept.pieces.get(first)).held
    held.hold()
    held.tie([4])
    held.let_go()
    assert follow(kept, band).held.piece == first
    held.hold()
    held.tie(range(5, 12))
    held.let_go()
    assert follow(kept, band).held.piece == second
    held.hold()
    held.back()
    assert follow(kept, band).held.piece == first


def test_new_starts_a_second_piece(kept: Kept, band: Path) -> None:
    first, second = begun(kept, band), begun(kept, band)
    assert first != second
    assert [piece.done for piece in kept.pieces.all()] == [4, 4]


def test_two_windows_start_only_one_piece(kept: Kept, band: Path) -> None:
    other = Kept()
    try:
        one, two = follow(kept, band), follow(other, band)
        one.held.hold()
        two.held.hold()
        one.held.tie([0])
        with pytest.raises(TakenOver) as caught:
            two.held.tie([0])
        assert (caught.value.piece, two.held.piece, two.held.progress.done) == (1, None, 0)
        one.held.let_go()
        with pytest.raises(TakenOver):
            two.held.tie([0])
        assert len(kept.pieces.all()) == 1
    finally:
        other.close()


@pytest.mark.parametrize(
    ("by", "repeats", "asked"),
    [
        (None, None, None),
        ("rows", None, None),
        (None, 2, None),
        ("rows", 2, None),
        (None, 1, "worked with 2 repeats, not 1"),
        ("rows", 5, "worked with 2 repeats, not 5"),
    ],
)
def test_options_that_differ_from_the_piece_are_reported(
    kept: Kept, band: Path, by: str | None, repeats: int | None, asked: str | None
) -> None:
    begun(kept, band, repeats=2)
    found = follow(kept, band, by, repeats)
    assert (found.mismatch, found.options.by, found.options.repeats) == (asked, by, repeats)
    assert found.held.whole.size == 6
    assert found.changed == ()


def test_one_repeat_is_singular(kept: Kept, band: Path) -> None:
    begun(kept, band, done=2, repeats=1)
    assert follow(kept, band, repeats=4).mismatch == "worked with 1 repeat, not 4"


def test_another_way_of_working_is_reported(kept: Kept, band: Path) -> None:
    begun(kept, band, repeats=2)
    found = follow(kept, band, "segments", 3)
    assert found.mismatch == "worked by rows, not by segments and worked with 2 repeats, not 3"
    hands = openings.follow(kept, str(band), openings.WorkingOptions(from_right=True, mirrored=True), new=False)
    assert hands.mismatch == "worked from the left and not mirrored"


def ticked(kept: Kept, band: Path) -> OpenedPiece:
    """A piece of which nothing is tied, but two lengths are cut and a string is measured."""
    held = follow(kept, band).held
    to_cut = held.whole.to_cut
    assert to_cut is not None
    assert to_cut.cuts is not None
    held.tick([Cut(length, 7) for length in to_cut.cuts.lengths[:2]])
    held.measure(1, 700)
    held.let_go()
    return follow(kept, band)


def test_a_piece_of_which_nothing_is_tied_takes_the_options_and_keeps_what_was_cut(kept: Kept, band: Path) -> None:
    before = ticked(kept, band).held.ticked
    found = follow(kept, band, "segments", 2)
    assert (found.mismatch, found.resumed, found.held.piece) == (None, True, 1)
    assert (found.held.way, found.held.copy.repeats, found.held.whole.size) == (Way("segments"), 2, 6)
    assert (found.held.ticked, found.held.measured[1].mm) == (before, 700.0)
    hands = openings.follow(kept, str(band), openings.WorkingOptions(from_right=True, mirrored=True), new=False)
    assert hands.held.way == Way("segments", from_right=True, mirrored=True)
    assert hands.held.copy.repeats == 2, "what was asked for before still is"
    assert hands.held.whole.main.design.strings == found.held.whole.main.design.strings[::-1]
    cuts = hands.held.whole.to_cut
    assert cuts is not None
    assert cuts.cuts is not None
    wanted = {(length.colour, length.strings) for length in cuts.cuts.lengths}
    assert hands.held.ticked == [cut for cut in before if (cut.length.colour, cut.length.strings) in wanted]
    hands.held.hold()
    order = hands.held.plan()
    assert hands.held.use_plan(order)
    hands.held.tie(order.sequence[:2])
    hands.held.let_go()
    (piece,) = kept.pieces.all()
    assert (piece.done, piece.size) == (2, 6)
    assert follow(kept, band, repeats=3).mismatch == "worked with 2 repeats, not 3", "now it is begun"


def test_a_piece_of_which_nothing_is_tied_takes_the_changed_file(kept: Kept, band: Path) -> None:
    before = ticked(kept, band).held.ticked
    band.write_text(CHART.replace("repeats: 4", "repeats: 2"))
    # Looked at, it stays as it is.
    assert openings.resume_listed(kept, kept.pieces.get(1)).changed
    found = openings.open_listed(kept, kept.pieces.get(1))
    assert (found.changed, found.held.whole.size, found.held.ticked) == ((), 6, before)
    band.write_text(CHART.replace("repeats: 4", "repeats: 5"))
    assert (follow(kept, band).changed, follow(kept, band).held.whole.size) == ((), 15)


def test_a_piece_of_which_nothing_is_tied_stays_as_it_is_while_another_window_has_it(kept: Kept, band: Path) -> None:
    ticked(kept, band)
    with closing(Kept()) as other:
        held = openings.resume_listed(other, other.pieces.get(1)).held
        held.hold()
        found = follow(kept, band, repeats=2)
        assert (found.mismatch, found.held.whole.size) == ("worked with 4 repeats, not 2", 12)
        held.let_go()
    assert follow(kept, band, repeats=2).held.whole.size == 6


@pytest.mark.parametrize("repeats", [66_667, 999_999_999])
def test_more_repeats_than_fit(kept: Kept, band: Path, repeats: int) -> None:
    with pytest.raises(OutOfRange, match="at most 66666 repeats fit"):
        follow(kept, band, repeats=repeats)
    assert follow(kept, band, repeats=66_666).held.whole.size == 199_998


@pytest.mark.parametrize("repeats", [66_667, 999_999_999])
def test_more_repeats_than_fit_are_refused_for_a_started_piece_too(kept: Kept, band: Path, repeats: int) -> None:
    begun(kept, band)
    with pytest.raises(OutOfRange, match="at most 66666 repeats fit"):
        follow(kept, band, repeats=repeats)


def test_rows_that_cannot_be_repeated(kept: Kept, tmp_path: Path) -> None:
    file = tmp_path / "one.yaml"
    file.write_text(CHART.replace("  - f\n", "").replace("repeats: 4\n", ""))
    with pytest.raises(OutOfRange, match="row 1 and the last row both start at position 1"):
        follow(kept, file, repeats=2)


# A design that has changed.


@pytest.mark.parametrize(
    ("old", "new", "changed", "fresh"),
    [
        ("Rain on slate", "Hail", "the title is now Hail", True),
        ("repeats: 4", "repeats: 6", "6 repeats instead of 4", True),
        ("repeats: 4", "repeats: 1", "1 repeat instead of 4", False),
        ("  - f\n", "  - b\n", "row 2 differs", False),
        ("  - f b\n  - f\n", "  - f b\n  - f\n  - b f\n  - b\n", "4 rows instead of 2", False),
        ('"#2f4858"', "navy", "colour changed: slate", True),
        ("pale rain", "rain", "colour changed: rain", True),
        ("[slate, rain, rain, slate]", "[rain, rain, rain, slate]", "the string colours differ", False),
        ("family: diagonal\n", "family: diagonal\nauthor: me\n", "only comments or layout changed", True),
    ],
)
def test_a_changed_design_is_reported_and_offered_only_if_every_tied_step_is_the_same(
    kept: Kept, band: Path, old: str, new: str, changed: str, fresh: bool
) -> None:
    piece = begun(kept, band)
    assert old in CHART
    band.write_text(CHART.replace(old, new))
    found = follow(kept, band)
    assert found.held.piece == piece
    assert len(found.changed) == 1
    assert found.changed[0].startswith(changed)
    assert (found.held.title, found.held.whole.size, found.held.copy.design) == ("Rain on slate", 12, CHART)
    assert (found.updated is not None) == fresh
    if found.updated is not None:
        found.held.hold()
        found.held.change_design(*found.updated)
        again = follow(kept, band)
        assert (again.changed, again.held.piece, again.held.progress.done) == ((), piece, 4)


def test_a_change_in_a_row_not_reached_yet_is_offered(kept: Kept, band: Path) -> None:
    begun(kept, band, done=2)
    band.write_text(CHART.replace("  - f\n", "  - b\n"))
    assert follow(kept, band).updated is not None


def test_a_piece_keeps_the_repeats_chosen_for_it(kept: Kept, band: Path) -> None:
    begun(kept, band, repeats=2)
    band.write_text(CHART.replace("repeats: 4", "repeats: 6").replace("Rain", "Hail"))
    found = follow(kept, band)
    assert found.changed == ("the title is now Hail on slate", "6 repeats instead of 4")
    assert found.updated is not None
    assert found.updated.copy.repeats == 2


def test_a_piece_that_ends_within_a_repeat_keeps_its_end(kept: Kept, band: Path) -> None:
    piece = begun(kept, band)
    held = openings.resume(kept, kept.pieces.get(piece)).held
    held.hold()
    copy = held.copy._replace(repeats=-5)
    held.change_design(copy, openings.whole_of_copy(copy, held.way))
    held.let_go()
    found = follow(kept, band, repeats=3)
    assert (found.changed, found.mismatch) == ((), "worked with 5 rows, not 3 repeats")
    assert (found.held.whole.size, found.held.whole.rows, found.held.copy.rows) == (8, 5, 5)
    band.write_text(CHART.replace("Rain", "Hail"))
    found = follow(kept, band)
    assert found.changed == ("the title is now Hail on slate",)
    assert found.updated is not None
    assert (found.updated.copy.rows, found.updated.whole.size) == (5, 8)
    band.write_text(CHART.replace("  - f\n", "  - b\n"))
    assert follow(kept, band).changed == ("rows 2 to 4 differ",)
    band.write_text(CHART.replace("  - f\n", "").replace("repeats: 4\n", ""))
    assert follow(kept, band).updated is None
    band.write_text(WRITTEN)
    assert follow(kept, band).updated is None


def test_a_changed_design_that_does_not_allow_the_repeats_is_not_offered(kept: Kept, band: Path) -> None:
    begun(kept, band, done=2, repeats=2)
    band.write_text(CHART.replace("  - f\n", "").replace("repeats: 4\n", ""))
    found = follow(kept, band)
    assert found.changed
    assert found.updated is None


def test_a_change_of_family_is_not_offered(kept: Kept, band: Path) -> None:
    begun(kept, band)
    band.write_text(WRITTEN)
    found = follow(kept, band)
    assert found.changed == ("the title is now A loop over a pin", "the family is now steps")
    assert found.updated is None
    assert found.held.whole.size == 12


def test_a_changed_start_is_reported(kept: Kept, band: Path) -> None:
    loop = band.with_name("loop.yaml")
    loop.write_text(WRITTEN)
    band.write_text(CHART + "start: loop\n")
    begun(kept, band, done=2)
    loop.write_text(WRITTEN.replace("times: 2", "times: 3"))
    found = follow(kept, band)
    assert found.changed == ("the text of the start changed",)
    assert found.held.whole.size == 15
    assert found.updated is not None
    assert found.updated.whole.size == 16
    loop.write_text(WRITTEN.replace("Fold", "Hang"))
    assert follow(kept, band).updated is None
    band.write_text(CHART)
    assert follow(kept, band).changed == ("the start is removed",)
    band.write_text(CHART + "start: loop\n")
    loop.unlink()
    found = follow(kept, band)
    assert found.changed == ()
    assert found.broken is not None
    assert "loop.yaml" in found.broken


# A file that cannot be read.


def test_a_piece_with_a_broken_file_continues_with_its_copy(kept: Kept, band: Path) -> None:
    piece = begun(kept, band)
    band.write_text(CHART.replace("f b", "f q"))
    found = follow(kept, band)
    assert (found.resumed, found.held.piece, found.changed, found.file) == (True, piece, (), None)
    assert found.broken is not None
    assert found.broken.startswith(f"{band}:7:7: unknown knot `q`")
    assert found.held.whole.size == 12
    with pytest.raises(BadFile):
        follow(kept, band, new=True)


def test_a_piece_started_before_texts_had_a_limit_continues(
    kept: Kept, band: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    title = "Rain " * 120
    band.write_text(CHART.replace("Rain on slate", title))
    with monkeypatch.context() as earlier:
        earlier.setattr(fields, "MOST_IN_LINE", 1000)
        piece = begun(kept, band)
    found = follow(kept, band)
    assert (found.held.piece, found.held.title, found.held.progress.done) == (piece, title.strip(), 4)
    assert found.broken is not None
    assert found.broken.startswith(f"{band}:2:8: `title` must have at most 500 characters")
    with pytest.raises(BadFile):
        follow(kept, band, new=True)


def test_a_missing_file_with_a_piece_goes_on_with_the_copy(kept: Kept, band: Path) -> None:
    piece = begun(kept, band)
    band.unlink()
    found = follow(kept, band)
    assert (found.held.piece, found.broken) == (piece, f"{band}: no such file")
    assert follow(kept, band, repeats=9).mismatch == "worked with 4 repeats, not 9"


def test_a_missing_file_without_a_piece_is_an_error(kept: Kept, band: Path) -> None:
    band.unlink()
    with pytest.raises(BadFile) as caught:
        follow(kept, band)
    assert str(caught.value) == f"{band}: no such file"
    begun_elsewhere = band.with_name("other.yaml")
    begun_elsewhere.write_text(CHART)
    begun(kept, begun_elsewhere)
    with pytest.raises(BadFile):
        follow(kept, band)


def test_a_missing_file_whose_piece_is_finished_is_an_error(kept: Kept, band: Path) -> None:
    begun(kept, band, done=12)
    band.unlink()
    with pytest.raises(BadFile):
        follow(kept, band)


# A piece chosen from the list.


def test_a_listed_piece_whose_file_is_unchanged_changed_broken_or_missing(kept: Kept, band: Path) -> None:
    piece = kept.pieces.get(begun(kept, band))
    found = openings.resume_listed(kept, piece)
    assert (found.changed, found.broken, found.held.progress.done) == ((), None, 4)
    band.write_text(CHART.replace("Rain", "Hail"))
    assert openings.resume_listed(kept, piece).changed == ("the title is now Hail on slate",)
    band.write_text("title: [")
    broken = openings.resume_listed(kept, piece)
    assert broken.broken is not None
    assert broken.broken.startswith(f"{band}:1:")
    band.unlink()
    gone = openings.resume_listed(kept, piece)
    assert (gone.broken, gone.changed, gone.held.title) == (None, (), "Rain on slate")
