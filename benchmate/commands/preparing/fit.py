"""`fit`: say how many repeats fit a wrist."""

import argparse
from typing import TYPE_CHECKING

from benchmate.commands.shared.options import design_argument, json_option, thread_option
from benchmate.commands.shared.thread.band_to_fit import (
    fitting_options,
    lengths_given,
    repeats_that_fit,
    wanted_band,
)
from benchmate.commands.shared.thread.lengths_said import say_unusual, units
from benchmate.exit_status import DONE

if TYPE_CHECKING:
    from benchmate.craft.thread.estimate import Estimate
    from benchmate.craft.thread.fitting.fit import Fit
    from benchmate.design_files.load import DesignFile

NAME = "fit"
SUMMARY = "say how many repeats fit a wrist"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Adds the design, the wrist, and the table of wrists."""
    design_argument(parser, needed=False)
    fitting_options(parser)
    thread_option(parser)
    parser.add_argument("--sizes", action="store_true", help="list wrists of adults and children, and what fits them")
    json_option(parser)


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Prints the repeats that fit, or the table."""
    if options.sizes:
        return _sizes(parser, options)
    if options.design is None:
        parser.error("name a DESIGN, or list the wrists with --sizes")
    band = wanted_band(parser, options)
    if band is None:
        parser.error("give --wrist MM; where no wrist is at hand, --sizes lists usual ones")
    file, estimate = _threaded(parser, options)
    found = repeats_that_fit(parser, options.design, file, band, estimate)
    if options.json:
        _print_json(_document(found))
    else:
        shown_in = units()
        say_unusual(lengths_given(options), shown_in)
        print("\n".join(_lines(file, found, options, estimate, shown_in)))
    return DONE


def _threaded(parser: argparse.ArgumentParser, options: argparse.Namespace) -> "tuple[DesignFile, Estimate]":
    """The design, and what is known of the thread of the options or else of its own."""
    from benchmate.commands.shared.thread.threaded_design import known_thread
    from benchmate.design_files.load import load
    from benchmate.store import places
    from benchmate.thread_gauges import estimate_for

    file = load(options.design)
    if options.thread is not None:
        return file, known_thread(parser, options.thread)
    return file, estimate_for(places.home(), file.design)


def _document(fit: "Fit") -> dict[str, object]:
    from benchmate.craft.thread.in_documents import gauge_number, mm_in_document

    return {
        "band_mm": mm_in_document(fit.band_mm),
        "row_mm": gauge_number(fit.row_mm),
        "rows_per_repeat": fit.rows_per_repeat,
        "repeats": fit.repeats,
        "rows": fit.rows,
        "length_mm": mm_in_document(fit.length_mm),
    }


def _lines(
    file: "DesignFile", fit: "Fit", options: argparse.Namespace, estimate: "Estimate", shown_in: str
) -> list[str]:
    from benchmate.craft.design import repeats_fault
    from benchmate.craft.thread.fitting.fit import CAUTION
    from benchmate.craft.thread.plausible import CONSTANT
    from benchmate.craft.wording.fit_words import beside_words, fit_words
    from benchmate.craft.wording.gauge_words import basis
    from benchmate.craft.wording.length_words import fine_words

    beside = beside_words(fit, shown_in, more=repeats_fault(file.design, fit.repeats + 1) is None)
    lines = [
        f"{file.design.title}, for a wrist of {fine_words(options.wrist, shown_in)}: "
        f"a band of {fine_words(fit.band_mm, shown_in)}",
        f"{fit_words(fit, shown_in)}.",
        f"{beside[0].upper()}{beside[1:]}." if beside else "",
        basis(estimate, CONSTANT[file.design.family.rows_measured]),
        f"{CAUTION} More: benchmate help fit",
    ]
    return [line for line in lines if line]


def _sizes(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Prints every wrist of the published tables, with the repeats that fit it where a design is named."""
    from benchmate.craft.thread.fitting import wrist_table

    if options.wrist is not None:
        parser.error("--sizes lists all wrists; leave out --wrist")
    fits = None
    if options.design is not None:
        from decimal import Decimal

        file, estimate = _threaded(parser, options)

        def repeats_for(mm: float) -> int:
            chosen = argparse.Namespace(**{**vars(options), "wrist": Decimal(repr(mm))})
            band = wanted_band(parser, chosen)
            assert band is not None
            return repeats_that_fit(parser, options.design, file, band, estimate).repeats

        fits = repeats_for
    elif options.ease is not None or options.gap is not None:
        parser.error("--ease and --gap with --sizes need a DESIGN")
    if options.json:
        _print_json(wrist_table.document(fits))
    else:
        print("\n".join(wrist_table.lines(units(), fits)))
    return DONE


def _print_json(document: object) -> None:
    from benchmate.commands.shared.json_text import json_text

    print(json_text(document), end="")
