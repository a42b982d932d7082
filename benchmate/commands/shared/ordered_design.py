"""A design with its steps in the order that the command line asks for."""

import argparse
from typing import NamedTuple

from benchmate.craft.design import Design, repeats_fault, work_for
from benchmate.craft.orders import Order
from benchmate.craft.ways import Way, order_of, way_for, worked_as
from benchmate.craft.work import Work
from benchmate.design_files.load import load


class OrderedDesign(NamedTuple):
    """A design, its steps, the way of working and the order of the steps."""

    design: Design
    work: Work
    way: Way
    order: Order


def ordered_design(parser: argparse.ArgumentParser, options: argparse.Namespace) -> OrderedDesign:
    """The design of `options`, worked as they say. Raises BadFile; exits with status 2 for repeats that do not fit.

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
    return OrderedDesign(design, work, way, order_of(work, way))
