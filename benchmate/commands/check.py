"""`check`: finds the mistakes in design files."""

import argparse
import sys
from typing import TYPE_CHECKING

from benchmate.commands.shared.options import design_argument
from benchmate.exit_status import BAD_INPUT, DONE

if TYPE_CHECKING:
    from benchmate.craft.design import Design
    from benchmate.design_files.load import DesignFile

NAME = "check"
SUMMARY = "check design files and name every mistake"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Adds the designs."""
    design_argument(parser, several=True)


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Prints a line for each good file on standard output, and every problem on standard error."""
    from benchmate.design_files.load import load
    from benchmate.files.safe_text import shown
    from benchmate.files.tree import BadFile, format_problem

    def known_thread(name: str) -> bool:
        # Imported here: only a thread that a design names is looked for.
        from benchmate.store import places
        from benchmate.thread_gauges import is_known

        return is_known(places.home(), name)

    status = DONE
    for given in options.designs:
        try:
            file = load(given, known_thread=known_thread)
        except BadFile as bad:
            print("\n".join(bad.lines()), file=sys.stderr)
            status = BAD_INPUT
            continue
        for warning in file.warnings:
            print(format_problem(given, warning), file=sys.stderr)
        print(f"{shown(given)}: ok, {_design_summary(file.design)}{_start_and_finish(file)}")
    return status


def _design_summary(design: "Design") -> str:
    parts = design.family.summary(design.body, design.repeats)
    if design.repeats > 1:
        parts.append(f"{design.repeats} repeats")
    return ", ".join([design.family.name, *parts])


def _start_and_finish(file: "DesignFile") -> str:
    from benchmate.craft.design import steps_in
    from benchmate.craft.wording.counting import counted

    linked = {key: file.design for key, file in (("start", file.start), ("finish", file.finish)) if file}
    if not linked:
        return ""
    steps = steps_in(file.design) + sum(map(steps_in, linked.values()))
    return f", with its {' and '.join(linked)} {counted(steps, 'step')}"
