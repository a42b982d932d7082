"""`order`: all steps in working order."""

import argparse
import sys
from typing import TYPE_CHECKING

from benchmate.commands.shared.exit_status import DONE
from benchmate.commands.shared.options import design_argument, json_option, working_options

if TYPE_CHECKING:
    from benchmate.commands.shared.ordered_design import OrderedDesign

NAME = "order"
SUMMARY = "list every step in working order"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Adds the design, and how to work it."""
    design_argument(parser)
    working_options(parser)
    json_option(parser)


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Prints the steps."""
    from benchmate.commands.shared.ordered_design import ordered_design

    format_steps = _document if options.json else _lines
    sys.stdout.write(format_steps(ordered_design(parser, options)))
    return DONE


def _document(ordered: "OrderedDesign") -> str:
    import json

    from benchmate.commands.shared.ways_document import hands_document
    from benchmate.craft.orders import pickups, runs, travel

    design, work, way, order = ordered
    family, body = design.family, design.body
    document: dict[str, object] = {
        "title": design.title,
        "family": family.name,
        "by": order.by,
        "strings": family.strings_document(body),
        "steps": [
            {"n": each.n, **family.step_document(design, body, each.step, each.run)} for each in runs(work, order)
        ],
    }
    fewest = work.fewest_pickups()
    if fewest is not None:
        document["pickups"] = pickups(work, order)
        document["least"] = fewest
    if order.by == "segments":
        document["travel"] = travel(work, order)
        document["least_travel"] = order.least_travel
        document["settled"] = order.settled
    document |= hands_document(way)
    return json.dumps(document) + "\n"


def _lines(ordered: "OrderedDesign") -> str:
    """A line for each step, then the pick-ups."""
    from benchmate.craft.orders import by_rows, pickups, runs, travel
    from benchmate.craft.start_band_finish import Part
    from benchmate.craft.wording import step_words
    from benchmate.craft.wording.counting import counted

    design, work, way, order = ordered
    part = Part("band", design, work, 0)
    lines = [f"{design.title}, worked {way.words}"]
    lines += [f"{each.n:>7}  {step_words.spoken(part, each.step)}" for each in runs(work, order)]
    fewest = work.fewest_pickups()
    if fewest is not None:
        lines.append(design.family.words.pickups(pickups(work, order), fewest))
    if order.by == "segments":
        rows = by_rows(work, from_right=way.from_right)
        least = f" (at least {order.least_travel} with so few pick-ups)" if order.least_travel else ""
        if order.settled:
            least = " (least possible)"
        lines.append(f"by rows: {counted(pickups(work, rows), 'pick-up')}")
        lines.append(
            f"hands travel {travel(work, order)} positions between pick-ups{least}; by rows: {travel(work, rows)}"
        )
    return "\n".join(lines) + "\n"
