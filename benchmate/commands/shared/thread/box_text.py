"""The box of threads in lines and documents, and which of its threads stand for the colours of a design."""

from collections.abc import Sequence
from typing import Any

from benchmate.commands.shared.json_text import json_text
from benchmate.commands.shared.thread.damage_said import say_damage
from benchmate.craft.thread.box_thread import EMPTY_BOX, BoxThread, skeins_and_offcuts
from benchmate.craft.thread.in_documents import mm_in_document
from benchmate.craft.thread.matching import ChosenThread, Match
from benchmate.craft.wording.counting import listed
from benchmate.craft.wording.length_words import length_words
from benchmate.files.safe_text import shown
from benchmate.store import places
from benchmate.store.thread.box import threads_in

EMPTY = f"{EMPTY_BOX} Put your threads in with benchmate box add, or benchmate box import."
NEAREST = 5
"""How many different threads `match` lists."""


def threads_in_box() -> list[BoxThread]:
    """What is in the box. A part of it that is damaged is left out, and standard error says so."""
    say_damage()
    return threads_in(places.home())


def document(threads: Sequence[BoxThread]) -> str:
    """The JSON document of the box."""
    return json_text([_thread(thread) for thread in threads])


def _thread(thread: BoxThread) -> dict[str, Any]:
    return {
        "number": thread.number,
        "name": thread.name,
        "colour": thread.colour,
        "kind": thread.kind,
        "length_mm": mm_in_document(thread.mm),
        "whole": thread.whole,
        "price": None if thread.price is None else float(thread.price),
    }


def lines(threads: Sequence[BoxThread], units: str) -> str:
    """The box for a person: a thread on each line, and what there is in all."""
    if not threads:
        return f"{EMPTY_BOX}\n"
    table = [
        (
            str(thread.number),
            thread.sort,
            length_words(thread.mm, units),
            thread.colour,
            thread.kind,
            "" if thread.price is None else str(thread.price),
        )
        for thread in threads
    ]
    widths = [max(map(len, column)) for column in zip(*table, strict=True)]
    found = []
    for thread, (place, sort, length, colour, kind, price) in zip(threads, table, strict=True):
        cells = [place.rjust(widths[0]), sort.ljust(widths[1]), length.rjust(widths[2]), colour, kind.ljust(widths[4])]
        cells += [price.rjust(widths[5])] if widths[5] else []
        # The name comes last, as nobody knows how wide it is.
        found.append(shown("  ".join([*cells, thread.name])))
    found.append(f"{skeins_and_offcuts(threads)}, {length_words(sum(thread.mm for thread in threads), units)} in all")
    return "".join(f"{line}\n" for line in found)


def numbers_words(numbers: Sequence[int]) -> str:
    """`number 4`, `numbers 4 and 5`, `numbers 4 to 9`; the numbers are in a row."""
    if len(numbers) == 1:
        return f"number {numbers[0]}"
    return f"numbers {numbers[0]} {'and' if len(numbers) == 2 else 'to'} {numbers[-1]}"


def matches_document(found: Sequence[Match]) -> str:
    """The JSON document of the threads nearest to a colour: all of them, nearest first."""
    return json_text([{**_thread(thread), **_off(off, words)} for thread, off, words in found])


def _off(off: float, words: str) -> dict[str, Any]:
    return {"difference": round(off, 2), "words": words}


def match_lines(found: Sequence[Match], units: str) -> str:
    """The threads nearest to a colour for a person; equal ones together."""
    alike: dict[tuple[str, str, str], list[Match]] = {}
    for match in found:
        thread = match.thread
        alike.setdefault((thread.name, thread.colour, thread.kind), []).append(match)
    written = []
    for (name, colour, kind), group in list(alike.items())[:NEAREST]:
        numbers = ", ".join(str(match.thread.number) for match in group)
        length = length_words(sum(match.thread.mm for match in group), units)
        written.append(shown(f"{name} ({numbers}): {group[0].words}; {colour}, {kind}, {length}") + "\n")
    return "".join(written)


def chosen_document(chosen: Sequence[ChosenThread]) -> str:
    """The JSON document of the threads for a design."""
    return json_text(
        [
            {
                "colour": each.colour.name,
                "css": each.colour.value,
                **(
                    {"thread": None, "difference": None, "words": None}
                    if each.match is None
                    else {"thread": _thread(each.match.thread), **_off(each.match.difference, each.match.words)}
                ),
            }
            for each in chosen
        ]
    )


def chosen_lines(chosen: Sequence[ChosenThread], kind: str) -> list[str]:
    """The thread for each colour of a design in a kind of thread, and which colours would be one thread."""
    found = []
    shared: dict[int, list[str]] = {}
    for colour, match in chosen:
        if match is None:
            found.append(f"{colour.say}: a variegated thread, which is not looked for in the box")
            continue
        shared.setdefault(match.thread.number, []).append(colour.say)
        other = "" if match.thread.kind == kind else f", {match.thread.kind}"
        found.append(f"{colour.say}: {match.thread.name} (thread {match.thread.number}{other}), {match.words}")
    for says in shared.values():
        if len(says) > 1:
            found.append(f"{listed(says)} would be the same thread")
    return [shown(line) for line in found]
