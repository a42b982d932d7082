"""`lasts`: whether a string lasts, and where to lay in a new one."""

import argparse
from collections.abc import Iterator
from typing import TYPE_CHECKING

from benchmate.commands.shared.options import (
    design_argument,
    json_option,
    mm_from_0,
    number,
    thread_option,
    working_options,
)
from benchmate.commands.shared.trouble.trouble_options import done_option
from benchmate.exit_status import DONE

if TYPE_CHECKING:
    from benchmate.commands.shared.ordered_design import OrderedDesign
    from benchmate.craft.thread.estimate import Estimate
    from benchmate.craft.trouble.trouble import Lasting

NAME = "lasts"
SUMMARY = "say whether a string lasts, and where to lay in a new one"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Adds the design, how to work it, the number of steps done, the string, and what is left of it."""
    design_argument(parser)
    working_options(parser)
    thread_option(parser)
    done_option(parser)
    parser.add_argument(
        "--string", metavar="S", type=number, required=True, help="the string: its place from the left at the start"
    )
    parser.add_argument(
        "--remaining", metavar="MM", type=mm_from_0, required=True, help="how much of it still hangs loose, in mm"
    )
    json_option(parser)


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Prints what the string still needs, where it gives out, and where to lay in a new one."""
    from benchmate.commands.shared.ordered_design import ordered_design
    from benchmate.commands.shared.thread.threaded_design import known_thread
    from benchmate.commands.shared.trouble.given_steps import steps_done, trouble_with_knots
    from benchmate.commands.shared.written_in_pieces import write_parts
    from benchmate.store import places
    from benchmate.thread_gauges import estimate_for

    ordered = ordered_design(parser, options)
    trouble = trouble_with_knots(options, ordered, NAME)
    done, string = steps_done(parser, options, ordered), options.string
    if string > len(ordered.work.strings):
        most = len(ordered.work.strings)
        parser.error(f"--string must be at most {most}, the strings of this design (found {string})")
    if options.thread is None:
        estimate = estimate_for(places.home(), ordered.design)
    else:
        estimate = known_thread(parser, options.thread)
    sequence, left = ordered.order.sequence, float(options.remaining)
    found = trouble.lasts(ordered.work, sequence, done, string, left, estimate.gauge)
    assert found is not None
    write_parts(_document(ordered, found) if options.json else _lines(ordered, options, estimate, found))
    return DONE


def _document(ordered: "OrderedDesign", found: "Lasting") -> list[str]:
    from benchmate.commands.shared.json_text import json_text
    from benchmate.craft.thread.in_documents import mm_in_document

    def counted_from_1(step: int | None) -> int | None:
        return None if step is None else ordered.order.place[step] + 1

    return [
        json_text(
            {
                "needs_mm": mm_in_document(found.needs_mm),
                "gives_out": counted_from_1(found.gives_out),
                "lay_in": counted_from_1(found.lay_in),
            }
        )
    ]


def _lines(
    ordered: "OrderedDesign", options: argparse.Namespace, estimate: "Estimate", found: "Lasting"
) -> Iterator[str]:
    from benchmate.commands.shared.thread.lengths_said import units
    from benchmate.craft.start_band_finish import Part
    from benchmate.craft.wording import step_words
    from benchmate.craft.wording.counting import counted
    from benchmate.craft.wording.gauge_words import basis
    from benchmate.craft.wording.length_words import fine_words, length_words

    design, place = ordered.design, ordered.order.place
    part = Part("band", design, ordered.work, 0)
    unit, shown_in = design.family.step_word, units()

    def step(number: int) -> str:
        return f"{place[number] + 1:>7}  {step_words.spoken(part, ordered.work.step(number))}\n"

    called = f"string {options.string} ({design.say_of(options.string)})"
    left = fine_words(options.remaining, shown_in)
    needs = length_words(found.needs_mm, shown_in)
    yield from (f"{line}\n" for line in ordered.bench_numbers(options.done))
    yield f"After {counted(options.done, unit)} {called} still needs {needs}; {left} is left.\n"
    if found.gives_out is None:
        yield "It lasts.\n"
    else:
        hold = length_words(estimate.gauge.hold_mm, shown_in)
        yield f"It gives out here; an end under {hold} is too short to knot with:\n"
        yield step(found.gives_out)
        if found.lay_in is None:
            yield "There is no knot before that in which it is passive, so the join with a new string will show.\n"
        else:
            yield "Lay in a new string here at the latest; it is passive, so the join is hidden:\n"
            yield step(found.lay_in)
    yield f"{basis(estimate)}\n"
