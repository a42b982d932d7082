"""`designs`: the shipped designs, from easy to hard."""

import argparse
import sys
from typing import TYPE_CHECKING

from benchmate.commands.shared.options import json_option
from benchmate.exit_status import DONE

if TYPE_CHECKING:
    from benchmate.design_files.shelf import ShelvedDesign

NAME = "designs"
SUMMARY = "list the shipped designs, easy to hard"

_COLUMNS = (
    "Every command that takes a DESIGN takes the name of a shipped one. The columns are name, family, strings, steps "
    "and effort. Strings are the ones that hang at the start: the base strings of an alpha design, the strands of a "
    "braid, the strings named by written steps. Steps include all repeats, but not the start and finish. Effort is a "
    "computed number: the higher, the harder. Lessons, starts and finishes are listed too."
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Adds --json, and an explanation of the columns."""
    json_option(parser)
    parser.epilog = _COLUMNS


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Lists the designs."""
    from benchmate.design_files.load import load
    from benchmate.design_files.shelf import easy_to_hard, shipped

    found = easy_to_hard((load(path).design, path) for path in shipped())
    sys.stdout.write(_document(found) if options.json else _lines(found))
    return DONE


def _document(shelf: "list[ShelvedDesign]") -> str:
    from benchmate.commands.shared.json_text import json_text
    from benchmate.craft.design import steps_in
    from benchmate.design_files.shelf import name_of

    document = [
        {
            "name": name_of(path),
            "title": design.title,
            "family": design.family.name,
            "strings": len(design.strings),
            "steps": steps_in(design),
            "effort": effort,
            "notes": design.notes,
        }
        for design, path, effort in shelf
    ]
    return json_text(document)


def _lines(shelf: "list[ShelvedDesign]") -> str:
    """The designs in columns, one per line."""
    from benchmate.craft.design import steps_in
    from benchmate.craft.wording.counting import counted
    from benchmate.design_files.shelf import name_of

    table = [
        (
            name_of(path),
            design.family.name,
            counted(len(design.strings), "string") if design.strings else "",
            counted(steps_in(design), "step"),
            f"effort {effort:4.1f}",
        )
        for design, path, effort in shelf
    ]
    widths = [max(map(len, column)) for column in zip(*table, strict=True)]
    lines = []
    for name, family, *numbers in table:
        cells = [name.ljust(widths[0]), family.ljust(widths[1])]
        cells += [text.rjust(width) for text, width in zip(numbers, widths[2:], strict=True)]
        lines.append("  ".join(cells) + "\n")
    return "".join(lines)
