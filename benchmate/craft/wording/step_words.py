"""Steps in words, the same on a printed line, on the screen and aloud."""

from collections.abc import Mapping, Sequence
from itertools import chain
from typing import TypeVar

from benchmate.craft.knots import NAMES, Knot
from benchmate.craft.progress import CurrentRun
from benchmate.craft.start_band_finish import Part, WholePiece
from benchmate.craft.work import Step

_SIGNS = "0123456789abcdefghijklmnopqrstuvwxyz"
_MORE_SIGNS = "".join(filter(str.isalpha, map(chr, range(0x250))))
"""All Latin letters: more pairs of them than a file has room for colours."""


def name_of(part: Part, step: Step) -> str:
    """The step in its fewest words: the knot's name, the slots of a move, or the instruction."""
    return part.design.family.words.name(step)


def spoken(part: Part, step: Step) -> str:
    """The whole step in one line to read aloud."""
    return part.design.family.words.spoken(part.design, step)


def take_out(part: Part, step: Step) -> str:
    """The step to take out, in one line to read aloud: the knot, and where its strings go back to."""
    return part.design.family.words.take_out(part.design, step)


def crossed(part: Part, step: Step) -> str:
    """Which string goes over which, or which strand moves; empty where that is unknown."""
    return part.design.family.words.crossed(part.design, step)


def prompt(whole: WholePiece, number: int, *, comes_out: bool) -> str:
    """The instruction for a step of a piece, to tie it or take it out, in one line to read aloud."""
    if comes_out:
        return take_out(whole.part_of(number), whole.step(number))
    first = pick_up(whole, number)
    part, step = whole.part_of(number), whole.step(number)
    words = with_instead(spoken(part, step), name_of(part, step), instead(whole, number))
    return f"{first}; then {words}" if first else words


def instead(whole: WholePiece, number: int, names: Mapping[Knot, str] = NAMES["chart"]) -> str:
    """What the chart has where a step is made otherwise: `instead of forward`; empty for any other step."""
    if number not in whole.instead_of:
        return ""
    charted = whole.instead_of[number]
    return "instead of no knot" if charted is None else f"instead of {names[charted]}"


def with_instead(words: str, name: str, instead: str) -> str:
    """The words of a step with what the chart has instead right after the knot's name, before the hands begin.

    After the first words where the name is not among them.
    """
    if not instead:
        return words
    parts = words.split(", ")
    at = next((at for at, part in enumerate(parts) if name and f"{part} ".startswith(f"{name} ")), 0)
    after = parts[at].removeprefix(f"{name} ") if name and parts[at] != name else ""
    here = [name, instead, after] if after and after != parts[at] else [parts[at], instead]
    return ", ".join([*parts[:at], *here, *parts[at + 1 :]])


def pick_up(whole: WholePiece, number: int, *, tails: bool = True) -> str:
    """How to get the step's string in hand, with the length of the `tails` or without; empty when it is in hand."""
    part = whole.part_of(number)
    return part.design.family.words.pick_up(part.design, part.work, number - part.first, tails=tails)


def pick_up_in_brief(whole: WholePiece, number: int) -> str:
    """How to get the step's string in hand, for a narrow line; empty when it is in hand."""
    part = whole.part_of(number)
    return part.design.family.words.pick_up_in_brief(part.design, part.work, number - part.first)


def before_first(whole: WholePiece) -> str:
    """What to know before the first step of the band, in a sentence or two; empty where that is nothing."""
    return whole.main.design.family.words.before_first(whole.main.work) if whole.main.work.size else ""


def place(whole: WholePiece, number: int) -> tuple[str, str, int, int]:
    """The place of a step in its part of the piece: `("", "row", 3, 30)`, `("start", "step", 2, 4)`.

    These are the part's name (only in a piece of several parts, and where steps are counted one by one), the unit, the
    number and the total.
    """
    part = whole.part_of(number)
    rows = part.design.family.row_word
    if rows:
        return "", rows, whole.step(number).row, part.work.rows
    return part.called if len(whole.parts) > 1 else "", "step", number - part.first + 1, part.work.size


def numbered(whole: WholePiece, number: int, place: int) -> str:
    """The number of a step: `knot 37`; in a piece with a start `band knot 37, step 44`.

    Knots of the band are numbered as `order` and `untie` number them, steps as the whole piece counts them: `place` is
    the step's place in working order, from 1. Parts are worked one after the other, so each is counted from its first.
    """
    part = whole.part_of(number)
    unit, within = part.design.family.step_word, place - part.first
    if len(whole.parts) == 1 or (part is whole.main and not part.first):
        return f"{unit} {within}"
    return f"{part.called} {unit} {within}" + (f", step {place}" if part.first else "")


def in_hand(whole: WholePiece, run: CurrentRun) -> str:
    """The string in hand, and which of its run of knots this is: `deep: 3 of 7`."""
    return f"{whole.main.design.say_of(run.string)}: {run.at} of {run.of}"


def next_pick_up(whole: WholePiece, run: CurrentRun, hanging: Sequence[int]) -> str:
    """What to pick up next, with its position then: `pick up 5 foam`; and its position now, if that differs.

    `hanging` are the strings as they hang now. Empty when there is no string to pick up next.
    """
    if run.following is None:
        return ""
    part = whole.part_of(run.following)
    words, number = part.design.family.words, run.following - part.first
    return words.next_pick_up(part.design, part.work, number, run, hanging)


def line(whole: WholePiece, n: int, number: int, *, comes_out: bool = False) -> str:
    """The step line of plain mode: `n/of ` and the instruction; `n` is the step's place in working order, from 1.

    After a start, a step of the band ends with its number there: `, band knot 37`.
    """
    part = whole.part_of(number)
    within = ""
    if part is whole.main and part.first:
        within = f", {numbered(whole, number, n).partition(',')[0]}"
    return f"{n}/{whole.size} {prompt(whole, number, comes_out=comes_out)}{within}"


Name = TypeVar("Name")


def tags(said: Mapping[Name, str]) -> dict[Name, str]:
    """A different tag of one or two characters for every colour, as close to its label as possible.

    `said` gives the label of every colour by its name. Tags stand beside colours, which are never the only sign.
    """
    found: dict[Name, str] = {}
    taken: set[str] = set()
    # One for all names, because what was taken stays taken.
    any_two = (left + right for signs in (_SIGNS, _MORE_SIGNS) for left in signs for right in signs)
    for name, called in said.items():
        letters = [letter for letter in called if letter.isalnum()] or ["x"]
        first = letters[0]
        likely = [first + letter for letter in letters[1:]] or [first]
        numbered = (first + digit for digit in "23456789")
        found[name] = next(tag for tag in chain(likely, numbered, any_two) if tag not in taken)
        taken.add(found[name])
    return found
