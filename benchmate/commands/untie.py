"""`untie`: the fewest steps that have to come out to reach a wrong one."""

import argparse
import sys
from typing import TYPE_CHECKING

from benchmate.commands.shared.exit_status import DONE
from benchmate.commands.shared.options import design_argument, json_option, number, working_options

if TYPE_CHECKING:
    from benchmate.commands.shared.worked import Worked

NAME = "untie"
SAYS = "say which steps to untie to reach a wrong one"


def arguments(parser: argparse.ArgumentParser) -> None:
    """The design, how it is worked, how far it is, and the wrong step."""
    design_argument(parser)
    working_options(parser)
    parser.add_argument("--done", metavar="N", type=number, required=True, help="how many steps are done")
    parser.add_argument("--knot", metavar="K", type=number, required=True, help="the wrong step, counted from 1")
    json_option(parser)


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Lists the steps that have to come out, in the order to follow."""
    from benchmate.commands.shared.worked import worked

    found = worked(parser, options)
    done, knot = options.done, options.knot
    if done > found.work.size:
        parser.error(f"--done: this design has {found.work.size} steps, not {done}")
    if knot > done:
        parser.error(f"--knot: only steps 1 to {done} are done, not {knot}")
    numbers = _to_untie(found, done, knot)
    sys.stdout.write(_document(knot, numbers) if options.json else _lines(found, done, knot, numbers))
    return DONE


def _to_untie(worked: "Worked", done: int, knot: int) -> list[int]:
    from benchmate.craft.progress import Progress

    order = worked.order
    progress = Progress.resume(worked.work, order, order.sequence[:done])
    return [order.place[number] + 1 for number in progress.must_come_out(order.sequence[knot - 1])]


def _document(knot: int, numbers: list[int]) -> str:
    import json

    return json.dumps({"knot": knot, "untie": numbers}) + "\n"


def _lines(worked: "Worked", done: int, knot: int, numbers: list[int]) -> str:
    from benchmate.craft.start_band_finish import Part
    from benchmate.craft.wording import step_words
    from benchmate.craft.wording.counting import counted

    part = Part("band", worked.design, worked.work, 0)
    lines = [f"To reach step {knot}, {counted(len(numbers), 'step')} of {done} must come out, in this order:"]
    lines += [f"{n:>7}  {step_words.spoken(part, worked.work.step(worked.order.sequence[n - 1]))}" for n in numbers]
    return "\n".join(lines) + "\n"
