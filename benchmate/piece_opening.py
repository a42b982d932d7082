"""From a design's file to a piece in hand: the unfinished piece it belongs to, or one about to be begun."""

import os
from collections.abc import Callable
from typing import NamedTuple

from benchmate.craft.design import Design, repeats_fault
from benchmate.craft.orders import by_rows
from benchmate.craft.start_band_finish import WholePiece, whole_piece
from benchmate.craft.ways import NAMES, Way, way_for, worked_as
from benchmate.craft.wording.compare import can_continue, changes
from benchmate.craft.wording.counting import counted
from benchmate.design_files.load import DesignFile, load, parse, whole_fault
from benchmate.design_files.shelf import path_of
from benchmate.files.tree import BadFile
from benchmate.store import places
from benchmate.store.database import make_daily_copy, utc_date
from benchmate.store.holders import Holder
from benchmate.store.open_piece import OpenPiece
from benchmate.store.pieces import Copy, Piece, Pieces


class WorkingOptions(NamedTuple):
    """What was asked for on the command line; None and False where nothing was said."""

    by: str | None = None
    repeats: int | None = None
    from_right: bool = False
    mirrored: bool = False

    @property
    def way(self) -> Way:
        """The way of working to begin with."""
        return Way(self.by or "rows", self.from_right, self.mirrored)


NO_OPTIONS = WorkingOptions()


class OutOfRange(ValueError):
    """A number on the command line does not fit the design; the text says what would."""


class Kept:
    """All that is kept, opened for this program. Raises StoreError when it cannot be used."""

    def __init__(self) -> None:
        self.pieces = Pieces(places.database_file(), places.copy_file(), places.holders_folder())
        try:
            self.holder = Holder(places.holders_folder())
        except BaseException:  # Whatever it was, it goes on; only the database must not stay open behind it.
            self.pieces.close()
            raise

    def keep_copy(self) -> None:
        """Makes the copy of the day, unless there is one. Raises StoreError when it cannot be made."""
        make_daily_copy(places.database_file(), places.copy_file(), utc_date())

    def close(self) -> None:
        """Closes everything; what was held is free for others."""
        self.holder.close()
        self.pieces.close()


class OpenedPiece(NamedTuple):
    """A piece ready to be held, and what a person should be told about it.

    `asked` says what was asked for on the command line that the piece, begun earlier, does not do, else None; `wish` is
    what was asked for.
    `changed` lists what is different in the design's file now; `fresh` is that file where the piece could go on with
    it, and `broken` says why the file cannot be read now.
    """

    held: OpenPiece
    asked: str | None = None
    changed: tuple[str, ...] = ()
    file: DesignFile | None = None
    fresh: "UpdatedDesign | None" = None
    broken: str | None = None
    wish: WorkingOptions = NO_OPTIONS

    @property
    def turn(self) -> Way | None:
        """The way of working that was asked for, when the piece could be gone on with in it; else None."""
        held, wish = self.held, self.wish
        way = way_for(held.whole.main.design, wish.way)
        fits = wish.repeats in (None, held.copy.repeats) and way.mirrored in (False, held.way.mirrored)
        by = held.way.by if wish.by is None else way.by
        turn = Way(by, way.from_right or held.way.from_right, held.way.mirrored)
        return turn if fits and turn != held.way else None

    @property
    def resumed(self) -> bool:
        """True for a piece that has been begun."""
        return self.held.piece is not None


class UpdatedDesign(NamedTuple):
    """The changed design of a piece, ready to go on with."""

    copy: Copy
    whole: WholePiece


def times(file: DesignFile, repeats: int | None) -> int:
    """How often the rows are worked. Raises OutOfRange when the design cannot be worked `repeats` times."""
    if repeats is None:
        return file.design.repeats
    ends = [end.design for end in (file.start, file.finish) if end is not None]
    fault = repeats_fault(file.design, repeats) or whole_fault(file.design, ends, repeats)
    if fault is not None:
        raise OutOfRange(fault)
    return repeats


@loading()
def follow(kept: Kept, given: str, wish: WorkingOptions, *, new: bool) -> OpenedPiece:
    """The piece that following the design at `given`, or the shipped one of that name, goes on with, or one to begin.

    Raises BadFile for a design that cannot be read when there is no piece of it to go on with, OutOfRange, StoreError.
    """
    try:
        file = load(given)
    except BadFile as bad:
        piece = None if new else kept.pieces.unfinished_from(places.resolved(path_of(given)), "")
        if piece is None:
            raise
        return resume(kept, piece, wish, broken=str(bad))
    times(file, wish.repeats)
    piece = None if new else kept.pieces.unfinished_from(file.path, file.text)
    if piece is not None:
        return resume(kept, piece._replace(file=file.path), wish, file=file)
    return begin(kept, file, wish, alone=new)


def begin(kept: Kept, file: DesignFile, wish: WorkingOptions, *, alone: bool) -> OpenedPiece:
    """A piece about to be begun; `alone` when it may be begun beside one that another window has just begun."""
    worked = times(file, wish.repeats)
    way = way_for(file.design, wish.way)
    whole = whole_of(file, worked, way)
    copy = _copy_of(file, worked)
    held = OpenPiece(
        kept.pieces, kept.holder, file.path, copy, way, whole, _remaking(kept, way), piece=None, alone=alone
    )
    return OpenedPiece(held, file=file, wish=wish)


def resume_listed(kept: Kept, piece: Piece) -> OpenedPiece:
    """A piece chosen from the list, with a look at whether its design's file has changed since."""
    try:
        file = load(piece.file)
    except BadFile as bad:
        # A file that is gone is no news: the piece has its own copy.
        return resume(kept, piece, broken=str(bad) if os.path.exists(piece.file) else None)
    return resume(kept, piece, file=file)


def resume(
    kept: Kept,
    piece: Piece,
    wish: WorkingOptions = NO_OPTIONS,
    *,
    file: DesignFile | None = None,
    broken: str | None = None,
) -> OpenedPiece:
    """A piece begun earlier, with its own copy of the design; `file` is what its design's file holds now."""
    way = piece.way
    if way.by not in NAMES:
        raise kept.pieces.damage(f"piece {piece.piece} is worked in a way this program does not know: {way.by}")
    copy = kept.pieces.copy_of(piece.piece)
    remake = _remaking(kept, way)
    if file is not None and _copy_of(file, copy.repeats) == copy:
        whole = whole_of(file, copy.repeats, way)  # The same text has been read just now.
    else:
        whole = remake(piece.piece, copy)
    held = OpenPiece(kept.pieces, kept.holder, piece.file, copy, way, whole, remake, piece=piece.piece, alone=False)
    opening = OpenedPiece(held, _asked(held, wish), file=file, broken=broken, wish=wish)
    if file is None:
        return opening
    # The repeats chosen for the piece stay its own, unless it simply went by its design's number and that has changed.
    own = whole.main.design.repeats
    fresh_copy = _copy_of(file, file.design.repeats if copy.repeats == own else copy.repeats)
    if fresh_copy == copy:
        return opening
    return _with_changes(opening, fresh_copy, file)


def _asked(held: OpenPiece, wish: WorkingOptions) -> str | None:
    """What a wish says that the piece is not, in words."""
    way, repeats = held.way, held.copy.repeats
    asked_way = way_for(held.whole.main.design, wish.way)
    asked = []
    if wish.by is not None and asked_way.by != way.by:
        asked.append(f"worked by {way.by}, not by {asked_way.by}")
    if asked_way.from_right and not way.from_right:
        asked.append("worked from the left, not from the right")
    if asked_way.mirrored and not way.mirrored:
        asked.append("worked as the design is drawn, not mirrored")
    if wish.repeats is not None and wish.repeats != repeats:
        asked.append(f"worked with {counted(repeats, 'repeat')}, not {wish.repeats}")
    return ", ".join(asked) or None


def _with_changes(opening: OpenedPiece, copy: Copy, file: DesignFile) -> OpenedPiece:
    old, held = opening.held.whole, opening.held
    found = changes(old.main.design, worked_as(file.design, held.way))
    for called, text in (("start", copy.start), ("finish", copy.finish)):
        if text != getattr(held.copy, called) and getattr(old.main.design, called) == getattr(file.design, called):
            found.append(f"the {called} reads different")
    changed = tuple(found or ["only its wording as a file, nothing that is worked"])
    opening = opening._replace(changed=changed)
    if repeats_fault(file.design, copy.repeats) is not None:
        return opening
    whole = whole_of(file, copy.repeats, held.way)
    if not can_continue(old, whole, by_rows(whole), held.progress.history):
        return opening
    return opening._replace(fresh=UpdatedDesign(copy, whole))


def whole_of(file: DesignFile, repeats: int, way: Way) -> WholePiece:
    """The steps of a design as it stands in its file, with its start and finish, when it is worked in this way."""
    design = worked_as(file.design, way)
    return whole_piece(design, file.start and file.start.design, file.finish and file.finish.design, repeats)


def _copy_of(file: DesignFile, repeats: int) -> Copy:
    return Copy(file.text, file.start and file.start.text, file.finish and file.finish.text, repeats)


def _remaking(kept: Kept, way: Way) -> Callable[[int, Copy], WholePiece]:
    def remake(piece: int, copy: Copy) -> WholePiece:
        designs: list[Design | None] = []
        for text in (copy.design, copy.start, copy.finish):
            design = None if text is None else parse(text)[0]
            if text is not None and design is None:
                raise kept.pieces.damage(f"the design of piece {piece} cannot be read")
            designs.append(design)
        main, start, finish = designs
        assert main is not None
        return whole_piece(worked_as(main, way), start, finish, copy.repeats)

    return remake
