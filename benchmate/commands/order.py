"""`order`: all steps in working order."""

import argparse
from collections.abc import Iterator
from itertools import chain
from typing import TYPE_CHECKING

from benchmate.commands.shared.options import design_argument, float_options, json_option, working_options
from benchmate.exit_status import DONE

if TYPE_CHECKING:
    from benchmate.commands.shared.ordered_design import OrderedDesign

NAME = "order"
SUMMARY = "list every step in working order"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Adds the design, and how to work it."""
    design_argument(parser)
    working_options(parser)
    float_options(parser)
    json_option(parser)


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Prints the steps."""
    from benchmate.commands.shared.ordered_design import ordered_design
    from benchmate.commands.shared.written_in_pieces import write_parts

    format_steps = _document if options.json else _lines
    write_parts(format_steps(ordered_design(parser, options)))
    return DONE


def _document(ordered: "OrderedDesign") -> Iterator[str]:
    """The parts of the document; everything but the steps is worked out before the first of them."""
    from benchmate.commands.shared.json_text import json_value
    from benchmate.commands.shared.ways_document import hands_document
    from benchmate.craft.orders import pickups, runs, travel

    design, work, way, order, _ = ordered
    family, body = design.family, design.body
    before = {
        "title": design.title,
        "family": family.name,
        "by": order.by,
        "strings": family.strings_document(body),
    }
    after: dict[str, object] = {}
    fewest = work.fewest_pickups()
    if fewest is not None:
        after["pickups"] = pickups(work, order)
        after["least"] = fewest
    if order.by == "segments":
        after["travel"] = travel(work, order)
        after["least_travel"] = order.least_travel
        after["settled"] = order.settled
    after |= hands_document(way)
    steps = (
        json_value({"n": each.n, **family.step_document(design, body, each.step, each.run), **planned})
        for each, number in zip(runs(work, order), order.sequence, strict=True)
        for planned in [family.plan_document(work, number)]
    )
    return chain(
        [json_value(before)[:-1], ', "steps": ['],
        (f", {step}" if at else step for at, step in enumerate(steps)),
        ["]", *(f", {json_value({key: value})[1:-1]}" for key, value in after.items()), "}\n"],
    )


def _lines(ordered: "OrderedDesign") -> Iterator[str]:
    """A line for each step, then the pick-ups; these are worked out before the first line."""
    from benchmate.craft.orders import by_rows, pickups, runs, travel
    from benchmate.craft.start_band_finish import Part
    from benchmate.craft.wording import step_words
    from benchmate.craft.wording.counting import counted

    design, work, way, order, _ = ordered
    part = Part("band", design, work, 0)
    below = []
    fewest = work.fewest_pickups()
    if fewest is not None:
        below.append(design.family.words.pickups(pickups(work, order), fewest))
    if order.by == "segments":
        rows = by_rows(work, from_right=way.from_right)
        least = f" (at least {order.least_travel} with so few pick-ups)" if order.least_travel else ""
        if order.settled:
            least = " (least possible)"
        below.append(f"by rows: {counted(pickups(work, rows), 'pick-up')}")
        below.append(
            f"hands travel {travel(work, order)} positions between pick-ups{least}; by rows: {travel(work, rows)}"
        )
    words = design.family.words
    below += filter(None, [words.before_first(work)])
    below += ordered.bench_numbers()
    steps = (
        f"{each.n:>7}  {f'{first}; then ' if first else ''}{step_words.spoken(part, each.step)}"
        for each, number in zip(runs(work, order), order.sequence, strict=True)
        for first in [words.pick_up(design, work, number, tails=True)]
    )
    return (f"{line}\n" for line in chain([f"{design.title}, worked {way.words}"], steps, below))
