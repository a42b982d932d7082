"""The changes of the box that its command can make, read from the command line."""

import argparse
import sys
from collections.abc import Callable, Mapping, Sequence
from typing import Any, TypeVar

from benchmate.commands.shared.thread.box_text import numbers_words
from benchmate.commands.shared.thread.lengths_said import say_unusual, units
from benchmate.craft.thread.box_thread import MOST_THREADS, BoxThread
from benchmate.craft.thread.usual import USUAL_SKEIN
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.length_words import mm_of
from benchmate.files.safe_text import nearest, quoted
from benchmate.store import places
from benchmate.store.thread import box_file
from benchmate.store.thread.box import Box, CannotUndo
from benchmate.store.thread.gauges import names
from benchmate.store.thread.typed_thread import Unfit, checked_mm, colour_of, kind_of, name_of, price_of

T = TypeVar("T")

Change = Callable[[Box], Sequence[str]]
"""Changes a box, and says what was done."""


def _added(parser: argparse.ArgumentParser, options: argparse.Namespace) -> Change:
    if options.offcut and options.length is None:
        parser.error("--offcut: say how long it is with --length")
    if options.skeins > MOST_THREADS:
        parser.error(f"--skeins: a box has at most {MOST_THREADS} threads")
    thread = BoxThread(
        0,
        typed(parser, "NAME", name_of, options.name),
        typed(parser, "--colour", colour_of, options.colour),
        typed(parser, "--kind", kind_of, options.kind or ""),
        USUAL_SKEIN if options.length is None else _length(parser, options.length),
        not options.offcut,
        typed(parser, "--price", price_of, options.price or ""),
    )
    _say_unknown(thread.kind)
    ask = _asking_about_length(options)

    def change(box: Box) -> list[str]:
        added = box.add([thread] * options.skeins)
        ask(thread)
        return [f"Added: {thread.name}, {numbers_words(added)}."]

    return change


def _changed(parser: argparse.ArgumentParser, options: argparse.Namespace) -> Change:
    changes: dict[str, Any] = {}
    for field, text, read in (
        ("name", options.name, name_of),
        ("colour", options.colour, colour_of),
        ("kind", options.kind, kind_of),
        ("price", options.price, price_of),
    ):
        if text is not None:
            changes[field] = typed(parser, f"--{field}", read, text)
    if options.length is not None:
        changes["mm"] = _length(parser, options.length)
    if options.offcut or options.skein:
        changes["whole"] = options.skein
    if not changes:
        parser.error("say what to change, such as --length 6m")
    if options.kind is not None:
        _say_unknown(changes["kind"])
    ask = _asking_about_length(options)

    def change(box: Box) -> list[str]:
        thread = box.thread(options.number)._replace(**changes)
        box.change(thread)
        ask(thread)
        return [f"Corrected: {thread.name}, number {thread.number}."]

    return change


def _taken(parser: argparse.ArgumentParser, options: argparse.Namespace) -> Change:
    def change(box: Box) -> list[str]:
        threads = [box.thread(each) for each in dict.fromkeys(options.numbers)]
        box.take_out(*options.numbers)
        return [f"Taken out: {thread.name}, number {thread.number}." for thread in threads]

    return change


def _undone(parser: argparse.ArgumentParser, options: argparse.Namespace) -> Change:
    def change(box: Box) -> list[str]:
        last = box.last_booking()
        if last is None:
            raise CannotUndo("There is no change of the box to undo.")
        booking, why = last
        box.undo(booking)
        return [f"Undone: {why}."]

    return change


def _imported(parser: argparse.ArgumentParser, options: argparse.Namespace) -> Change:
    threads = box_file.read(options.source)

    def change(box: Box) -> list[str]:
        said = f"imported {counted(len(threads), 'thread')}" + (" in place of the others" if options.replace else "")
        put_in = box.replace if options.replace else box.add
        put_in(threads, said)
        return [f"{said[0].upper()}{said[1:]}. To undo this: benchmate box undo"]

    return change


def typed(parser: argparse.ArgumentParser, what: str, read: Callable[[str], T], text: str) -> T:
    """A text of the command line, read. Exits with status 2 where that cannot be."""
    try:
        return read(text)
    except Unfit as unfit:
        parser.error(f"{what}: {unfit}")


def _length(parser: argparse.ArgumentParser, text: str) -> float:
    """A length in mm, or with its unit. Exits with status 2 for anything else."""
    return typed(parser, "--length", lambda given: checked_mm(mm_of(given, "mm") or 0.0, given), text)


def _asking_about_length(options: argparse.Namespace) -> Callable[[BoxThread], None]:
    """Asks about a length that was typed and is far from usual. Raises BadFile for settings that cannot be read."""
    if options.length is None:
        return lambda thread: None
    shown_in = units()
    return lambda thread: say_unusual([(thread.sort, thread.mm)], shown_in)


def _say_unknown(kind: str) -> None:
    """Says where nobody knows a kind of thread: it may well be typed wrongly."""
    known = names(places.home())
    if kind not in known:
        guess, near = nearest(kind, known)
        says = f"did you mean {quoted(guess or '')}?" if near else "using floss"
        print(f"{quoted(kind)} has no gauge; {says}", file=sys.stderr)


CHANGES: Mapping[str, Callable[[argparse.ArgumentParser, argparse.Namespace], Change]] = {
    "add": _added,
    "change": _changed,
    "take": _taken,
    "undo": _undone,
    "import": _imported,
}
"""What reads each change, by the word of the command. Each exits with status 2 for what cannot be."""
