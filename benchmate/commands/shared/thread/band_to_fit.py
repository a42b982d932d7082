"""The options that say how long a band is to be, and the repeats that fit."""

import argparse
from typing import TYPE_CHECKING

from benchmate.commands.shared.options import mm, mm_above_0

if TYPE_CHECKING:
    from decimal import Decimal

    from benchmate.craft.thread.estimate import Estimate
    from benchmate.craft.thread.fitting.fit import Fit
    from benchmate.design_files.load import DesignFile


def fitting_options(parser: argparse.ArgumentParser) -> None:
    """Adds --wrist, --ease and --gap."""
    parser.add_argument("--wrist", metavar="MM", type=mm_above_0, help="fit a wrist of MM millimetres")
    parser.add_argument("--ease", metavar="MM", type=mm, help="make the band longer than the wrist by MM (default: 15)")
    parser.add_argument("--gap", metavar="MM", type=mm, help="leave MM for the closure, such as a clasp (default: 0)")


def wanted_band(parser: argparse.ArgumentParser, options: argparse.Namespace) -> "Decimal | None":
    """How long the band is to be by the options, mm; None without --wrist. Exits with status 2 for no such length."""
    if options.wrist is None:
        for name in ("ease", "gap"):
            if getattr(options, name) is not None:
                parser.error(f"--{name} needs --wrist")
        return None
    from benchmate.craft.thread.fitting.fit import EASE, NO_GAP, band_for

    ease, gap = (EASE if options.ease is None else options.ease), (NO_GAP if options.gap is None else options.gap)
    band = band_for(options.wrist, ease, gap)
    if band <= 0:
        parser.error(f"wrist + ease - gap must be above 0 mm (found {band} mm)")
    return band


def repeats_that_fit(
    parser: argparse.ArgumentParser, given: str, file: "DesignFile", band: "Decimal", estimate: "Estimate"
) -> "Fit":
    """The repeats of a design that fit. Raises BadFile where it has no such length, or needs to repeat and cannot.

    Exits with status 2 for more steps than a design may have.
    """
    from benchmate.craft.design import repeats_fault
    from benchmate.craft.thread.fitting.fit import fit
    from benchmate.design_files.load import total_steps_fault
    from benchmate.files.tree import BadFile

    design = file.design
    row_mm = design.family.row_mm(estimate.gauge)
    if row_mm is None:
        raise BadFile(given, message=f"fit works for diagonal and alpha bands, not for {design.family.called}")
    found = fit(band, row_mm, design.family.rows_per_repeat(design.body))
    fault = None if found.repeats == 1 else design.family.cannot_repeat(design.body)
    if fault is not None:
        raise BadFile(given, message=f"a band of {band} mm takes {found.repeats} repeats, but {fault}")
    extra = [linked.design for linked in (file.start, file.finish) if linked is not None]
    fault = repeats_fault(design, found.repeats) or total_steps_fault(design, extra, found.repeats)
    if fault is not None:
        parser.error(f"--wrist: {fault}")
    return found


def lengths_given(options: argparse.Namespace) -> list[tuple[str, float]]:
    """The lengths of the options, each with its name."""
    given = ((name, getattr(options, name)) for name in ("wrist", "ease", "gap"))
    return [(name, float(length)) for name, length in given if length is not None]
