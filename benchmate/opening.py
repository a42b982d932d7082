"""From a design's file to a piece in hand: the unfinished piece it belongs to, or one about to be begun."""

import os
from collections.abc import Callable
from typing import NamedTuple

from benchmate.craft.compare import can_go_on, changes
from benchmate.craft.design import Design, repeats_fault
from benchmate.craft.orders import Order, by_rows
from benchmate.craft.work import Whole, Work, whole_work
from benchmate.files.designs import DesignFile, load, parse, whole_fault
from benchmate.files.tree import BadFile
from benchmate.loading import loading
from benchmate.store import places
from benchmate.store.database import day, keep_copy
from benchmate.store.held import Held
from benchmate.store.holders import Holder
from benchmate.store.pieces import Copy, Piece, Pieces

WAYS: dict[str, Callable[[Work], Order]] = {"rows": by_rows}
"""Every way of working: its name on the command line, and what makes its order."""


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
        keep_copy(places.database_file(), places.copy_file(), day())

    def close(self) -> None:
        """Closes everything; what was held is free for others."""
        self.holder.close()
        self.pieces.close()


class Opening(NamedTuple):
    """A piece ready to be held, and what a person should be told about it.

    `asked` says what was asked for on the command line that the piece, begun earlier, does not do, else None; `by` and
    `repeats` are what was asked for.
    `changed` lists what is different in the design's file now; `fresh` is that file where the piece could go on with
    it, and `broken` says why the file cannot be read now.
    """

    held: Held
    asked: str | None = None
    changed: tuple[str, ...] = ()
    file: DesignFile | None = None
    fresh: "Fresh | None" = None
    broken: str | None = None
    by: str | None = None
    repeats: int | None = None

    @property
    def resumed(self) -> bool:
        """True for a piece that has been begun."""
        return self.held.piece is not None


class Fresh(NamedTuple):
    """The changed design of a piece, ready to go on with."""

    copy: Copy
    whole: Whole
    order: Order


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
def follow(kept: Kept, given: str, by: str | None, repeats: int | None, *, new: bool) -> Opening:
    """The piece that following the design at `given` goes on with, or one to begin.

    Raises BadFile for a design that cannot be read when there is no piece of it to go on with, OutOfRange, StoreError.
    """
    try:
        file = load(given)
    except BadFile as bad:
        piece = None if new else kept.pieces.unfinished_from(places.resolved(given), "")
        if piece is None:
            raise
        return resume(kept, piece, by, repeats, broken=str(bad))
    times(file, repeats)
    piece = None if new else kept.pieces.unfinished_from(file.path, file.text)
    if piece is not None:
        return resume(kept, piece._replace(file=file.path), by, repeats, file=file)
    return begin(kept, file, by, repeats, alone=new)


def begin(kept: Kept, file: DesignFile, by: str | None, repeats: int | None, *, alone: bool) -> Opening:
    """A piece about to be begun; `alone` when it may be begun beside one that another window has just begun."""
    worked = times(file, repeats)
    whole = whole_of(file, worked)
    order = WAYS[by or "rows"](whole)
    copy = _copy_of(file, worked)
    held = Held(
        kept.pieces, kept.holder, file.path, copy, whole, order, _remaking(kept, order.by), piece=None, alone=alone
    )
    return Opening(held, file=file, by=by, repeats=repeats)


def resume_listed(kept: Kept, piece: Piece) -> Opening:
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
    by: str | None = None,
    repeats: int | None = None,
    *,
    file: DesignFile | None = None,
    broken: str | None = None,
) -> Opening:
    """A piece begun earlier, with its own copy of the design; `file` is what its design's file holds now."""
    if piece.way not in WAYS:
        raise kept.pieces.damage(f"piece {piece.piece} is worked in a way this program does not know: {piece.way}")
    copy = kept.pieces.copy_of(piece.piece)
    remake = _remaking(kept, piece.way)
    if file is not None and _copy_of(file, copy.repeats) == copy:
        whole = whole_of(file, copy.repeats)  # The same text has been read just now.
        order = WAYS[piece.way](whole)
    else:
        whole, order = remake(piece.piece, copy)
    held = Held(kept.pieces, kept.holder, piece.file, copy, whole, order, remake, piece=piece.piece, alone=False)
    asked = []
    if by is not None and by != piece.way:
        asked.append(f"worked by {piece.way}, not by {by}")
    if repeats is not None and repeats != copy.repeats:
        asked.append(f"worked with {_repeats(copy.repeats)}, not {repeats}")
    opening = Opening(held, ", ".join(asked) or None, file=file, broken=broken, by=by, repeats=repeats)
    if file is None:
        return opening
    # The repeats chosen for the piece stay its own, unless it simply went by its design's number and that has changed.
    own = whole.main.design.repeats
    fresh_copy = _copy_of(file, file.design.repeats if copy.repeats == own else copy.repeats)
    if fresh_copy == copy:
        return opening
    return _with_changes(opening, fresh_copy, file)


def _repeats(count: int) -> str:
    return "1 repeat" if count == 1 else f"{count} repeats"


def _with_changes(opening: Opening, copy: Copy, file: DesignFile) -> Opening:
    old, held = opening.held.whole, opening.held
    found = changes(old.main.design, file.design)
    for called, text in (("start", copy.start), ("finish", copy.finish)):
        if text != getattr(held.copy, called) and getattr(old.main.design, called) == getattr(file.design, called):
            found.append(f"the {called} reads different")
    changed = tuple(found or ["only its wording as a file, nothing that is worked"])
    opening = opening._replace(changed=changed)
    if repeats_fault(file.design, copy.repeats) is not None:
        return opening
    whole = whole_of(file, copy.repeats)
    order = WAYS[held.order.by](whole)
    if not can_go_on(old, whole, order, held.progress.history):
        return opening
    return opening._replace(fresh=Fresh(copy, whole, order))


def whole_of(file: DesignFile, repeats: int) -> Whole:
    """The steps of a design as it stands in its file, with its start and finish."""
    return whole_work(file.design, file.start and file.start.design, file.finish and file.finish.design, repeats)


def _copy_of(file: DesignFile, repeats: int) -> Copy:
    return Copy(file.text, file.start and file.start.text, file.finish and file.finish.text, repeats)


def _remaking(kept: Kept, way: str) -> Callable[[int, Copy], tuple[Whole, Order]]:
    def remake(piece: int, copy: Copy) -> tuple[Whole, Order]:
        whole = _whole_of_copy(kept, piece, copy)
        return whole, WAYS[way](whole)

    return remake


def _whole_of_copy(kept: Kept, piece: int, copy: Copy) -> Whole:
    designs: list[Design | None] = []
    for text in (copy.design, copy.start, copy.finish):
        design = None if text is None else parse(text)[0]
        if text is not None and design is None:
            raise kept.pieces.damage(f"the design of piece {piece} cannot be read")
        designs.append(design)
    main, start, finish = designs
    assert main is not None
    return whole_work(main, start, finish, copy.repeats)
