"""`check`: whether design files are good, and where they are not."""

import argparse
import sys
from typing import TYPE_CHECKING

from benchmate.commands.shared.exit_status import BAD_INPUT, DONE
from benchmate.commands.shared.options import design_argument

if TYPE_CHECKING:
    from benchmate.craft.design import Design
    from benchmate.design_files.load import DesignFile

NAME = "check"
SAYS = "check design files, and say what is wrong where"


def arguments(parser: argparse.ArgumentParser) -> None:
    """The designs."""
    design_argument(parser, several=True)


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """One line for each good file on standard output; every problem on standard error."""
    from benchmate.design_files.load import load
    from benchmate.files.tree import BadFile, format_problem
    from benchmate.files.words import shown

    status = DONE
    for given in options.designs:
        try:
            file = load(given)
        except BadFile as bad:
            print("\n".join(bad.lines()), file=sys.stderr)
            status = BAD_INPUT
            continue
        for warning in file.warnings:
            print(format_problem(given, warning), file=sys.stderr)
        print(f"{shown(given)}: ok, {_summary(file.design)}{_with_ends(file)}")
    return status


def _summary(design: "Design") -> str:
    what = design.family.summary(design.body, design.repeats)
    if design.repeats > 1:
        what.append(f"{design.repeats} repeats")
    return ", ".join([design.family.name, *what])


def _with_ends(file: "DesignFile") -> str:
    from benchmate.craft.design import steps_in
    from benchmate.craft.wording.counting import counted

    ends = [(called, end.design) for called, end in (("start", file.start), ("finish", file.finish)) if end]
    if not ends:
        return ""
    steps = steps_in(file.design) + sum(steps_in(design) for _, design in ends)
    return f", with its {' and '.join(called for called, _ in ends)} {counted(steps, 'step')}"
