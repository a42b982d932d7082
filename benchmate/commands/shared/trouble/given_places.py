"""What the maker sees of a lost place, as the command line gives it. What cannot be exits with status 2."""

import argparse
from typing import TYPE_CHECKING

from benchmate.commands.shared.colour_names import known_colour
from benchmate.commands.shared.trouble.given_steps import colours_hanging
from benchmate.craft.trouble.made_otherwise import LEFT_OUT
from benchmate.files.safe_text import quoted

if TYPE_CHECKING:
    from benchmate.commands.shared.ordered_design import OrderedDesign
    from benchmate.craft.design import Design
    from benchmate.craft.trouble.trouble import Trouble


def colours_seen(
    parser: argparse.ArgumentParser, text: str | None, ordered: "OrderedDesign", trouble: "Trouble"
) -> list[str] | None:
    """The colours of --see: of all strings, left to right, or of all slots; None where they tell no place."""
    design = ordered.design
    if not trouble.hanging_tells:
        if text is not None:
            called = design.family.called
            parser.error(f"--see: the strings of {called} never move; give --knots, the colours of the last knots")
        return None
    slots = not design.family.step_view.strings_hang
    if text is None:
        parser.error(f"--see is needed: {'`32:deep 1:deep …`, every filled slot' if slots else 'all strings'}")
    if slots:
        return _slots(parser, text, design, len(ordered.work.at_start()))
    return colours_hanging(parser, "--see", text, design)


def _slots(parser: argparse.ArgumentParser, text: str, design: "Design", slots: int) -> list[str]:
    """The colours of all slots, an empty text for an empty one."""
    found = [""] * slots
    for given in text.split():
        before, _, name = given.partition(":")
        if not (name and before.isascii() and before.isdigit()):
            parser.error(f"--see must name slots and their colours, such as `32:deep 1:foam` (found {quoted(given)})")
        slot = int(before) if len(before) <= 9 else 0
        if not 1 <= slot <= slots:
            parser.error(f"--see: the slot must be from 1 to {slots} (found {quoted(before)})")
        if found[slot - 1]:
            parser.error(f"--see names slot {slot} more than once")
        found[slot - 1] = known_colour(parser, "--see", name, design.colours)
    filled = slots - found.count("")
    if filled != len(design.strings):
        parser.error(f"--see must name all {len(design.strings)} filled slots (found {filled})")
    return found


def colours_of_last(parser: argparse.ArgumentParser, text: str | None, design: "Design") -> list[str]:
    """The colours of --knots, oldest first."""
    found = (text or "").split()
    if LEFT_OUT in found:
        parser.error("--knots must name the colours of knots that were made: `-` stands for no knot")
    return [known_colour(parser, "--knots", name, design.colours) for name in found]
