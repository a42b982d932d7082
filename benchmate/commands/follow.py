"""`follow`: the bench on one design, or its piece line by line."""

import argparse
import io
import sys
from typing import TYPE_CHECKING

from benchmate.commands.shared.options import design_argument, refuse_width, width_option, working_options
from benchmate.commands.shared.standard_streams import without_screen
from benchmate.commands.shared.thread.band_to_fit import (
    fitting_options,
    lengths_given,
    repeats_that_fit,
    wanted_band,
)
from benchmate.exit_status import BAD_INPUT

if TYPE_CHECKING:
    from benchmate.piece_opening import Kept, OpenedPiece

NAME = "follow"
SUMMARY = "open the bench on a design, and continue its unfinished piece"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Adds the design, how to work it, and where."""
    design_argument(parser)
    working_options(parser, resumes=True)
    fitting_options(parser)
    parser.add_argument("--new", action="store_true", help="begin a new piece even if one is unfinished")
    parser.add_argument("--plain", action="store_true", help="print one step per line instead of the full screen")
    width_option(parser)


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Opens the piece on the full screen, or line by line."""
    plain = options.plain or without_screen()
    if not plain:
        refuse_width(parser, options.width)
    from benchmate import piece_opening

    repeats, band, said = _length(parser, options)
    kept = piece_opening.Kept()
    try:
        try:
            working = piece_opening.WorkingOptions(options.by, repeats, options.from_right, options.mirror, band)
            opened = piece_opening.follow(kept, options.design, working, new=options.new)
        except piece_opening.OutOfRange as error:
            parser.error(f"--repeats: {error}")
        if plain:
            for line in said:
                print(line, file=sys.stderr)
            return _run_plain(parser, kept, opened, options.width)
        from benchmate.bench.start import open_bench

        # What is printed now would be hidden by the screen.
        return open_bench(kept, opened._replace(says=" ".join(said)))
    finally:
        kept.close()


def _length(parser: argparse.ArgumentParser, options: argparse.Namespace) -> tuple[int | None, float | None, list[str]]:
    """The repeats to work, how long the band is to be, mm, and what to say about that; None for what is not asked.

    Raises BadFile where no repeats fit the wrist.
    """
    band = wanted_band(parser, options)
    if band is None:
        return options.repeats, None, []
    if options.repeats is not None:
        parser.error("choose one of --repeats and --wrist")
    from benchmate.commands.shared.thread.lengths_said import units, unusual
    from benchmate.craft.thread.fitting.fit import CAUTION
    from benchmate.craft.wording.fit_words import fit_words
    from benchmate.design_files.load import load
    from benchmate.store import places
    from benchmate.thread_gauges import estimate_for

    file = load(options.design)
    found = repeats_that_fit(parser, options.design, file, band, estimate_for(places.home(), file.design))
    shown_in = units()
    said = [*unusual(lengths_given(options), shown_in), f"{fit_words(found, shown_in)}. {CAUTION}"]
    return found.repeats, float(band), said


def _run_plain(parser: argparse.ArgumentParser, kept: "Kept", opened: "OpenedPiece", width: int | None) -> int:
    from benchmate.commands.shared.plain_lines import plain_lines
    from benchmate.piece_exchange import copy_after_work
    from benchmate.plain import piece
    from benchmate.plain.answers import Answers
    from benchmate.store.pieces import TakenOver

    if opened.mismatch:
        parser.error(f"this piece is {opened.mismatch}; add --new to begin another")
    try:
        opened.held.hold()
    except TakenOver:
        print("This piece is open in another window. Leave it there, then try again.", file=sys.stderr)
        return BAD_INPUT
    status, left = piece.lead_on(opened, Answers(sys.stdin or io.StringIO()), plain_lines(width))
    notice = copy_after_work(kept, left)
    if notice is not None:
        print(notice, file=sys.stderr)
    return status
