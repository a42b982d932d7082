"""`untie`: the fewest steps to undo to reach a wrong one."""

import argparse
from collections.abc import Iterator
from typing import TYPE_CHECKING

from benchmate.commands.shared.options import design_argument, json_option, number, working_options
from benchmate.exit_status import DONE

if TYPE_CHECKING:
    from benchmate.commands.shared.ordered_design import OrderedDesign

NAME = "untie"
SUMMARY = "list the steps to undo to reach a wrong one"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Adds the design, how to work it, the number of steps done, and the wrong step."""
    design_argument(parser)
    working_options(parser)
    parser.add_argument("--done", metavar="N", type=number, required=True, help="the number of steps done")
    parser.add_argument("--knot", metavar="K", type=number, required=True, help="the wrong step, counted from 1")
    json_option(parser)


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Prints the steps to undo, in the order to undo them."""
    from benchmate.commands.shared.ordered_design import ordered_design
    from benchmate.commands.shared.written_in_pieces import write_parts

    ordered = ordered_design(parser, options)
    done, knot = options.done, options.knot
    if done > ordered.work.size:
        parser.error(f"--done must be at most {ordered.work.size}, the steps of this design (found {done})")
    if knot > done:
        parser.error(f"--knot must be at most {done}, the steps done (found {knot})")
    numbers = _to_untie(ordered, done, knot)
    write_parts(_document(knot, numbers) if options.json else _lines(ordered, done, knot, numbers))
    return DONE


def _to_untie(ordered: "OrderedDesign", done: int, knot: int) -> list[int]:
    from benchmate.craft.progress import Progress

    order = ordered.order
    progress = Progress.resume(ordered.work, order, order.sequence[:done])
    return [order.place[number] + 1 for number in progress.must_come_out(order.sequence[knot - 1])]


def _document(knot: int, numbers: list[int]) -> list[str]:
    from benchmate.commands.shared.json_text import json_text

    return [json_text({"knot": knot, "untie": numbers})]


def _lines(ordered: "OrderedDesign", done: int, knot: int, numbers: list[int]) -> Iterator[str]:
    from benchmate.craft.start_band_finish import Part
    from benchmate.craft.wording import step_words
    from benchmate.craft.wording.counting import counted

    part = Part("band", ordered.design, ordered.work, 0)
    unit = ordered.design.family.step_word
    yield from (f"{line}\n" for line in ordered.bench_numbers(done))
    yield f"Undo {len(numbers)} of {counted(done, unit)} to reach {unit} {knot}, in this order:\n"
    for n in numbers:
        yield f"{n:>7}  {step_words.spoken(part, ordered.work.step(ordered.order.sequence[n - 1]))}\n"
