"""`cut`: which skein or offcut to cut each length from."""

import argparse
import sys
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from benchmate.commands.shared.options import (
    design_argument,
    json_option,
    mm_above_0,
    mm_from_0,
    repeats_option,
    thread_option,
)
from benchmate.exit_status import DONE

if TYPE_CHECKING:
    from collections.abc import Mapping

    from benchmate.commands.shared.thread.threaded_design import ThreadedDesign
    from benchmate.craft.thread.box_thread import BoxThread
    from benchmate.craft.thread.costs import Costs
    from benchmate.craft.thread.cut_list import CutList
    from benchmate.craft.thread.cutting import Cutting, Source

NAME = "cut"
SUMMARY = "say which skein or offcut to cut each length from"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Adds the design, its thread, and what there is to cut from."""
    design_argument(parser)
    repeats_option(parser)
    thread_option(parser)
    parser.add_argument(
        "--skein",
        metavar="MM",
        type=mm_above_0,
        help="the length of a new skein in mm (default: 8000); leaves out your box",
    )
    parser.add_argument(
        "--offcut",
        metavar="COLOUR:MM",
        action="append",
        default=[],
        help="an offcut you have: a colour of the design and its length in mm; leaves out your box; once for each",
    )
    parser.add_argument("--box", action="store_true", help="use your box as well as --skein and --offcut")
    parser.add_argument(
        "--use",
        metavar="COLOUR=NAME",
        action="append",
        default=[],
        help="cut a colour of the design from the threads of this name in your box, however near they are",
    )
    parser.add_argument(
        "--scrap",
        metavar="MM",
        type=mm_from_0,
        help="an end shorter than this is too short to keep (default: setting)",
    )
    parser.add_argument("--price", metavar="PRICE", type=_price, help="what a skein costs (default: as in your box)")
    json_option(parser)


def _price(text: str) -> Decimal:
    """Reads an amount of money; the type of an argument."""
    from benchmate.store.thread.typed_thread import Unfit, price_of

    try:
        found = price_of(text)
    except Unfit as unfit:
        raise argparse.ArgumentTypeError(str(unfit)) from None
    if found is None:
        raise argparse.ArgumentTypeError("must be a number, such as 1.20")
    return found


class _AtHand(NamedTuple):
    """What there is to cut from: the threads of the box that stand for each colour, the sources, and the prices."""

    standing: "Mapping[str, list[BoxThread]]"
    sources: "dict[str, list[Source]]"
    prices: dict[str, Decimal]

    @property
    def names(self) -> dict[int, str]:
        """The names of the threads of the box by their numbers."""
        return {thread.number: thread.name for own in self.standing.values() for thread in own}


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Prints where each length is cut from."""
    from benchmate.commands.shared.searching import Searching
    from benchmate.commands.shared.thread.lengths_said import say_unusual
    from benchmate.commands.shared.thread.threaded_design import threaded_design
    from benchmate.craft.thread.costs import costs
    from benchmate.craft.thread.cutting import NotLongEnough, cutting
    from benchmate.craft.thread.usual import USUAL_SKEIN
    from benchmate.craft.thread.variegated.start_point import with_what_is_left_between
    from benchmate.settings import read_settings
    from benchmate.store import places

    found = threaded_design(parser, options)
    offcuts = _offcuts(parser, options, found)
    cuts = found.cut_list()
    at_hand = _at_hand(parser, options, found, cuts, offcuts)
    settings = read_settings(places.settings_file())
    scrap_mm = settings.scrap if options.scrap is None else float(options.scrap)
    skein_mm = USUAL_SKEIN if options.skein is None else float(options.skein)
    lengths = with_what_is_left_between(cuts.lengths, found.design, skein_mm)
    searching = Searching()
    try:
        best = cutting(
            lengths,
            at_hand.sources,
            skein_mm=skein_mm,
            scrap_mm=scrap_mm,
            progress=lambda colour: searching.tell(f"Looking for the best way to cut {found.design.say(colour)}"),
        )
    except NotLongEnough as too_long:
        raise _too_long(found, cuts, too_long.index, skein_mm, settings.units) from too_long
    finally:
        searching.clear()
    money = costs(best, lengths, at_hand.prices, skein_mm)
    if options.json:
        sys.stdout.write(_document(best, money, bool(at_hand.prices)))
    else:
        given = ("skein", options.skein), ("ends", options.scrap)
        say_unusual([(what, float(mm)) for what, mm in given if mm is not None], settings.units)
        say_unusual([("offcut", each.length_mm) for own in offcuts.values() for each in own], settings.units)
        for line in _lines(found, cuts, best, money, at_hand.names, settings.units, scrap_mm):
            print(line)
    return DONE


def _offcuts(
    parser: argparse.ArgumentParser, options: argparse.Namespace, found: "ThreadedDesign"
) -> "dict[str, list[Source]]":
    """The offcuts of the command line, by colour."""
    from benchmate.craft.thread.cutting import Source

    sources: dict[str, list[Source]] = {}
    for text in options.offcut:
        colour, _, length = text.rpartition(":")
        name = _colour(parser, "--offcut", colour, text, found)
        try:
            sources.setdefault(name, []).append(Source("offcut", float(mm_above_0(length))))
        except argparse.ArgumentTypeError as error:
            parser.error(f"--offcut: the length {error}")
    return sources


def _colour(parser: argparse.ArgumentParser, option: str, colour: str, text: str, found: "ThreadedDesign") -> str:
    """The name of a colour of the design; one that it has not exits with status 2."""
    from benchmate.commands.shared.colour_names import known_colour
    from benchmate.files.safe_text import quoted

    if not colour:
        example = "deep:1200" if option == "--offcut" else "deep=NAME"
        parser.error(f"{option} needs a colour of the design first, such as {example} (found {quoted(text)})")
    return known_colour(parser, option, colour, found.design.colours)


def _at_hand(
    parser: argparse.ArgumentParser,
    options: argparse.Namespace,
    found: "ThreadedDesign",
    cuts: "CutList",
    offcuts: "dict[str, list[Source]]",
) -> _AtHand:
    from benchmate.thread_at_hand import NotInBox, prices, sources, standing_for

    with_box = options.box or (options.skein is None and not options.offcut)
    if options.use and not with_box:
        parser.error("--use chooses from your box, which --skein and --offcut leave out; add --box")
    chosen: dict[str, str] = {}
    for text in options.use:
        colour, _, name = text.partition("=")
        colour = _colour(parser, "--use", colour, text, found)
        if colour in chosen:
            parser.error(f"--use names two threads for {colour}")
        chosen[colour] = name
    threads: list[BoxThread] = []
    if with_box:
        from benchmate.commands.shared.thread.box_text import threads_in_box

        threads = threads_in_box()
    try:
        standing = standing_for(found.design, cuts.colours, threads, chosen)
    except NotInBox as missing:
        parser.error(f"--use: {missing}")
    known = prices(standing) if options.price is None else dict.fromkeys(cuts.colours, options.price)
    from_box = sources(standing)
    return _AtHand(standing, {name: [*offcuts.get(name, []), *from_box[name]] for name in cuts.colours}, known)


def _too_long(found: "ThreadedDesign", cuts: "CutList", index: int, skein_mm: float, units: str) -> Exception:
    """The error for a length that fits nowhere: which one, and what to do."""
    from benchmate.craft.wording.cut_list_lines import lengths_lines
    from benchmate.craft.wording.length_words import length_words
    from benchmate.files.tree import BadFile

    length = cuts.lengths[index]
    what = lengths_lines([length], cuts, found.design, units)[0]
    mm = f"{length.cut_mm:g}"
    return BadFile(
        found.file.given,
        message=f"{found.design.say(length.colour)}, {what} (piece {index}), fits no skein of "
        f"{length_words(skein_mm, units)}, and there are not offcuts enough that hold it; "
        f"say how long your skeins are (--skein {mm} or more), name an offcut that holds it "
        f"(--offcut {length.colour}:{mm}), or make the band shorter (--repeats)",
    )


def _document(best: "Cutting", money: "Costs", priced: bool) -> str:
    from benchmate.commands.shared.json_text import json_text
    from benchmate.craft.thread.in_documents import mm_in_document

    document: dict[str, object] = {
        "sources": [
            {
                "from": each.source.kind,
                "colour": each.colour,
                "length_mm": mm_in_document(each.source.length_mm),
                "pieces": list(each.lengths),
                "left_mm": mm_in_document(each.left_mm),
                **({} if each.source.thread is None else {"thread": each.source.thread}),
            }
            for each in best.sources
        ],
        "skeins": best.skeins,
        "least": best.least,
        "to_buy": best.bought,
        "least_ends": best.best_ends,
    }
    if priced:
        document["cost_to_buy"] = float(money.to_buy)
        document["worth"] = float(money.worth)
        document["unpriced"] = list(money.unpriced)
    return json_text(document)


def _lines(
    found: "ThreadedDesign",
    cuts: "CutList",
    best: "Cutting",
    money: "Costs",
    names: dict[int, str],
    units: str,
    scrap_mm: float,
) -> list[str]:
    from benchmate.craft.wording.cut_list_lines import how_sure, in_all
    from benchmate.craft.wording.cutting_lines import cost_lines, cutting_lines, opening_lines

    return [
        f"{found.design.title}: what to cut from what",
        *cutting_lines(best, cuts, found.design, names, units, scrap_mm),
        "",
        in_all(cuts, found.design, units),
        *opening_lines(best, units, scrap_mm),
        *cost_lines(money, found.design),
        *how_sure(cuts, found.estimate),
    ]
