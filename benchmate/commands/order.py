"""`order`: every step in working order."""

import argparse
import sys
from typing import TYPE_CHECKING

from benchmate.commands.shared.exit_status import DONE
from benchmate.commands.shared.options import design_argument, json_option, working_options

if TYPE_CHECKING:
    from benchmate.commands.shared.worked import Worked

NAME = "order"
SAYS = "list every step in working order"


def arguments(parser: argparse.ArgumentParser) -> None:
    """The design, and how it is worked."""
    design_argument(parser)
    working_options(parser)
    json_option(parser)


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Lists the steps."""
    from benchmate.commands.shared.worked import worked

    write = _document if options.json else _lines
    sys.stdout.write(write(worked(parser, options)))
    return DONE


def _document(worked: "Worked") -> str:
    import json

    from benchmate.commands.shared.ways_document import hands_document
    from benchmate.craft.orders import pickups, runs, travel

    design, work, way, order = worked
    family, body = design.family, design.body
    document: dict[str, object] = {
        "title": design.title,
        "family": family.name,
        "by": order.by,
        "strings": family.strings_document(body),
        "steps": [
            {"n": ordered.n, **family.step_document(design, body, ordered.step, ordered.run)}
            for ordered in runs(work, order)
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


def _lines(worked: "Worked") -> str:
    """A line for each step, and the pick-ups it takes."""
    from benchmate.craft.orders import by_rows, pickups, runs, travel
    from benchmate.craft.start_band_finish import Part
    from benchmate.craft.wording import step_words

    design, work, way, order = worked
    part = Part("band", design, work, 0)
    lines = [f"{design.title}, worked {way.words}"]
    lines += [f"{ordered.n:>7}  {step_words.spoken(part, ordered.step)}" for ordered in runs(work, order)]
    fewest = work.fewest_pickups()
    if fewest is not None:
        lines.append(design.family.words.pickups(pickups(work, order), fewest))
    if order.by == "segments":
        rows = by_rows(work, from_right=way.from_right)
        least = f" (at least {order.least_travel} in any such order)" if order.least_travel else ""
        if order.settled:
            least = " (the least there can be)"
        lines.append(
            f"by rows {pickups(work, rows)}; the hands travel {travel(work, order)} positions from pick-up to pick-up"
            f"{least}, by rows {travel(work, rows)}"
        )
    return "\n".join(lines) + "\n"
