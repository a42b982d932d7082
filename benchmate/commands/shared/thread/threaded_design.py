"""A design, and what is known of its thread."""

import argparse
from typing import NamedTuple

from benchmate.craft.design import Design, repeats_fault
from benchmate.craft.float_rules import KnotSize
from benchmate.craft.thread.cut_list import CutList, NothingToCut, cut_list
from benchmate.craft.thread.estimate import Estimate
from benchmate.design_files.load import DesignFile, load, total_steps_fault
from benchmate.files.safe_text import nearest, quoted
from benchmate.files.tree import BadFile
from benchmate.store import places
from benchmate.store.thread.gauges import estimate_of, names
from benchmate.thread_gauges import estimate_for


class ThreadedDesign(NamedTuple):
    """A design with the thread that is asked for, planned as `order` plans it, and what is known of that thread."""

    file: DesignFile
    design: Design
    repeats: int
    estimate: Estimate

    @property
    def start(self) -> Design | None:
        """The design worked before the band."""
        return self.file.start and self.file.start.design

    @property
    def finish(self) -> Design | None:
        """The design worked after the band."""
        return self.file.finish and self.file.finish.design

    def cut_list(self) -> CutList:
        """What to cut. Raises BadFile where that is nothing."""
        try:
            return cut_list(self.design, self.estimate, start=self.start, finish=self.finish, repeats=self.repeats)
        except NothingToCut as nothing:
            raise BadFile(self.file.given, message=str(nothing)) from nothing


def threaded_design(parser: argparse.ArgumentParser, options: argparse.Namespace) -> ThreadedDesign:
    """The design of `options`, which are those of `design_argument`, `thread_option` and, if any, `repeats_option`.

    Raises BadFile and StoreError; exits with status 2 for repeats that do not fit, and for an unknown thread.
    """
    file = load(options.design)
    design = file.design
    repeats = getattr(options, "repeats", None)
    if repeats is not None:
        extra = [linked.design for linked in (file.start, file.finish) if linked is not None]
        fault = repeats_fault(design, repeats) or total_steps_fault(design, extra, repeats)
        if fault is not None:
            parser.error(f"--repeats: {fault}")
    home = places.home()
    if options.thread is None:
        estimate = estimate_for(home, design)
    else:
        design = design._replace(thread=options.thread)
        estimate = known_thread(parser, options.thread)
    if design.family.float_rules(design.body) is not None:
        # Imported here: only pictures are planned.
        from benchmate.settings import read_settings

        rules = read_settings(places.settings_file()).float_rules.with_size(KnotSize.of(estimate.gauge))
        design = design._replace(body=design.family.with_float_rules(design.body, rules))
    return ThreadedDesign(file, design, design.repeats if repeats is None else repeats, estimate)


def known_thread(parser: argparse.ArgumentParser, name: str) -> Estimate:
    """What is known of the thread that --thread names. Raises StoreError; exits with status 2 for an unknown one."""
    estimate = estimate_of(places.home(), name)
    if estimate is None:
        found, near = nearest(name, names(places.home()))
        guess = f"; did you mean {quoted(found)}?" if found and near else "; benchmate gauge lists the threads"
        parser.error(f"--thread: there is no thread {quoted(name)}{guess}")
    return estimate
