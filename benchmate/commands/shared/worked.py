"""A design as the command line says that it is worked."""

import argparse
from typing import NamedTuple

from benchmate.craft.design import Design, repeats_fault
from benchmate.craft.orders import Order
from benchmate.craft.start_band_finish import work_for
from benchmate.craft.ways import Way, order_of, way_for, worked_as
from benchmate.craft.work import Work
from benchmate.design_files.load import load


class Worked(NamedTuple):
    """A design, its steps, and the order in which they are worked."""

    design: Design
    work: Work
    way: Way
    order: Order


def worked(parser: argparse.ArgumentParser, options: argparse.Namespace) -> Worked:
    """The design of `options` in the way they say. Raises BadFile; leaves with status 2 when it cannot be repeated so.

    The options are those of `design_argument` and `working_options`.
    """
    design = load(options.design).design
    if options.repeats is not None:
        fault = repeats_fault(design, options.repeats)
        if fault is not None:
            parser.error(f"--repeats: {fault}")
    way = way_for(design, Way(options.by, options.from_right, options.mirror))
    design = worked_as(design, way)
    work = work_for(design, options.repeats)
    return Worked(design, work, way, order_of(work, way))
