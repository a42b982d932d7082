"""Reading a braid on a slotted disk."""

import re

from benchmate.craft.design import MOST_STEPS
from benchmate.families.braid.body import MOST_SLOTS, Braid, impossible_move
from benchmate.files.family_reader import FamilyReader
from benchmate.files.fields import Faults, Fields, as_scalar
from benchmate.files.safe_text import bounded_number, is_whole_number, quoted
from benchmate.files.strings import Colours, colour_named
from benchmate.files.tree import MappingNode, ScalarNode, SequenceNode

KEYS = ("slots", "strands", "moves", "shift")
"""The keys of family `braid`, besides the common ones."""

MOST_SHIFT = 999_999
"""The largest shift; it may go round the disk many times."""
_MOVE = re.compile(r"[ \t]*([0-9]+)[ \t]*>[ \t]*([0-9]+)[ \t]*")
_SHIFT = re.compile(r"([+-]?)([0-9]+)")


def read_braid(fields: Fields, colours: Colours | None) -> Braid | None:
    """The slots, strands and moves; None when one is wrong. Does not check whether the moves are possible."""
    faults = fields.faults
    errors = faults.errors
    slots = fields.whole_number("slots", 2, MOST_SLOTS, needed=True)
    strands_node = fields.mapping("strands", needed=True, what=" from slots to colours, such as `{1: deep, 9: foam}`")
    moves_node = fields.sequence("moves", needed=True, what=" of moves, such as `[1 > 15, 17 > 31]`")
    shift = _read_shift(fields)
    most = slots or MOST_SLOTS
    strands = _read_strands(strands_node, most, colours, faults) if strands_node is not None else {}
    moves = _read_moves(moves_node, most, faults) if moves_node is not None else []
    if faults.errors > errors or slots is None:
        return None
    return Braid(slots, tuple(sorted(strands.items())), tuple(moves), shift)


def _read_strands(node: MappingNode, slots: int, colours: Colours | None, faults: Faults) -> dict[int, str]:
    if not node.entries:
        faults.error(node, "`strands` is empty; add at least one slot and its colour, such as `1: deep`")
    strands: dict[int, str] = {}
    for text, entry in node.entries.items():
        slot = _slot(text, slots)
        if slot is None:
            written = quoted(text) if text else "nothing"
            faults.error(entry.key, f"a slot must be a whole number from 1 to {slots} (found {written})")
        elif slot in strands:
            faults.error(entry.key, f"slot {slot} is filled twice")
        if isinstance(entry.value, ScalarNode):
            name = colour_named(entry.value, "a strand has", colours, faults)
            if slot is not None:
                strands[slot] = name or ""
        else:
            faults.error(entry.value, "a strand must have a name in `colours`")
    return strands


def _read_moves(node: SequenceNode, slots: int, faults: Faults) -> list[tuple[int, int]]:
    if not node.items:
        faults.error(node, "`moves` is empty; add at least one move, such as `1 > 15`")
    if len(node.items) > MOST_STEPS:
        faults.error(node, f"there are {len(node.items)} moves; the limit is {MOST_STEPS}")
        return []
    moves = []
    for item in node.items:
        scalar = as_scalar(item, "a move", "two slots, such as `1 > 15`", faults)
        if scalar is None:
            continue
        found = _MOVE.fullmatch(scalar.text)
        if found is None:
            faults.error(scalar, f"a move must be two slots, such as `1 > 15` (found {quoted(scalar.text)})")
            continue
        pair = [_slot(text, slots) for text in found.groups()]
        if None in pair:
            wrong = next(text for text, slot in zip(found.groups(), pair, strict=True) if slot is None)
            faults.error(scalar, f"no such slot {quoted(wrong)}; slots are numbered from 1 to {slots}")
        elif pair[0] == pair[1]:
            faults.error(scalar, "a move must go from one slot to another, not to the same")
        else:
            moves.append((pair[0] or 0, pair[1] or 0))
    return moves


def _read_shift(fields: Fields) -> int:
    what = f"a whole number from -{MOST_SHIFT} to {MOST_SHIFT}"
    scalar = fields.scalar("shift", what=what)
    if scalar is None:
        return 0
    found = _SHIFT.fullmatch(scalar.text)
    value = bounded_number(found[2], MOST_SHIFT) if found else MOST_SHIFT + 1
    if found is None or value > MOST_SHIFT:
        fields.faults.error(
            scalar, f"`shift` must be {what} (found {quoted(scalar.text) if scalar.text else 'nothing'})"
        )
        return 0
    return -value if found[1] == "-" else value


def _slot(text: str, slots: int) -> int | None:
    if not is_whole_number(text):
        return None
    number = bounded_number(text, slots)
    return number if 1 <= number <= slots else None


class BraidReader(FamilyReader[Braid]):
    """Reads the slots, strands and moves of a braid."""

    keys = KEYS

    def read(self, fields: Fields, colours: Colours | None) -> Braid | None:
        """The body, or None."""
        return read_braid(fields, colours)

    def check(self, fields: Fields, body: Braid, repeats: int) -> None:
        """Checks that every move goes from a filled slot to an empty one."""
        wrong = impossible_move(body, repeats)
        moves = fields.node("moves")
        if wrong is not None and isinstance(moves, SequenceNode):
            fields.faults.error(moves.items[wrong.at], wrong.message)
