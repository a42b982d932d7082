"""`gauge`: what knots take of each kind of thread, and correcting that by what was measured."""

import argparse
import re
import sys
from typing import TYPE_CHECKING

from benchmate.commands.shared.options import json_option, mm_from_0
from benchmate.exit_status import DONE

if TYPE_CHECKING:
    from collections.abc import Sequence

    from benchmate.craft.thread.estimate import Estimate
    from benchmate.craft.thread.observations import Measured, Seen, Used
    from benchmate.store.thread.gauges import OwnThread

NAME = "gauge"
SUMMARY = "list what knots take of each kind of thread, and correct it"

_COUNT = "[0-9]{1,9}"
_MEASURED = {"rows": "rows", "alpha-rows": "alpha rows", "base": "base", "wide": "wide"}
"""What can be measured, as it is typed and as it is kept."""

_EPILOG = (
    "Each --used is one string of a diagonal band: the knots it made, the knots it was carried in and changed places, "
    "those it was carried in and stayed, the rows it waited, and the thread that took in mm, without start, finish and "
    "ends. What one call records counts as one piece, made on one day. See: benchmate help gauge."
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Adds NAME, what was measured, what the thread is, and --json."""
    parser.add_argument("gauge", metavar="NAME", nargs="?", type=_name, help="the thread (default: list them all)")
    parser.add_argument(
        "--used",
        metavar="A,C,S,W:MM",
        type=_used,
        action="append",
        default=[],
        help="a string made A knots, was carried C times, stayed S times and waited W rows, and used MM of thread",
    )
    parser.add_argument(
        "--measured",
        metavar="WHAT:N:MM",
        type=_measured,
        action="append",
        default=[],
        help="N rows, alpha-rows, rows of a base string (base) or knots side by side (wide) came out MM long",
    )
    thickness = parser.add_mutually_exclusive_group()
    thickness.add_argument(
        "--tex", metavar="T", type=_tex, help="the thread weighs T grams a kilometre (your own thread)"
    )
    thickness.add_argument(
        "--wraps", metavar="N:MM", type=_wraps, help="N turns side by side on a ruler took MM (your own thread)"
    )
    parser.add_argument(
        "--slippery", action=argparse.BooleanOptionalAction, help="knots slip in it, or do not (your own thread)"
    )
    json_option(parser)
    parser.epilog = _EPILOG


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Records what was measured, if anything, and prints the gauges."""
    from benchmate.commands.shared.thread.damage_said import say_damage
    from benchmate.store import places
    from benchmate.store.thread import gauges

    home = places.home()
    say_damage()
    name, seen = options.gauge, [*options.used, *options.measured]
    says = options.tex is not None or options.wraps is not None or options.slippery is not None
    if name is None:
        if seen or says:
            parser.error("name the thread first, such as: benchmate gauge floss --used 40,60,0,20:700")
        found = [_estimate(each) for each in gauges.names(home)]
        sys.stdout.write(_document(found) if options.json else _table(found))
        return DONE
    own = _own_thread(parser, options) if says else None
    if seen or says:
        _refuse_impossible(parser, gauges.estimate_with(home, name, own=own), seen)
        before = gauges.estimate_with(home, name, own=own)
        _record(name, seen, own)
        if not options.json:
            _ask_about(before, options.used)
    estimate = _estimate(name)
    sys.stdout.write(_document(estimate) if options.json else _page(estimate, gauges.damaged_in(home)))
    return DONE


def _estimate(name: str) -> "Estimate":
    """What is known of a thread; one that is not known yet begins with the values of floss."""
    from benchmate.store import places
    from benchmate.store.thread import gauges

    return gauges.estimate_with(places.home(), name)


def _own_thread(parser: argparse.ArgumentParser, options: argparse.Namespace) -> "OwnThread":
    """What is known of the maker's own thread after this call."""
    from benchmate.craft.thread.kinds import KINDS
    from benchmate.files.safe_text import quoted
    from benchmate.store import places
    from benchmate.store.thread.gauges import OwnThread, own_thread

    if options.gauge in KINDS:
        parser.error(f"{quoted(options.gauge)} comes with benchmate; give your own thread another name")
    thickness, slippery = own_thread(places.home(), options.gauge) or OwnThread()
    if options.tex is not None or options.wraps is not None:
        thickness = options.wraps if options.tex is None else options.tex
    return OwnThread(thickness, slippery if options.slippery is None else options.slippery)


def _refuse_impossible(parser: argparse.ArgumentParser, before: "Estimate", seen: "Sequence[Seen]") -> None:
    """Exits with status 2 when something measured cannot be by the gauge before this call."""
    from benchmate.craft.thread.plausible import cannot_be

    for each in seen:
        why = cannot_be(before, each)
        if why is not None:
            parser.error(f"{_typed(each)} cannot be: {why}. Nothing was recorded")


def _ask_about(before: "Estimate", used: "Sequence[Used]") -> None:
    """Says on standard error which strings used far more or less than was expected; they are kept anyway."""

    from benchmate.commands.shared.thread.lengths_said import units
    from benchmate.craft.thread.plausible import STRING, question_beside
    from benchmate.craft.wording.length_words import fine_words

    shown_in = units()
    for each in used:
        expected = before.needs_mm(each.counts)
        question = question_beside(
            "What such a string uses", each.mm, expected, STRING, lambda mm: fine_words(mm, shown_in)
        )
        if question is not None:
            print(f"{question} If that is a slip, take it back: benchmate, tab, h, your measurements.", file=sys.stderr)


def _typed(seen: "Seen") -> str:
    from benchmate.craft.thread.observations import Used

    if isinstance(seen, Used):
        return f"--used {','.join(map(str, seen.counts))}:{seen.mm:g}"
    return f"--measured {seen.what.replace(' ', '-')}:{seen.units}:{seen.mm:g}"


def _record(name: str, seen: "Sequence[Seen]", own: "OwnThread | None") -> None:
    from contextlib import closing

    from benchmate.files.safe_text import shown
    from benchmate.store import places
    from benchmate.store.database import Database
    from benchmate.store.errors import Damaged, StoreError
    from benchmate.store.safekeeping.keeping import make_copy
    from benchmate.store.thread import gauges

    home = places.home()
    with closing(Database(home)) as database:
        gauges.record(database, name, seen, own=own)
    try:
        make_copy(home)
    except Damaged:
        # That was said before.
        pass
    except StoreError as error:
        print(f"benchmate: {shown(str(error))}", file=sys.stderr)


def _name(text: str) -> str:
    """Reads the name of a thread: one line of text, safe to print."""
    from benchmate.files.safe_text import LONGEST_NAME, is_gauge_name

    if not is_gauge_name(text):
        raise argparse.ArgumentTypeError(
            f"must be one line of 1 to {LONGEST_NAME} characters, with no space at its ends (found {_found(text)})"
        )
    return text


def _used(text: str) -> "Used":
    """Reads A,C,S,W:MM."""
    from benchmate.craft.thread.counts import Counts
    from benchmate.craft.thread.observations import Used

    match = re.fullmatch(rf"({_COUNT}),({_COUNT}),({_COUNT}),({_COUNT}):(.*)", text)
    mm = _number(match[5]) if match else None
    if match is None or mm is None:
        raise argparse.ArgumentTypeError(
            "must be four counts and a length in mm: knots made, carried, stayed and rows waited, such as "
            f"40,60,0,20:700 (found {_found(text)})"
        )
    return Used(Counts(*map(int, match.groups()[:4])), mm)


def _measured(text: str) -> "Measured":
    """Reads WHAT:N:MM."""
    from benchmate.craft.thread.observations import Measured

    match = re.fullmatch(rf"({'|'.join(_MEASURED)}):({_COUNT}):(.*)", text)
    mm = _number(match[3]) if match else None
    if match is None or mm is None:
        raise argparse.ArgumentTypeError(
            f"must be one of {', '.join(_MEASURED)} with how many and their length in mm, such as rows:40:52 "
            f"(found {_found(text)})"
        )
    return Measured(_MEASURED[match[1]], int(match[2]), mm)


def _tex(text: str) -> float:
    """Reads a linear density in tex as a thickness in mm."""
    from benchmate.craft.thread.kinds import thickness_of_tex

    tex = _number(text)
    if tex is None:
        raise argparse.ArgumentTypeError(f"must be a number of grams a kilometre, such as 220 (found {_found(text)})")
    return _thickness(thickness_of_tex(tex), text)


def _wraps(text: str) -> float:
    """Reads N:MM, turns side by side and how wide they are, as a thickness in mm."""
    match = re.fullmatch(rf"({_COUNT}):(.*)", text)
    mm = _number(match[2]) if match else None
    if match is None or mm is None or int(match[1]) == 0:
        raise argparse.ArgumentTypeError(
            f"must be the turns and how wide they are in mm, such as 20:16 (found {_found(text)})"
        )
    return _thickness(mm / int(match[1]), text)


def _thickness(mm: float, text: str) -> float:
    from benchmate.craft.thread.kinds import THICKEST, THINNEST

    if not THINNEST <= mm <= THICKEST:
        raise argparse.ArgumentTypeError(
            f"makes a thread {mm:.3g} mm thick; it must be {THINNEST:g} to {THICKEST:g} mm (found {_found(text)})"
        )
    return mm


def _number(text: str) -> float | None:
    """A decimal number from 0; None for anything else."""
    try:
        return float(mm_from_0(text))
    except argparse.ArgumentTypeError:
        return None


def _found(text: str) -> str:
    from benchmate.files.safe_text import shown

    return repr(shown(text)[:40])


def _document(found: "Estimate | list[Estimate]") -> str:
    """One gauge, or a list of them, in JSON."""
    from benchmate.commands.shared.json_text import json_text
    from benchmate.craft.thread.in_documents import gauge_document

    if isinstance(found, list):
        return json_text([gauge_document(each.gauge) for each in found])
    return json_text(gauge_document(found.gauge))


def _page(estimate: "Estimate", damaged: "Sequence[str]") -> str:
    """One gauge for a person: every number with the range it lies in, and what to beware of."""
    from benchmate.commands.shared.thread.lengths_said import units
    from benchmate.craft.wording.gauge_words import gauge_lines

    lines = gauge_lines(estimate, units())
    if estimate.gauge.name in damaged:
        lines.append("Some of what you recorded is damaged and left out. See: benchmate help data")
    return "".join(f"{line}\n" for line in lines)


def _table(found: "Sequence[Estimate]") -> str:
    """All gauges for a person, one a line."""
    from benchmate.commands.shared.thread.lengths_said import units
    from benchmate.craft.wording.gauge_words import gauge_table

    lines = gauge_table(found, units())
    return "".join(f"{line}\n" for line in lines)
