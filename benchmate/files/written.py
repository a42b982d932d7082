"""Reading a piece, start or finish told as written steps."""

from benchmate.craft.design import MOST_STEPS, Written, WrittenStep
from benchmate.files.fields import Faults, Fields
from benchmate.files.strings import Colours, read_strings
from benchmate.files.tree import Mapping, Node, Unread

KEYS = ("strings", "steps")
"""The keys of the family `steps`, beside those every design has."""

_STEP_KEYS = ("do", "hint", "times")


def read_written(fields: Fields, colours: Colours | None) -> Written | None:
    """The strings, of which there may be none, and the steps; None when there are no steps or too many."""
    strings = read_strings(fields, colours, least=0, needed=False) or ()
    node = fields.sequence("steps", needed=True, what=" of steps, such as `- do: Fold the strings in half`")
    if node is None:
        return None
    faults = fields.faults
    if not node.items:
        faults.error(node, "`steps` is empty: it needs at least one step, such as `- do: Fold the strings in half`")
        return None
    steps = tuple(_read_step(number, item, faults) for number, item in enumerate(node.items, 1))
    total = sum(step.times for step in steps)
    if total > MOST_STEPS:
        faults.error(node, f"with their `times` these are {total} steps: at most {MOST_STEPS} can be worked")
        return None
    return Written(strings, steps)


def _read_step(number: int, node: Node, faults: Faults) -> WrittenStep:
    """One step; where it is faulty, what stands in for it is never worked."""
    if isinstance(node, Mapping):
        fields = Fields(node, _STEP_KEYS, faults, f" from step {number} on line {node.line}")
        do = fields.one_line("do", needed=True)
        hint = fields.one_line("hint", may_be_empty=True)
        times = fields.whole_number("times", 1, MOST_STEPS)
        return WrittenStep(do or "", hint, times or 1)
    if not isinstance(node, Unread):
        faults.error(node, "a step is a mapping that begins with `do`, such as `- do: Fold the strings in half`")
    return WrittenStep("", None, 1)
