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
    """Prints the places that fit; where none does, those that one wrong knot explains."""
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
    if not places.places and seen is not None:
        wrong = trouble.where_with_one_wrong(work, sequence, seen, knots)
    write_parts(_document(ordered, places, wrong) if options.json else _lines(ordered, places, wrong))
    return DONE


def _document(ordered: "OrderedDesign", places: "Places", wrong: "Places | None") -> list[str]:
    from benchmate.commands.shared.json_text import json_text
    from benchmate.craft.trouble.made_otherwise import WAYS, token

    document: dict[str, object] = {"places": [place.done for place in places.places], "tell": places.tell}
    if wrong is not None:
        document["with_one_wrong"] = {
            "places": [
                {"done": done, "knot": knot, "made": [token(made) for made in WAYS if made in ways]}
                for done, knot, ways in _listed(ordered, wrong.places)
            ],
            "all": wrong.total,
            "tell": wrong.tell,
        }
    return [json_text(document)]


def _listed(ordered: "OrderedDesign", places: "Sequence[Place]") -> Iterator[tuple[int, int, set[object]]]:
    """The first places that one wrong knot explains: the steps done, the wrong knot's number, how it can be made."""
    from benchmate.craft.trouble.trouble import MOST_LISTED

    knots = ((place.done, place.wrong) for place in places if place.wrong is not None)
    each = groupby(knots, lambda knot: (knot[0], ordered.order.place[knot[1].step] + 1))
    for (done, number), alike in islice(each, MOST_LISTED):
        yield done, number, {made for _, wrong in alike for made in wrong.made}


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
        one_wrong = "" if wrong is None else f", and no single wrong {unit} explains it"
        yield f"No place fits{one_wrong}.\n"
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


def _wrong(ordered: "OrderedDesign", number: int, ways: set[object]) -> str:
    """`row 4, knot 9, first from the left, backward or left out instead of forward`."""
    from benchmate.craft.trouble.made_otherwise import WAYS
    from benchmate.craft.wording.trouble_words import made_instead, place_of_knot

    work, step = ordered.work, ordered.order.sequence[number - 1]
    made = made_instead([made for made in WAYS if made in ways], work.how_made(step))
    return f"{place_of_knot(work, step, f'{ordered.design.family.step_word} {number}')}, {made}"
