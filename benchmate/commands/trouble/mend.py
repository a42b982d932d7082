"""`mend`: the fewest later knots to change after a wrong one."""

import argparse
from collections.abc import Iterator
from typing import TYPE_CHECKING

from benchmate.commands.shared.options import design_argument, json_option, number_from_0, working_options
from benchmate.commands.shared.trouble.trouble_options import done_option
from benchmate.exit_status import DONE

if TYPE_CHECKING:
    from benchmate.commands.shared.ordered_design import OrderedDesign
    from benchmate.craft.trouble.made_otherwise import Made
    from benchmate.craft.trouble.trouble import Mending

NAME = "mend"
SUMMARY = "list the fewest later knots to change after a wrong one"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Adds the design, how to work it, the number of steps done, the wrong knot, and how far to look."""
    design_argument(parser)
    working_options(parser)
    done_option(parser)
    parser.add_argument(
        "--wrong",
        metavar="K:KIND",
        action="append",
        required=True,
        help="the wrong knot and how it was made: f, b, fb, bf, or - for left out, such as 12:fb; once for each",
    )
    parser.add_argument(
        "--rows",
        metavar="R",
        type=number_from_0,
        help="change only knots up to R rows past the last row touched (default: 20)",
    )
    json_option(parser)


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Prints the knots to change."""
    from benchmate.commands.shared.ordered_design import ordered_design
    from benchmate.commands.shared.searching import Searching
    from benchmate.commands.shared.trouble.given_steps import knots_made, steps_done, trouble_with_knots
    from benchmate.commands.shared.written_in_pieces import write_parts
    from benchmate.craft.trouble.trouble import MENDED_WITHIN

    options.rows = MENDED_WITHIN if options.rows is None else options.rows
    ordered = ordered_design(parser, options)
    trouble = trouble_with_knots(options, ordered, NAME)
    done = steps_done(parser, options, ordered)
    made = knots_made(parser, "--wrong", options.wrong, ordered, done)
    searching = Searching()
    try:
        found = trouble.mend(
            ordered.work,
            made,
            ordered.order.sequence,
            done,
            options.rows,
            lambda *_: searching.tell("Looking for the fewest knots to change"),
        )
    finally:
        searching.clear()
    assert found is not None
    write_parts(_document(ordered, found) if options.json else _lines(ordered, options, made, found))
    return DONE


def _document(ordered: "OrderedDesign", found: "Mending") -> list[str]:
    from benchmate.commands.shared.json_text import json_text
    from benchmate.craft.trouble.made_otherwise import token

    changes = None
    if found.changes is not None:
        numbered = sorted((ordered.order.place[step] + 1, way) for step, way in found.changes.items())
        changes = [{"knot": n, "make": token(way)} for n, way in numbered]
    return [json_text({"changes": changes, "from_row": found.from_row, "shows": found.shows})]


def _lines(
    ordered: "OrderedDesign", options: argparse.Namespace, made: "dict[int, Made]", found: "Mending"
) -> Iterator[str]:
    from benchmate.craft.start_band_finish import Part
    from benchmate.craft.wording import step_words
    from benchmate.craft.wording.counting import counted

    yield from (f"{line}\n" for line in ordered.bench_numbers(options.done))
    if found.changes is None:
        touched = max(map(ordered.work.row_of, ordered.order.sequence[: options.done]))
        last = min(ordered.work.rows, touched + options.rows)
        yield f"No change of up to 3 knots brings the strings back to the chart by row {last}.\n"
        further = "look further ahead (--rows), " if last < ordered.work.rows else ""
        yield f"Undo what is wrong (see: benchmate untie --help), {further}or leave it as it is.\n"
        return
    if not found.changes:
        yield "The strings hang in the colours of the chart; there is nothing to change.\n"
        return
    work = ordered.work.made_otherwise({**made, **found.changes})
    part = Part("band", ordered.design, work, 0)
    leave = "the wrong knot" if len(made) == 1 else "the wrong knots"
    yield f"Leave {leave}, and change {counted(len(found.changes), 'later knot')}:\n"
    for n, step in sorted((ordered.order.place[step] + 1, step) for step in found.changes):
        yield f"{n:>7}  {step_words.spoken(part, work.step(step))}\n"
    yield f"From the end of row {found.from_row} the strings hang as charted.\n"
    shows = counted(found.shows or 0, "knot shows", "knots show") if found.shows else "no knot shows"
    yield f"Until then {shows} another colour than in the chart.\n"
