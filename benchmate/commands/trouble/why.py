"""`why`: which wrong knot explains how the strings hang."""

import argparse
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from benchmate.commands.shared.options import design_argument, json_option, way_given, working_options
from benchmate.commands.shared.trouble.trouble_options import done_option, made_option, see_option, shows_option
from benchmate.exit_status import DONE

if TYPE_CHECKING:
    from benchmate.commands.shared.ordered_design import OrderedDesign
    from benchmate.craft.trouble.trouble import Why, WrongKnot

NAME = "why"
SUMMARY = "find the wrong knot that explains how the strings hang"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Adds the design, how to work it, the number of steps done, and what is seen."""
    design_argument(parser)
    working_options(parser)
    done_option(parser)
    see_option(parser)
    shows_option(parser)
    made_option(parser)
    json_option(parser)


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Prints every wrong knot that explains what is seen, and what to look at next."""
    from benchmate.commands.shared.ordered_design import ordered_design
    from benchmate.commands.shared.searching import Searching
    from benchmate.commands.shared.trouble.given_steps import (
        colours_hanging,
        colours_shown,
        knots_made,
        steps_done,
        trouble_with_knots,
    )
    from benchmate.commands.shared.written_in_pieces import write_parts

    ordered = ordered_design(parser, options)
    trouble = trouble_with_knots(options, ordered, NAME)
    done = steps_done(parser, options, ordered)
    # What is known already is the chart of what follows.
    made = knots_made(parser, "--made", options.made, ordered, done)
    ordered = ordered._replace(work=ordered.work.made_otherwise(made))
    seen = colours_hanging(parser, "--see", options.see, ordered.design)
    shows = colours_shown(parser, "--shows", options.shows, ordered, done)
    if shows is None:
        write_parts([_document()] if options.json else ["One knot cannot show two colours: check --shows.\n"])
        return DONE
    searching = Searching()
    try:
        found = trouble.why(
            ordered.work,
            ordered.order.sequence[:done],
            seen,
            shows,
            lambda _, __: searching.tell("Looking for two wrong knots"),
        )
    finally:
        searching.clear()
    assert found is not None
    if options.json:
        write_parts([_found(ordered, found)])
    else:
        write_parts(f"{line}\n" for line in _lines(ordered, found, options))
    return DONE


def _document(
    *, as_charted: bool = False, mistakes: Sequence[object] = (), total: int = 0, ask: int | None = None
) -> str:
    from benchmate.commands.shared.json_text import json_text

    return json_text({"as_charted": as_charted, "mistakes": [*mistakes], "all": total, "ask": ask})


def _found(ordered: "OrderedDesign", found: "Why") -> str:
    from benchmate.craft.trouble.made_otherwise import token

    place = ordered.order.place
    mistakes = [
        [{"knot": place[each.step] + 1, "made": [token(way) for way in each.made]} for each in mistake]
        for mistake in found.mistakes
    ]
    ask = None if found.ask is None else place[found.ask] + 1
    return _document(as_charted=found.as_charted, mistakes=mistakes, total=found.total, ask=ask)


def _lines(ordered: "OrderedDesign", found: "Why", options: argparse.Namespace) -> Iterator[str]:
    from benchmate.craft.trouble.trouble import PAIRS_AMONG
    from benchmate.craft.wording.counting import counted

    after = f"after {counted(options.done, 'knot')}"
    yield from ordered.bench_numbers(options.done)
    if found.as_charted:
        known = ", with the knots of --made," if options.made else ""
        yield f"All you see is as charted{known} {after}."
        yield "If a knot looks wrong, add the colour it shows: --shows K:COLOUR"
    elif not found.total:
        among = f"two of the last {PAIRS_AMONG:,}" if options.done > PAIRS_AMONG else "two"
        yield f"Neither one wrong knot nor {among} explain what you see {after}."
        yield "Check the colours and the number of knots done; benchmate where looks for your place."
    else:
        yield from _mistakes(ordered, found, after)
        yield from _next(ordered, found, options)


def _mistakes(ordered: "OrderedDesign", found: "Why", after: str) -> Iterator[str]:
    """A line for each explanation that is listed."""
    pair = len(found.mistakes[0]) == 2
    if found.total > 1:
        kind = "pairs of wrong knots" if pair else "wrong knots"
        yield f"Any one of {found.total:,} {kind} explains what you see {after}; the latest first:"
    elif pair:
        yield f"These two wrong knots together explain what you see {after}:"
    else:
        yield f"One wrong knot explains what you see {after}:"
    for first, *second in found.mistakes:
        words = _wrong_knot(ordered, first)
        yield f"  {words[0].upper()}{words[1:]}"
        yield from (f"    and {_wrong_knot(ordered, wrong)}" for wrong in second)
    if found.total > len(found.mistakes):
        yield f"  and {found.total - len(found.mistakes):,} more"


def _wrong_knot(ordered: "OrderedDesign", wrong: "WrongKnot") -> str:
    from benchmate.craft.wording.trouble_words import made_instead

    return f"{_place(ordered, wrong.step)}: {made_instead(wrong.made, ordered.work.how_made(wrong.step))}"


def _place(ordered: "OrderedDesign", step: int) -> str:
    from benchmate.craft.wording.trouble_words import place_of_knot

    return place_of_knot(ordered.work, step, f"knot {ordered.order.place[step] + 1}")


def _next(ordered: "OrderedDesign", found: "Why", options: argparse.Namespace) -> Iterator[str]:
    """What to look at next, and what to do with the knot that is left."""
    from benchmate.craft.trouble.made_otherwise import LEFT_OUT
    from benchmate.craft.wording.trouble_words import shows_which

    place = ordered.order.place
    if found.ask is not None:
        n, answer = place[found.ask] + 1, found.answers[0]
        yield f"Look at {_place(ordered, found.ask)}: {shows_which(ordered.design, found.answers)}"
        yield f"Then add what it shows, such as --shows {n}:{LEFT_OUT if answer is None else answer}"
    elif found.total > 1:
        yield "No colour tells these apart; see in the band how the knots are made."
    if found.total == 1:
        untie = f"benchmate untie DESIGN{way_given(options)} --done {options.done} --knot"
        knots = [place[wrong.step] + 1 for wrong in found.mistakes[0]]
        for knot in knots:
            yield f"To take {f'knot {knot}' if len(knots) > 1 else 'it'} out: {untie} {knot}"
