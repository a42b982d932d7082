"""`where`: find the place in a band from how its strings hang."""

import argparse
from collections.abc import Iterator, Sequence
from itertools import groupby, islice
from typing import TYPE_CHECKING

from benchmate.commands.shared.options import design_argument, json_option, working_options
from benchmate.commands.shared.trouble.trouble_options import see_option
from benchmate.exit_status import DONE

if TYPE_CHECKING:
    from benchmate.commands.shared.ordered_design import OrderedDesign
    from benchmate.craft.trouble.trouble import Place, Places
    from benchmate.craft.trouble.wrong_step import DoneInstead

NAME = "where"
SUMMARY = "find the place in a band from how its strings hang"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Adds the design, how to work it, and what is seen."""
    design_argument(parser)
    working_options(parser)
    see_option(parser, needed=False, also='; in a braid every filled slot, "32:deep 1:deep …"; not for pictures')
    parser.add_argument(
        "--knots",
        metavar="COLOURS",
        help="the colours of the last knots made, or of the strands moved last, oldest first",
    )
    json_option(parser)


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Prints the places that fit; where none does, those that one wrong knot or move explains."""
    from benchmate.commands.shared.ordered_design import ordered_design
    from benchmate.commands.shared.trouble.given_places import colours_of_last, colours_seen
    from benchmate.commands.shared.written_in_pieces import write_parts
    from benchmate.families.registry import trouble_of
    from benchmate.files.tree import BadFile

    ordered = ordered_design(parser, options)
    work, sequence = ordered.work, ordered.order.sequence
    trouble = trouble_of(ordered.design.family)
    if not trouble.finds_places:
        raise BadFile(options.design, message=f"`where` finds no place in {ordered.design.family.called}")
    seen = colours_seen(parser, options.see, ordered, trouble)
    knots = colours_of_last(parser, options.knots, ordered.design)
    places, wrong = trouble.where(work, sequence, seen, knots), None
    assert places is not None
    if not places.places:
        wrong = trouble.where_with_one_wrong(work, sequence, seen, knots)
    write_parts(_document(ordered, places, wrong) if options.json else _lines(ordered, places, wrong))
    return DONE


def _document(ordered: "OrderedDesign", places: "Places", wrong: "Places | None") -> list[str]:
    from benchmate.commands.shared.json_text import json_text
    from benchmate.craft.trouble.wrong_step import written

    document: dict[str, object] = {"places": [place.done for place in places.places], "tell": places.tell}
    if wrong is not None:
        document["with_one_wrong"] = {
            "places": [
                {"done": done, ordered.design.family.step_word: step, "made": [written(made) for made in ways]}
                for done, step, ways in _listed(ordered, wrong.places)
            ],
            "all": wrong.total,
            "tell": wrong.tell,
        }
    return [json_text(document)]


def _listed(ordered: "OrderedDesign", places: "Sequence[Place]") -> "Iterator[tuple[int, int, list[DoneInstead]]]":
    """The first places that one wrong step explains: the steps done, the wrong one's number, how it can be done."""
    from benchmate.craft.trouble.made_otherwise import EVERY_KIND
    from benchmate.craft.trouble.trouble import MOST_LISTED
    from benchmate.families.registry import trouble_of

    in_ways = trouble_of(ordered.design.family).knows_ways
    knots = ((place.done, place.wrong) for place in places if place.wrong is not None)
    each = groupby(knots, lambda knot: (knot[0], ordered.order.place[knot[1].step] + 1))
    for (done, number), alike in islice(each, MOST_LISTED):
        ways: list[DoneInstead] = [made for _, wrong in alike for made in wrong.made]
        yield done, number, [made for made in EVERY_KIND if made in ways] if in_ways else ways


def _lines(ordered: "OrderedDesign", places: "Places", wrong: "Places | None") -> Iterator[str]:
    from benchmate.craft.trouble.trouble import MOST_LISTED
    from benchmate.craft.wording.counting import counted

    unit = ordered.design.family.step_word
    yield from (f"{line}\n" for line in ordered.bench_numbers())
    if places.places:
        fit = "fits" if places.total == 1 else "fit"
        yield f"{counted(places.total, 'place')} {fit}; {unit}s done at each:\n"
        for place in places.places[:MOST_LISTED]:
            yield f"{place.done:>7}  {_next(ordered, place.done)}\n"
        yield from _more(places.total)
    elif wrong is None or not wrong.total:
        yield f"No place fits, and no single wrong {unit} explains it.\n"
    else:
        possible = counted(wrong.total, "possibility", "possibilities")
        yield f"No place fits as charted. With one wrong {unit}: {possible}; {unit}s done at each:\n"
        for done, number, ways in _listed(ordered, wrong.places):
            yield f"{done:>7}  {_next(ordered, done)}; wrong: {_wrong(ordered, number, ways)}\n"
        yield from _more(wrong.total)
    tell = places.tell if wrong is None else wrong.tell
    if tell is not None:
        last = f"last {unit}" if tell == 1 else f"last {tell} {unit}s"
        yield f"To tell them apart, add --knots with the colours of the {last}, oldest first.\n"


def _more(total: int) -> Iterator[str]:
    from benchmate.craft.trouble.trouble import MOST_LISTED

    if total > MOST_LISTED:
        yield f"and {total - MOST_LISTED} more\n"


def _next(ordered: "OrderedDesign", done: int) -> str:
    from benchmate.craft.start_band_finish import Part
    from benchmate.craft.wording import step_words

    if done == ordered.work.size:
        return "all done"
    step = ordered.work.step(ordered.order.sequence[done])
    return f"next: {step_words.spoken(Part('band', ordered.design, ordered.work, 0), step)}"


def _wrong(ordered: "OrderedDesign", number: int, ways: "Sequence[DoneInstead]") -> str:
    """`row 4, knot 9, first from the left, backward or left out instead of forward`."""
    from benchmate.craft.knots import Knot
    from benchmate.craft.wording.trouble_words import done_instead, made_instead, place_of_knot, place_of_step
    from benchmate.families.registry import trouble_of

    design, work, step = ordered.design, ordered.work, ordered.order.sequence[number - 1]
    called = f"{design.family.step_word} {number}"
    if not trouble_of(design.family).knows_ways:
        return f"{place_of_step(design, work, step, called)}, {done_instead(design, work, step, ways)}"
    made = made_instead([way for way in ways if way is None or isinstance(way, Knot)], work.how_made(step))
    return f"{place_of_knot(work, step, called)}, {made}"
