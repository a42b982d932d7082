"""A design with its steps in the order that the command line asks for."""

import argparse
from typing import NamedTuple

from benchmate.craft.design import Design, repeats_fault, work_for
from benchmate.craft.float_rules import MOST_LONGEST, USUAL, FloatRules
from benchmate.craft.orders import Order
from benchmate.craft.ways import Way, order_of, way_for, worked_as
from benchmate.craft.wording.counting import counted
from benchmate.craft.work import Work
from benchmate.design_files.load import load


class OrderedDesign(NamedTuple):
    """A design, its steps, the way of working and the order of the steps."""

    design: Design
    work: Work
    way: Way
    order: Order
    start_steps: int
    """How many steps its start has; 0 without one."""

    def bench_numbers(self, done: int | None = None) -> list[str]:
        """How the bench numbers these steps, where those of a start come first there; with `done`, what to subtract."""
        start = self.start_steps
        if not start:
            return []
        unit = self.design.family.step_word
        counts = f"The bench counts the {counted(start, 'step')} of the start too: "
        if done is None:
            return [f"{counts}{unit} 1 here is band {unit} 1, step {start + 1} there."]
        return [f"{counts}subtract {start} from its number of steps done. {done} done here are {done + start} there."]


def ordered_design(parser: argparse.ArgumentParser, options: argparse.Namespace) -> OrderedDesign:
    """The design of `options`, worked as they say. Raises BadFile; exits with status 2 for repeats that do not fit.

    The options are those of `design_argument` and `working_options`. With those of `float_options` too, a picture is
    planned by them and the settings.
    """
    file = load(options.design)
    design = file.design
    if options.repeats is not None:
        fault = repeats_fault(design, options.repeats)
        if fault is not None:
            parser.error(f"--repeats: {fault}")
    way = way_for(design, Way(options.by, options.from_right, options.mirror))
    planned = "hang" in options and design.family.float_rules(design.body) is not None
    design = worked_as(design, way, _float_rules(parser, options, design) if planned else USUAL)
    work = work_for(design, options.repeats)
    start_steps = 0 if file.start is None else work_for(file.start.design).size
    return OrderedDesign(design, work, way, order_of(work, way), start_steps)


def _float_rules(parser: argparse.ArgumentParser, options: argparse.Namespace, design: Design) -> FloatRules:
    """The rules of the options, for the rest those of the settings, and the knots of the design's thread.

    Raises BadFile for unreadable settings, and StoreError.
    """
    # Imported here: only pictures are planned.
    from benchmate.settings import read_settings
    from benchmate.store import places
    from benchmate.thread_gauges import knot_size_for

    for name in ("float_columns", "float_rows"):
        if (getattr(options, name) or 0) > MOST_LONGEST:
            parser.error(f"--{name.replace('_', '-')} must be at most {MOST_LONGEST} (found {getattr(options, name)})")
    given = {"columns": options.float_columns, "rows": options.float_rows, "hang": options.hang}
    rules = read_settings(places.settings_file()).float_rules
    rules = rules.with_size(knot_size_for(places.home(), design))
    return rules._replace(**{name: value for name, value in given.items() if value is not None})
