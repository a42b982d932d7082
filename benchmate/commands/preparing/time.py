"""`time`: say how long a design will take you, in sittings."""

import argparse
from typing import TYPE_CHECKING

from benchmate.commands.shared.options import design_argument, json_option, number, repeats_option
from benchmate.exit_status import DONE

if TYPE_CHECKING:
    from datetime import date

    from benchmate.craft.design import Design
    from benchmate.makers_pace import TimeNeeded

NAME = "time"
SUMMARY = "say how long a design will take you, in sittings"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Adds the design, the length of a sitting, and the day it is to be ready before."""
    design_argument(parser)
    repeats_option(parser)
    parser.add_argument(
        "--minutes",
        metavar="M",
        type=number,
        help="sit for M minutes at a time, 5 to 600 (default: as in the settings)",
    )
    parser.add_argument(
        "--ready", metavar="DATE", type=_day, help="have it ready before DATE, such as 2026-12-24: how long each day?"
    )
    json_option(parser)


def _day(text: str) -> "date":
    """Reads a day as ISO 8601 writes it; the type of an argument."""
    # Imported here: every start with all commands, such as for --help, would load it.
    from datetime import date

    try:
        found = date.fromisoformat(text)
    except ValueError:
        found = None
    if found is None or text != found.isoformat():
        from benchmate.files.safe_text import shown

        raise argparse.ArgumentTypeError(f"must be a day such as 2026-12-24 (found {shown(text)[:40]!r})")
    return found


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Prints the time, the sittings, and what each day until then has to take."""
    from datetime import date

    from benchmate.design_files.load import load
    from benchmate.files.tree import BadFile
    from benchmate.makers_pace import PaceUnknown, time_needed
    from benchmate.piece_opening import OutOfRange, checked_repeats
    from benchmate.settings import SITTINGS, read_settings
    from benchmate.store import places

    today = date.today()
    if options.ready is not None and options.ready <= today:
        parser.error(f"--ready: must be a day after today, {today.isoformat()}")
    if options.minutes is not None and not SITTINGS[0] <= options.minutes <= SITTINGS[1]:
        parser.error(f"--minutes must be from {SITTINGS[0]} to {SITTINGS[1]} (found {options.minutes})")
    file = load(options.design)
    try:
        repeats = checked_repeats(file, options.repeats)
    except OutOfRange as error:
        parser.error(f"--repeats: {error}")
    ends = [linked.design for linked in (file.start, file.finish) if linked is not None]
    try:
        needed = time_needed(places.home(), file.design, repeats, ends)
    except PaceUnknown as error:
        raise BadFile(options.design, message=str(error)) from error
    minutes = options.minutes or read_settings(places.settings_file()).sitting
    if options.json:
        from benchmate.commands.shared.json_text import json_text

        print(json_text(_document(file.design, repeats, needed, minutes, options.ready, today)), end="")
    else:
        print("\n".join(_lines(file.design, needed, minutes, options.ready, today)))
    return DONE


def _document(
    design: "Design", repeats: int, needed: "TimeNeeded", minutes: int, ready: "date | None", today: "date"
) -> dict[str, object]:
    from benchmate.craft.history.sittings import minutes_a_day, sittings

    sits = sittings(needed.duration, minutes)
    document: dict[str, object] = {
        "title": design.title,
        "family": design.family.name,
        "repeats": repeats,
        "steps": needed.steps,
        "own_pace": needed.own,
        "start_and_finish": needed.with_ends,
        "minutes": round(needed.duration.minutes, 1),
        "quick_minutes": round(needed.duration.quick, 1),
        "slow_minutes": round(needed.duration.slow, 1),
        "sitting_minutes": minutes,
        "breaks": sits.breaks,
        "sittings": sits.fewest,
        "most_sittings": sits.most,
    }
    if ready is not None:
        days = (ready - today).days
        document |= {
            "ready": ready.isoformat(),
            "days": days,
            "minutes_a_day": minutes_a_day(needed.duration.slow, days),
        }
    return document


def _lines(design: "Design", needed: "TimeNeeded", minutes: int, ready: "date | None", today: "date") -> list[str]:
    from benchmate.craft.history.sittings import BREAK, LONGEST_DAY, breaks_in, minutes_a_day, sittings
    from benchmate.craft.wording.counting import counted

    lines = [f"{design.title}: {needed.words}", f"{sittings(needed.duration, minutes).words}."]
    if ready is not None:
        days = (ready - today).days
        # With the slower pace, so that it is ready.
        each = minutes_a_day(needed.duration.slow, days)
        until = f"Ready before {ready.isoformat()}, {counted(days, 'day')} from today"
        if each is None:
            lines.append(f"{until}: not possible, even at {LONGEST_DAY // 60} hours a day.")
        else:
            pauses = breaks_in(each)
            within = f", with {counted(pauses, 'break')} of {BREAK} minutes" if pauses else ""
            lines.append(f"{until}: {counted(each, 'minute')} a day{within}.")
    return [*lines, *needed.notes]
