"""Steps in words, the same for whoever reads them on a line, on a screen or by ear."""

from collections.abc import Mapping, Sequence
from itertools import chain

from benchmate.craft.progress import CurrentRun
from benchmate.craft.start_band_finish import Part, WholePiece
from benchmate.craft.work import Step

_SIGNS = "0123456789abcdefghijklmnopqrstuvwxyz"


def name_of(part: Part, step: Step) -> str:
    """The step in its fewest words: the knot's name, the slots of a move, or the instruction."""
    return part.design.family.words.name(step)


def spoken(part: Part, step: Step) -> str:
    """The whole step in one line that can be read aloud."""
    return part.design.family.words.spoken(part.design, step)


def take_out(part: Part, step: Step) -> str:
    """What has to be undone, in one line that can be read aloud: the knot, and where its strings go back to."""
    return part.design.family.words.take_out(part.design, step)


def crossed(part: Part, step: Step) -> str:
    """Which string goes over which, or which strand is moved; empty where nobody knows."""
    return part.design.family.words.crossed(part.design, step)


def prompt(whole: WholePiece, number: int, *, comes_out: bool) -> str:
    """What is to be done with a step of a piece, in one line that can be read aloud: tied, or taken out."""
    if comes_out:
        return taken_out(whole.part_of(number), whole.step(number))
    first = taken_up(whole, number)
    words = spoken(whole.part_of(number), whole.step(number))
    return f"{first}; then {words}" if first else words


def pick_up(whole: WholePiece, number: int, *, tails: bool = True) -> str:
    """What is done before a step to have its string in hand; empty when it is.

    How long `tails` are can be left out.
    """
    part = whole.part_of(number)
    return part.design.family.words.pick_up(part.design, part.work, number - part.first, tails=tails)


def place(whole: WholePiece, number: int) -> tuple[str, str, int, int]:
    """Where in its part of a piece a step is: the part's name where there are several and it counts steps one by one,
    what is counted, which one it is, and of how many: `("", "row", 3, 30)`, `("start", "step", 2, 4)`.
    """
    part = whole.part_of(number)
    rows = part.design.family.row_word
    if rows:
        return "", rows, whole.step(number).row, part.work.rows
    return part.called if len(whole.parts) > 1 else "", "step", number - part.first + 1, part.work.size


def in_hand(whole: WholePiece, run: CurrentRun) -> str:
    """The string in hand, and which of the knots it makes before it is put down: `deep: 3 of 7`."""
    return f"{whole.main.design.say_of(run.string)}: {run.at} of {run.of}"


def next_pick_up(whole: WholePiece, run: CurrentRun, hanging: Sequence[int]) -> str:
    """The string to pick up next, by where it hangs then: `5 foam`; and where it is now, if that is elsewhere.

    `hanging` are the strings as they hang now. Empty when no string is picked up next.
    """
    if run.following is None:
        return ""
    design = whole.part_of(run.following).design
    return design.family.words.next_pick_up(design, whole.step(run.following), run, hanging)


def line(whole: WholePiece, n: int, number: int, *, comes_out: bool = False) -> str:
    """The step line of the plain mode: `n/of ` and the prompt, `n` the step's place in working order from 1."""
    return f"{n}/{whole.size} {prompt(whole, number, comes_out=comes_out)}"


def tags(said: Mapping[str, str]) -> dict[str, str]:
    """A tag of at most two signs for every colour, all different, as like what it is called as can be.

    `said` gives for every colour name how it is called; there may be up to 1296. Tags stand beside colours, which
    are never the only sign.
    """
    found: dict[str, str] = {}
    taken: set[str] = set()
    for name, called in said.items():
        letters = [letter for letter in called if letter.isalnum()] or ["x"]
        first = letters[0]
        likely = [first + letter for letter in letters[1:]] or [first]
        numbered = (first + digit for digit in "23456789")
        any_two = (one + other for one in _SIGNS for other in _SIGNS)
        found[name] = next(tag for tag in chain(likely, numbered, any_two) if tag not in taken)
        taken.add(found[name])
    return found
