"""Steps in words, the same for whoever reads them on a line, on a screen or by ear."""

from collections.abc import Mapping, Sequence
from itertools import chain

from benchmate.craft.design import Design
from benchmate.craft.progress import InHand
from benchmate.craft.start_band_finish import Part, Whole
from benchmate.craft.steps import Led, Move, Step, Tie, Told
from benchmate.families.alpha.floats import TAIL, How, TakeUp, take_up
from benchmate.families.alpha.work import Picture

TAIL_CM = round(TAIL / 10)
_SIGNS = "0123456789abcdefghijklmnopqrstuvwxyz"


def name_of(step: Step) -> str:
    """The step in its fewest words: the knot's name, the slots of a move, or the instruction."""
    if isinstance(step, (Tie, Led)):
        return step.knot.words
    return f"{step.source} to {step.target}" if isinstance(step, Move) else step.do


def hands(design: Design, tie: Tie) -> str:
    """Which string goes over which, by position from the left and colour: `3 deep over 4 foam`."""
    return f"{tie.knotting_from} {design.said_of(tie.knotting)} over {tie.passive_from} {design.said_of(tie.passive)}"


def outcome(design: Design, tie: Tie) -> str:
    """Where both strings end up."""
    if not tie.knot.swaps:
        return "each stays on its side"
    maker, passive = design.said_of(tie.knotting), design.said_of(tie.passive)
    if maker == passive:
        return "they change places"
    return f"then {maker} hangs at {tie.knotting_to}, {passive} at {tie.passive_to}"


def crossing(design: Design, led: Led) -> str:
    """Which leading string goes over which base string: `foam over 3`."""
    return f"{design.said_of(led.leading)} over {led.column}"


def crossed(design: Design, step: Tie | Led | Move) -> str:
    """Which string goes over which, or which strand is moved."""
    if isinstance(step, Tie):
        return hands(design, step)
    return crossing(design, step) if isinstance(step, Led) else design.said_of(step.strand)


def counted(step: Step) -> str:
    """Which time of a counted instruction this is, or nothing: `time 2 of 5`."""
    if not isinstance(step, Told) or step.of == 1:
        return ""
    return f"time {step.time} of {step.of}"


def spoken(part: Part, step: Step) -> str:
    """The whole step in one line that can be read aloud."""
    design = part.design
    if isinstance(step, Tie):
        return f"{step.knot.words}, {hands(design, step)}, {outcome(design, step)}; row {step.row}"
    if isinstance(step, Led):
        return f"{step.knot.words}, {crossing(design, step)}; row {step.row}, column {step.column}"
    if isinstance(step, Move):
        return f"{name_of(step)}, {design.said_of(step.strand)}; repeat {step.row}"
    pieces = [step.do, counted(step), step.hint or ""]
    return ". ".join(piece.rstrip(".") for piece in pieces if piece)


def taken_out(part: Part, step: Step) -> str:
    """What has to be undone, in one line that can be read aloud: the knot, and where its strings go back to."""
    if isinstance(step, Told):
        return f"take back: {spoken(part, step)}"
    if isinstance(step, Move):
        return f"move back {step.target} to {step.source}, {part.design.said_of(step.strand)}; repeat {step.row}"
    if isinstance(step, Led):
        return f"take out {spoken(part, step)}"
    maker, passive = part.design.said_of(step.knotting), part.design.said_of(step.passive)
    back = f"{maker} goes back to {step.knotting_from}, {passive} to {step.passive_from}"
    if not step.knot.swaps:
        back = "each stays on its side"
    elif maker == passive:
        back = "they change back"
    return f"take out {step.knot.words}, {maker} over {passive}, {back}; row {step.row}"


def prompt(whole: Whole, number: int, *, comes_out: bool) -> str:
    """What is to be done with a step of a piece, in one line that can be read aloud: tied, or taken out."""
    if comes_out:
        return taken_out(whole.part_of(number), whole.step(number))
    first = taken_up(whole, number)
    words = spoken(whole.part_of(number), whole.step(number))
    return f"{first}; then {words}" if first else words


def taken_up(whole: Whole, number: int, *, tails: bool = True) -> str:
    """What is done before a knot of an alpha band to have its leading string in hand; empty when it is.

    How long `tails` are can be left out.
    """
    taken = _take_up(whole, number)
    if taken is None:
        return ""
    part, step = whole.part_of(number), whole.step(number)
    assert isinstance(step, Led)
    say = part.design.said_of(step.leading)
    if taken.how is How.NEW:
        return f"start {say}" + (f", tail {TAIL_CM} cm" if tails else "")
    where = f"behind {taken.column}" + (f" in row {taken.row}" if step.row - taken.row > 1 else "")
    if taken.how is How.CUT:
        return f"cut {say} {where}, start it anew" + (f", tails {TAIL_CM} cm" if tails else "")
    lies = f"{taken.behind} {'row' if taken.up else 'knot'}{'' if taken.behind == 1 else 's'}"
    return f"take {say} from {where}" + (f", {'up' if taken.up else 'across'} {lies}" if taken.behind else "")


def begins_anew(whole: Whole, number: int) -> bool:
    """True when a knot of an alpha band needs a new length of its leading string: scissors, and time."""
    taken = _take_up(whole, number)
    return taken is not None and taken.how is not How.FLOAT


def _take_up(whole: Whole, number: int) -> TakeUp | None:
    part = whole.part_of(number)
    return take_up(part.work, number - part.first) if isinstance(part.work, Picture) else None


def in_hand(whole: Whole, run: InHand) -> str:
    """The string in hand, and which of the knots it makes before it is put down: `deep: 3 of 7`."""
    return f"{whole.main.design.said_of(run.string)}: {run.at} of {run.of}"


def next_pick_up(whole: Whole, run: InHand, hanging: Sequence[int]) -> str:
    """The string to pick up next, by where it hangs then: `5 foam`; and where it is now, if that is elsewhere.

    `hanging` are the strings as they hang now. Empty when no string is picked up next.
    """
    if run.following is None:
        return ""
    step = whole.step(run.following)
    if isinstance(step, Led):
        same = step.leading == run.string
        return f"{whole.main.design.said_of(step.leading)}{' again, the other way' if same else ''}"
    assert isinstance(step, Tie)
    now, then = hanging.index(step.knotting) + 1, step.knotting_from
    here = "" if now == then else f", now at {now}"
    return f"{then} {whole.main.design.said_of(step.knotting)}{here}"


def line(whole: Whole, n: int, number: int, *, comes_out: bool = False) -> str:
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
