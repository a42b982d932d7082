"""The maker's own pace for the knots of one family, from the logs of all its pieces, and the time a design takes."""

from collections.abc import Sequence
from contextlib import closing
from typing import NamedTuple

from benchmate.craft.design import Design, steps_in
from benchmate.craft.history.sittings import Duration, at_usual_pace, duration
from benchmate.craft.history.timing import DEFAULT_BEAT
from benchmate.craft.pace import LAST_KNOTS, Pace, knot_times, pace_of, time_for
from benchmate.craft.wording.counting import counted
from benchmate.design_files.load import parse
from benchmate.files.top_level import top_level
from benchmate.store.database import opened_to_read
from benchmate.store.places import Home
from benchmate.store.reading import Copy, Piece, PieceReader

MOST_PIECES = 30
"""How many pieces, the last touched first, are looked at."""
MOST_PRESSES = 200
"""How many presses of a piece, the last ones, are looked at."""


def pace_with(reader: PieceReader, pieces: Sequence[Piece], family: str) -> Pace | None:
    """The pace with the knots of a family, by the last of them in whatever pieces; None while there are too few.

    `pieces` are those to look at, last touched first. Raises StoreError.
    """
    times: list[float] = []
    for piece in pieces[:MOST_PIECES]:
        copy = reader.copies_of(piece.piece)[-1][1]
        if top_level(copy.design, "family") != family:
            continue
        knots = _knots(piece, copy)
        # The log of a copied piece begins with presses of the piece it was copied from.
        own = reader.presses(piece.piece, MOST_PRESSES, since=piece.started)
        times = [*knot_times(own, knots), *times]
        if len(times) >= LAST_KNOTS:
            break
    return pace_of(times)


def pace_with_instructions(reader: PieceReader, pieces: Sequence[Piece]) -> Pace | None:
    """The pace with written steps: whole pieces of them, starts and finishes. As `pace_with`."""
    times: list[float] = []
    for piece in pieces[:MOST_PIECES]:
        copy = reader.copies_of(piece.piece)[-1][1]
        band = range(0) if top_level(copy.design, "family") == "steps" else _knots(piece, copy)
        own = reader.presses(piece.piece, MOST_PRESSES, since=piece.started)
        both = (range(band.start), range(band.stop, piece.size))
        times = [*(time for numbers in both for time in knot_times(own, numbers)), *times]
        if len(times) >= LAST_KNOTS:
            break
    return pace_of(times)


class PaceUnknown(ValueError):
    """Written steps have no usual pace; the text says so."""


class TimeNeeded(NamedTuple):
    """The time that a design takes: its steps, how long, whether by the maker's own pace, and what is not in it.

    `with_ends` is True where its start and finish are counted, or it has none.
    """

    steps: int
    duration: Duration
    own: bool
    with_ends: bool
    words: str
    notes: tuple[str, ...]


def time_needed(home: Home, design: Design, repeats: int, ends: Sequence[Design]) -> TimeNeeded:
    """The time for so many repeats of a design with its start and finish, its `ends`. Changes nothing.

    Raises StoreError, and PaceUnknown.
    """
    family, knots, others = design.family, steps_in(design, repeats), sum(map(steps_in, ends))
    own, instructions = _paces(home, family.name)
    if own is None and not family.row_word:
        raise PaceUnknown(f"how long {family.called} take is known after ten such {family.step_word}s")
    taken = at_usual_pace(knots, DEFAULT_BEAT) if own is None else duration(own, knots)
    if own is not None:
        words = f"{time_for(own, knots)} at your pace"
    else:
        words = f"{taken.words} at the usual {DEFAULT_BEAT:g} seconds a {family.step_word}"
    notes = [] if own is not None else [f"Your own pace is known after ten such {family.step_word}s."]
    counts_ends = instructions is not None
    if others and instructions is not None:
        more = duration(instructions, others)
        taken = taken.plus(more)
        words += f", and {time_for(instructions, others)} for start and finish"
    elif others:
        notes.append(f"Start and finish ({counted(others, 'step')}) are extra; no times for them yet.")
    return TimeNeeded(knots + others, taken, own is not None, counts_ends or not others, words, tuple(notes))


def _paces(home: Home, family: str) -> tuple[Pace | None, Pace | None]:
    """The maker's pace with the knots of a family, and with written steps."""
    connection = opened_to_read(home)
    if connection is None:
        return None, None
    with closing(connection):
        reader = PieceReader(home, connection)
        pieces, _ = reader.readable()
        own = pace_with(reader, pieces, family)
        return own, pace_with_instructions(reader, pieces)


def _knots(piece: Piece, copy: Copy) -> range:
    """The numbers of the steps of its band, between its start and its finish."""
    before, after = (_steps(text) for text in (copy.start, copy.finish))
    return range(before, piece.size - after)


def _steps(text: str | None) -> int:
    design = None if text is None else parse(text, limit_texts=False)[0]
    return 0 if design is None else steps_in(design)
