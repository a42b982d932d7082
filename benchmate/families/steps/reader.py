"""Reading a piece, start or finish in written steps."""

from benchmate.craft.design import MOST_STEPS
from benchmate.craft.knots import Knot
from benchmate.craft.shown_step import PHASES, KnotDrawing
from benchmate.families.steps.body import Instruction, Steps
from benchmate.files.family_reader import FamilyReader
from benchmate.files.fields import Faults, Fields
from benchmate.files.safe_text import quoted
from benchmate.files.strings import Colours, read_strings
from benchmate.files.tree import FaultyNode, MappingNode, Node

KEYS = ("strings", "doubled", "uses", "steps")
"""The keys of family `steps`, besides the common ones."""

MOST_USED = 10_000
"""The most thread that a start or finish takes of each string, mm."""

_STEP_KEYS = ("do", "hint", "times", "draw", "ties", "lay_out")

_STAGES = (("hold", 0, "hold"), *((f"{half} {phase}", half, phase) for half in (1, 2) for phase in PHASES))

DRAWINGS = {
    f"{knot.value} {stage}": KnotDrawing(knot, half, phase)
    for knot in Knot
    for stage, half, phase in (*_STAGES, ("done", 0, "done"))
}
"""The drawings a step may name: the token of a knot and a stage of tying it, `f hold`, `f 1 over` to `f done`."""


def read_steps(fields: Fields, colours: Colours | None) -> Steps | None:
    """The strings, possibly none, and the steps; None when there are no steps or too many."""
    strings = read_strings(fields, colours, least=0, needed=False) or ()
    doubled = _read_truth(fields, "doubled")
    uses = fields.decimal_number("uses", MOST_USED, "mm of each string, such as 120")
    node = fields.sequence("steps", needed=True, what=" of steps, such as `- do: Fold the strings in half`")
    if node is None:
        return None
    faults = fields.faults
    if not node.items:
        faults.error(node, "`steps` is empty; add at least one step, such as `- do: Fold the strings in half`")
        return None
    steps = tuple(_read_step(number, item, faults) for number, item in enumerate(node.items, 1))
    total = sum(step.times for step in steps)
    if total > MOST_STEPS:
        faults.error(node, f"the steps with their `times` make {total} steps; the limit is {MOST_STEPS}")
        return None
    return Steps(strings, steps, doubled, uses)


def _read_step(number: int, node: Node, faults: Faults) -> Instruction:
    """One step; a placeholder when it is faulty, since a file with an error is never worked."""
    if isinstance(node, MappingNode):
        fields = Fields(node, _STEP_KEYS, faults, f" from step {number} on line {node.line}")
        do = fields.one_line("do", needed=True)
        hint = fields.one_line("hint", may_be_empty=True)
        times = fields.whole_number("times", 1, MOST_STEPS)
        drawing, ties = _read_drawing(fields), _read_knot(fields)
        return Instruction(do or "", hint, times or 1, drawing, ties, _read_truth(fields, "lay_out"))
    if not isinstance(node, FaultyNode):
        faults.error(node, "a step must begin with `do`, such as `- do: Fold the strings in half`")
    return Instruction("", None, 1)


def _read_truth(fields: Fields, key: str) -> bool:
    """Whether the key says `true`; anything but that or `false` is an error."""
    scalar = fields.scalar(key, what="true or false")
    if scalar is None:
        return False
    if scalar.text not in ("true", "false"):
        written = quoted(scalar.text) if scalar.text else "nothing"
        fields.faults.error(scalar, f"`{key}` must be true or false (found {written})")
    return scalar.text == "true"


def _read_drawing(fields: Fields) -> KnotDrawing | None:
    """The drawing a step names; None when it names none, or an unknown one, which is an error."""
    scalar = fields.scalar("draw", what="the name of a drawing, such as `f 1 over`")
    if scalar is None:
        return None
    name = " ".join(scalar.text.split())
    if name not in DRAWINGS:
        written = quoted(scalar.text) if name else "nothing"
        stages = "`hold`, `1 over`, `1 under`, `1 pull`, the same three with 2, or `done`"
        meant = fields.faults.guess(name, DRAWINGS)
        message = f"`draw` must be a knot (f, b, fb or bf) and a stage of it ({stages}), found {written}{meant}"
        fields.faults.error(scalar, message)
    return DRAWINGS.get(name)


def _read_knot(fields: Fields) -> Knot | None:
    """The knot that a step completes; None when it names none, or an unknown one, which is an error."""
    scalar = fields.scalar("ties", what="a knot: `f`, `b`, `fb` or `bf`")
    if scalar is None:
        return None
    found = next((knot for knot in Knot if knot.value == scalar.text.strip()), None)
    if found is None:
        written = quoted(scalar.text) if scalar.text.strip() else "nothing"
        fields.faults.error(scalar, f"`ties` must be a knot (f, b, fb or bf), found {written}")
    return found


class StepsReader(FamilyReader[Steps]):
    """Reads the strings and steps of a piece in written steps."""

    keys = KEYS

    def read(self, fields: Fields, colours: Colours | None) -> Steps | None:
        """The body, or None."""
        return read_steps(fields, colours)
