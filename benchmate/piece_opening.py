"""Opens a piece from its design's file: the unfinished piece of that file, or a new one."""

import os
from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple

from benchmate.craft.design import CannotEnd, Design, ending_at, repeats_fault, written_out
from benchmate.craft.float_rules import USUAL, FloatRules
from benchmate.craft.start_band_finish import WholePiece, whole_piece
from benchmate.craft.ways import NAMES, Way, way_for, worked_as
from benchmate.craft.wording.compare import changes
from benchmate.craft.wording.counting import counted
from benchmate.design_files.load import DesignFile, load, parse, total_steps_fault
from benchmate.design_files.shelf import path_of
from benchmate.files.tree import BadFile
from benchmate.garbage_collection import paused_collection
from benchmate.kept import Kept as Kept
from benchmate.store import places
from benchmate.store.open_piece import OpenPiece
from benchmate.store.pieces import TakenOver
from benchmate.store.reading import Copy, Piece

if TYPE_CHECKING:
    from benchmate.craft.thread.cutting_steps.to_cut import KnownThread


class WorkingOptions(NamedTuple):
    """The options of `follow` that say how to work a piece; None and False where an option was not given.

    `band_mm` is how long the band is to be, from which the repeats follow.
    """

    by: str | None = None
    repeats: int | None = None
    from_right: bool = False
    mirrored: bool = False
    band_mm: float | None = None

    @property
    def way(self) -> Way:
        """The way of working of a new piece."""
        return Way(self.by or "rows", self.from_right, self.mirrored)


NO_OPTIONS = WorkingOptions()


class OutOfRange(ValueError):
    """A number on the command line does not fit the design; the text says which would."""


class OpenedPiece(NamedTuple):
    """A piece ready to be held, and what to tell the person about it.

    `kept` is where it is kept. `options` are the options that were given, and `mismatch` says which of them differ from
    a piece begun earlier. `changed` lists the changes to the design's file since then. `updated` is the changed design
    where the piece can continue on it. `broken` says why the file cannot be read now. With `lays_out`, a new piece
    begins by laying out its strings. `says` is what to say first.
    """

    held: OpenPiece
    kept: Kept
    mismatch: str | None = None
    changed: tuple[str, ...] = ()
    file: DesignFile | None = None
    updated: "UpdatedDesign | None" = None
    broken: str | None = None
    options: WorkingOptions = NO_OPTIONS
    lays_out: bool = False
    says: str = ""

    @property
    def other_way(self) -> Way | None:
        """The way of working in the options, where it differs from the piece's own and the piece can change to it."""
        held, options = self.held, self.options
        way = way_for(held.whole.main.design, options.way)
        fits = options.repeats in (None, held.copy.repeats) and way.mirrored in (False, held.way.mirrored)
        by = held.way.by if options.by is None else way.by
        other = Way(by, way.from_right or held.way.from_right, held.way.mirrored)
        return other if fits and other != held.way else None

    @property
    def resumed(self) -> bool:
        """True for a piece that was begun earlier."""
        return self.held.piece is not None


class UpdatedDesign(NamedTuple):
    """The changed design of a piece, ready to continue on."""

    copy: Copy
    whole: WholePiece

    def comes_out(self, held: OpenPiece) -> int:
        """How many steps of the finish have to be undone first."""
        carried = held.carried_over(self.whole)
        return 0 if carried is None else len(carried.come_out)


def with_finish(held: OpenPiece, finish: DesignFile) -> UpdatedDesign | None:
    """The piece with a finish its design does not name; None when that makes too many steps."""
    copy = held.copy._replace(finish=finish.text)
    try:
        return UpdatedDesign(copy, remade(held, copy))
    except ValueError:
        return None


def checked_repeats(file: DesignFile, repeats: int | None) -> int:
    """How many times to work the rows. Raises OutOfRange when the design cannot be worked `repeats` times."""
    if repeats is None:
        return file.design.repeats
    extra = [linked.design for linked in (file.start, file.finish) if linked is not None]
    fault = repeats_fault(file.design, repeats) or total_steps_fault(file.design, extra, repeats)
    if fault is not None:
        raise OutOfRange(fault)
    return repeats


@paused_collection()
def follow(kept: Kept, given: str, options: WorkingOptions, *, new: bool) -> OpenedPiece:
    """The unfinished piece of the design `given` (a path or a shipped design's name), or a new piece.

    Raises BadFile when the design cannot be read and has no unfinished piece, OutOfRange, StoreError.
    """
    # Read before the unfinished piece is looked for, so that none started in between goes unnoticed.
    newest = None if new else kept.pieces.newest()
    try:
        file = load(given)
    except BadFile as bad:
        piece = None if new else kept.pieces.unfinished_from(places.resolved(path_of(given)), "")
        if piece is None:
            raise
        return resume(kept, piece, options, broken=str(bad))
    checked_repeats(file, options.repeats)
    piece = None if new else kept.pieces.unfinished_from(file.path, file.text)
    if piece is not None:
        return _as_asked(resume(kept, piece._replace(file=file.path), options, file=file))
    return begin(kept, file, options, newest)


def begin(kept: Kept, file: DesignFile, options: WorkingOptions, newest: int | None) -> OpenedPiece:
    """A new piece. It does not start where another window has started one from the same file since piece `newest`.

    With None it starts in any case.
    """
    repeats = checked_repeats(file, options.repeats)
    way = way_for(file.design, options.way)
    whole = whole_of(file, repeats, way, kept.float_rules_for(file.design), kept.thread_for(file.design))
    copy = _copy_of(file, repeats)
    read_copy = _reader(kept, way)
    held = OpenPiece(kept.pieces, kept.holder, file.path, copy, way, whole, read_copy, piece=None, newest=newest)
    return OpenedPiece(held, kept, file=file, options=options)


def open_listed(kept: Kept, piece: Piece) -> OpenedPiece:
    """A piece chosen from the list to be worked on; one of which nothing is tied takes its design's file as it is."""
    return _as_asked(resume_listed(kept, piece))


def nothing_tied(held: OpenPiece) -> bool:
    """True where nothing of a piece is tied, or to be made otherwise: it may still be worked in any way."""
    return not held.progress.done and held.wrong is None and not held.changes


def worked_another_way(opened: OpenedPiece, options: WorkingOptions) -> OpenedPiece:
    """The piece, of which nothing is tied, worked the way of the options from its first step.

    Of one that is saved, what was cut stays, as far as it is to be cut so; it has to be held, and is let go. One that
    is not saved yet is begun once more. Raises StoreError, and TakenOver when another window holds the piece.
    """
    held, kept, number = opened.held, opened.kept, opened.held.piece
    if number is None:
        assert opened.file is not None
        return begin(kept, opened.file, options, held.newest)
    way, copy = way_for(held.charted.main.design, options.way), held.copy
    whole = whole_of_copy(copy, way, lambda design: kept.float_rules_for(design, number), kept.thread_for)
    held.begin_with(copy, whole, way)
    held.let_go()
    piece = kept.pieces.get(number)._replace(file=held.file)
    return resume(kept, piece, WorkingOptions(band_mm=options.band_mm), file=opened.file)


def _as_asked(opened: OpenedPiece) -> OpenedPiece:
    """The piece; where nothing of it is tied yet, by its design's file and the options as they are now.

    What was cut for it stays, as far as it is to be cut so. Raises StoreError.
    """
    held, kept, file, options = opened.held, opened.kept, opened.file, opened.options
    number = held.piece
    asked = opened.mismatch is not None or opened.changed
    if not asked or number is None or file is None or not nothing_tied(held):
        return opened
    way = Way(
        options.by or held.way.by, options.from_right or held.way.from_right, options.mirrored or held.way.mirrored
    )
    way, copy = way_for(file.design, way), _new_copy(held, file)
    if options.repeats is not None:
        copy = copy._replace(repeats=options.repeats)
    try:
        whole = whole_of_copy(copy, way, lambda design: kept.float_rules_for(design, number), kept.thread_for)
        held.hold()
        held.begin_with(copy, whole, way)
        held.let_go()
    except (ValueError, TakenOver):
        # It is said, and asked about, as of any other piece.
        return opened
    return resume(kept, kept.pieces.get(number)._replace(file=held.file), options, file=file)


def resume_listed(kept: Kept, piece: Piece) -> OpenedPiece:
    """A piece chosen from the list; the changes to its design's file are looked for."""
    try:
        file = load(piece.file)
    except BadFile as bad:
        # A file that is gone is not worth a notice, because the piece has its own copy.
        return resume(kept, piece, broken=str(bad) if os.path.exists(piece.file) else None)
    return resume(kept, piece, file=file)


def resume(
    kept: Kept,
    piece: Piece,
    options: WorkingOptions = NO_OPTIONS,
    *,
    file: DesignFile | None = None,
    broken: str | None = None,
) -> OpenedPiece:
    """A piece begun earlier, with its own copy of the design; `file` is the design's file as read now."""
    way = piece.way
    if way.by not in NAMES:
        raise kept.pieces.damage(f"it is worked in a way this program does not know: {way.by}", piece.piece)
    copy = kept.pieces.copies_of(piece.piece)[-1][1]
    read_copy = _reader(kept, way)
    if file is not None and _copy_of(file, copy.repeats) == copy:
        # The same text was read just now.
        rules, thread = kept.float_rules_for(file.design, piece.piece), kept.thread_for(file.design)
        whole = whole_of(file, copy.repeats, way, rules, thread)
    else:
        whole = read_copy(piece.piece, copy)
    held = OpenPiece(kept.pieces, kept.holder, piece.file, copy, way, whole, read_copy, piece=piece.piece)
    opened = OpenedPiece(held, kept, _mismatch(held, options), file=file, broken=broken, options=options)
    if file is None:
        return opened
    new_copy = _new_copy(held, file)
    if new_copy == copy:
        return opened
    return _with_changes(opened, new_copy, file, kept.float_rules_for(file.design, piece.piece))


def _new_copy(held: OpenPiece, file: DesignFile) -> Copy:
    """The copy of a changed design that a piece would continue on."""
    design, copy = held.whole.main.design, held.copy
    # Repeats chosen for the piece stay. Where it uses its design's own number, it uses the changed number.
    new_copy = _copy_of(file, file.design.repeats if copy.repeats == design.repeats else copy.repeats)
    # So does a finish chosen for a design that names none.
    if design.finish is None and file.design.finish is None:
        new_copy = new_copy._replace(finish=copy.finish)
    return new_copy


def _mismatch(held: OpenPiece, options: WorkingOptions) -> str | None:
    """How a piece differs from the options that were given, in words."""
    way, repeats = held.way, held.copy.repeats
    asked = way_for(held.whole.main.design, options.way)
    found = []
    if options.by is not None and asked.by != way.by:
        found.append(f"worked by {way.by}, not by {asked.by}")
    if asked.from_right and not way.from_right:
        found.append("worked from the left")
    if asked.mirrored and not way.mirrored:
        found.append("not mirrored")
    if options.repeats is not None and options.repeats != repeats:
        has = counted(repeats, "repeat") if repeats > 0 else counted(-repeats, "row")
        asked_for = options.repeats if repeats > 0 else counted(options.repeats, "repeat")
        found.append(f"worked with {has}, not {asked_for}")
    return " and ".join(found) or None


def _with_changes(opened: OpenedPiece, copy: Copy, file: DesignFile, rules: FloatRules) -> OpenedPiece:
    old, held = opened.held.whole, opened.held
    fault = _repeats_fault(file.design, copy.repeats)
    # A piece that ends within a repeat has its rows written out; so has the changed design then.
    ends, _ = (file.design, 1) if fault is not None else written_out(file.design, copy.repeats)
    found = changes(old.main.design, worked_as(ends, held.way))
    for name, text in (("start", copy.start), ("finish", copy.finish)):
        if text != getattr(held.copy, name) and getattr(old.main.design, name) == getattr(file.design, name):
            found.append(f"the text of the {name} changed")
    opened = opened._replace(changed=tuple(found or ["only comments or layout changed"]))
    try:
        whole = whole_of_copy(copy, held.way, lambda _: rules, opened.kept.thread_for)
    except ValueError:
        return opened
    return opened if held.carried_over(whole) is None else opened._replace(updated=UpdatedDesign(copy, whole))


def whole_of(
    file: DesignFile, repeats: int, way: Way, rules: FloatRules = USUAL, thread: "KnownThread | None" = None
) -> WholePiece:
    """All steps of a design file worked in this way and by these rules for floats, start and finish included.

    `repeats` is as in a `Copy`. Where its `thread` is known, it knows what to cut.
    """
    design, repeats = written_out(file.design, repeats)
    start, finish = file.start and file.start.design, file.finish and file.finish.design
    return whole_piece(worked_as(design, way, rules), start, finish, repeats, thread)


def _repeats_fault(design: Design, repeats: int) -> str | None:
    """Why the design cannot have as many repeats, or end after that row; None when it can."""
    if repeats > 0:
        return repeats_fault(design, repeats)
    try:
        ending_at(design, -repeats)
    except CannotEnd as error:
        return str(error)
    return None


def _copy_of(file: DesignFile, repeats: int) -> Copy:
    return Copy(file.text, file.start and file.start.text, file.finish and file.finish.text, repeats)


def _reader(kept: Kept, way: Way) -> Callable[[int, Copy], WholePiece]:
    """A function that makes the steps of a piece from its own copy of the design."""

    def read_copy(piece: int, copy: Copy) -> WholePiece:
        try:
            return whole_of_copy(copy, way, lambda design: kept.float_rules_for(design, piece), kept.thread_for)
        except ValueError as error:
            raise kept.pieces.damage("its design cannot be read", piece) from error

    return read_copy


def whole_of_copy(
    copy: Copy,
    way: Way,
    float_rules_for: Callable[[Design], FloatRules] = lambda _: USUAL,
    thread_for: "Callable[[Design], KnownThread | None]" = lambda _: None,
) -> WholePiece:
    """All steps of a piece's own copy of a design. Raises ValueError when it cannot be read or repeated."""
    designs: list[Design | None] = []
    for text in (copy.design, copy.start, copy.finish):
        design = None if text is None else parse(text, limit_texts=False)[0]
        if text is not None and design is None:
            raise ValueError("the design cannot be read")
        designs.append(design)
    main, start, finish = designs
    assert main is not None
    extra = [design for design in (start, finish) if design is not None]
    fault = _repeats_fault(main, copy.repeats)
    if fault is None:
        main, repeats = written_out(main, copy.repeats)
        fault = total_steps_fault(main, extra, repeats)
    if fault is not None:
        raise ValueError(fault)
    return whole_piece(worked_as(main, way, float_rules_for(main)), start, finish, repeats, thread_for(main))


def remade(held: OpenPiece, copy: Copy) -> WholePiece:
    """All steps of a piece on another copy, with its own way of working and rules. Raises ValueError as above."""
    design = held.whole.main.design
    rules = design.family.float_rules(design.body) or USUAL
    known = held.whole.to_cut
    return whole_of_copy(copy, held.way, lambda _: rules, lambda _: None if known is None else known.thread)
