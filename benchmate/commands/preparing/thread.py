"""`thread`: how much of each thread to cut."""

import argparse
import re
from collections.abc import Iterator
from typing import TYPE_CHECKING

from benchmate.commands.shared.options import design_argument, json_option, repeats_option, thread_option
from benchmate.exit_status import DONE

if TYPE_CHECKING:
    from benchmate.commands.shared.thread.threaded_design import ThreadedDesign
    from benchmate.craft.thread.cut_list import CutList, StringCut

NAME = "thread"
SUMMARY = "say how much of each thread to cut"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Adds the design, its repeats, the thread, and the string to explain."""
    design_argument(parser)
    repeats_option(parser)
    thread_option(parser)
    parser.add_argument(
        "--explain",
        metavar="S",
        help="show the sum for one string: its number, L3 for leading string 3 of a picture, the slot of a strand",
    )
    json_option(parser)


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Prints what to cut, or the sum for one string."""
    from benchmate.commands.shared.thread.threaded_design import threaded_design
    from benchmate.commands.shared.written_in_pieces import write_parts

    if options.json and options.explain is not None:
        parser.error("--explain prints lines for people; leave out --json")
    found = threaded_design(parser, options)
    cuts = found.cut_list()
    if options.json:
        write_parts(_document(found, cuts))
    elif options.explain is not None:
        write_parts(f"{line}\n" for line in _explained(parser, options.explain, found, cuts))
    else:
        write_parts(f"{line}\n" for line in _lines(found, cuts))
    return DONE


def _document(found: "ThreadedDesign", cuts: "CutList") -> list[str]:
    from benchmate.commands.shared.json_text import json_text
    from benchmate.craft.thread.in_documents import gauge_document, mm_in_document

    mm = mm_in_document
    # Strands are numbered by their slots inside; the document counts them.
    number = {each.string: at for at, each in enumerate(cuts.strings, 1)}

    def string(each: "StringCut") -> dict[str, object]:
        lengths = {"needs_mm": mm(each.needs_mm), "spare_mm": mm(each.spare_mm), "cut_mm": mm(each.cut_mm)}
        if each.slot is not None:
            does: dict[str, object] = {"slot": each.slot, "colour": each.colour, "moves": each.moves}
        else:
            does = {"colour": each.colour, **each.counts._asdict()}
        return {"string": number[each.string], **does, **lengths}

    document: dict[str, object] = {
        "title": found.design.title,
        "family": found.design.family.name,
        "gauge": gauge_document(cuts.gauge),
        "strings": [string(each) for each in cuts.strings],
    }
    if cuts.leading:
        document["leading"] = [
            {name: mm(value) if name.endswith("_mm") else value for name, value in each._asdict().items()}
            for each in cuts.leading
        ]
    document["pieces"] = [
        {"colour": each.colour, "strings": [number[end] for end in each.strings], "cut_mm": mm(each.cut_mm)}
        for each in cuts.pieces
    ]
    document["colours"] = [{"colour": name, "cut_mm": mm(cut)} for name, cut in cuts.colours.items()]
    document["band_mm"] = mm(cuts.band_mm)
    if cuts.estimated:
        document["estimated"] = True
    return [json_text(document)]


def _lines(found: "ThreadedDesign", cuts: "CutList") -> Iterator[str]:
    from benchmate.commands.shared.thread.lengths_said import units
    from benchmate.craft.wording.cut_list_lines import cut_list_lines, how_sure, total_lines

    shown_in = units()
    yield f"{found.design.title}: what to cut"
    yield ""
    yield from cut_list_lines(cuts, found.design, shown_in)
    yield ""
    yield from total_lines(cuts, found.design, shown_in)
    yield from _unknown(found)
    yield from how_sure(cuts, found.estimate)


def _unknown(found: "ThreadedDesign") -> Iterator[str]:
    """What to say where the thread of the design is not known."""
    from benchmate.files.safe_text import quoted

    if found.design.thread != found.estimate.gauge.name:
        yield f"The thread {quoted(found.design.thread)} has no gauge of its own yet."


def _explained(parser: argparse.ArgumentParser, which: str, found: "ThreadedDesign", cuts: "CutList") -> Iterator[str]:
    from benchmate.commands.shared.thread.lengths_said import units
    from benchmate.craft.wording.cut_list_lines import numbered
    from benchmate.craft.wording.length_words import length_words
    from benchmate.craft.wording.thread_sum import terms_of_leading, terms_of_string
    from benchmate.files.safe_text import shown

    design, shown_in = found.design, units()
    asked = re.fullmatch(r"([Ll]?)([0-9]{1,9})", which)
    number = int(asked[2]) if asked else 0
    string = next((each for each in cuts.strings if asked and not asked[1] and each.string == number), None)
    leading = next((each for each in cuts.leading if asked and asked[1] and each.leading == number), None)
    if string is not None:
        called, colour, cut = f"{design.family.string_word} {number}", string.colour, string.cut_mm
        terms = terms_of_string(string, cuts, found.estimate, found.start, found.finish)
    elif leading is not None:
        called, colour, cut = f"leading string {number}", leading.colour, leading.cut_mm
        terms = terms_of_leading(leading, found.estimate)
    else:
        known = numbered(design.family.string_word, [each.string for each in cuts.strings])
        more = f", leading strings L1 to L{len(cuts.leading)}" if cuts.leading else ""
        parser.error(f"--explain: there is no string {shown(which)[:40]!r} (there are {known}{more})")
    rows = [(term.what, term.sum, f"{term.mm:.1f} mm", term.source) for term in terms]
    wide = [max(len(row[at]) for row in rows) for at in range(3)]
    yield f"{design.title}, {called}, {design.say(colour)}: cut {length_words(cut, shown_in)}"
    yield from _folded_with(number, found, cuts, shown_in) if string is not None else ()
    yield ""
    for what, how, mm, source in rows:
        yield f"  {what:<{wide[0]}}  {how:<{wide[1]}}  {mm:>{wide[2]}}  {source}".rstrip()


def _folded_with(string: int, found: "ThreadedDesign", cuts: "CutList", units: str) -> Iterator[str]:
    """With which other string it is one length, if with any."""
    from benchmate.craft.wording.length_words import length_words

    for piece in cuts.pieces:
        if string in piece.strings and len(piece.strings) > 1:
            (other,) = (each for each in piece.strings if each != string)
            whole = length_words(piece.cut_mm, units)
            yield f"One length of {whole} with {found.design.family.string_word} {other}, folded."
