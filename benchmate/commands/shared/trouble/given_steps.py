"""Steps, knots and colours of a band as the command line gives them. What cannot be exits with status 2."""

import argparse
from typing import TYPE_CHECKING

from benchmate.commands.shared.colour_names import known_colour
from benchmate.craft.trouble.made_otherwise import EVERY_KIND, LEFT_OUT, Made, made_of, token
from benchmate.craft.wording.counting import listed
from benchmate.files.safe_text import quoted
from benchmate.files.tree import BadFile

if TYPE_CHECKING:
    from benchmate.commands.shared.ordered_design import OrderedDesign
    from benchmate.craft.design import Design
    from benchmate.craft.trouble.trouble import Trouble


def trouble_with_knots(options: argparse.Namespace, ordered: "OrderedDesign", command: str) -> "Trouble":
    """What the design's family says of knots made otherwise. Raises BadFile where it says nothing."""
    from benchmate.families.registry import trouble_of

    family = ordered.design.family
    trouble = trouble_of(family)
    if not trouble.knows_ways:
        message = f"`{command}` is for designs of the family diagonal (this one is of the family {family.name})"
        raise BadFile(options.design, message=message)
    return trouble


def steps_done(parser: argparse.ArgumentParser, options: argparse.Namespace, ordered: "OrderedDesign") -> int:
    """The number of steps done, at most all."""
    done, size = options.done, ordered.work.size
    if done > size:
        without = " without its start" if ordered.start_steps else ""
        parser.error(f"--done must be at most {size}, the steps of this design{without} (found {done})")
    return int(done)


def colours_hanging(parser: argparse.ArgumentParser, option: str, text: str, design: "Design") -> list[str]:
    """The names of the colours of all strings, left to right."""
    found = [known_colour(parser, option, _no_gap(parser, option, name), design.colours) for name in text.split()]
    if len(found) != len(design.strings):
        parser.error(f"{option} must name the colours of all {len(design.strings)} strings (found {len(found)})")
    return found


def _no_gap(parser: argparse.ArgumentParser, option: str, name: str) -> str:
    if name == LEFT_OUT:
        parser.error(f"{option} must name the colour of every string: `-` stands for no knot")
    return name


def step_with(
    parser: argparse.ArgumentParser, option: str, text: str, ordered: "OrderedDesign", done: int, example: str
) -> tuple[int, str]:
    """The chart's number of the tied step that `K:…` begins with, and what comes after the colon."""
    before, colon, after = text.partition(":")
    if not (colon and after and before.isascii() and before.isdigit()):
        parser.error(f"{option} must be a step and what it is, such as {example} (found {quoted(text)})")
    # A number of very many digits is out of range as well.
    step = int(before) if len(before) <= 9 else 0
    if not 1 <= step <= done:
        allowed = f"from 1 to {done}, the steps done" if done else "a step that is done, and none is"
        parser.error(f"{option}: the step must be {allowed} (found {quoted(before)})")
    return ordered.order.sequence[step - 1], after


def colours_shown(
    parser: argparse.ArgumentParser, option: str, texts: list[str], ordered: "OrderedDesign", done: int
) -> dict[int, str | None] | None:
    """The colour each told knot shows, None for no knot, by the chart's numbers; None where one shows two."""
    shown: dict[int, set[str | None]] = {}
    for text in texts:
        step, name = step_with(parser, option, text, ordered, done, "12:deep")
        colour = None if name == LEFT_OUT else known_colour(parser, option, name, ordered.design.colours)
        shown.setdefault(step, set()).add(colour)
    if any(len(colours) > 1 for colours in shown.values()):
        return None
    return {step: colour for step, (colour,) in shown.items()}


def knots_made(
    parser: argparse.ArgumentParser, option: str, texts: list[str], ordered: "OrderedDesign", done: int
) -> dict[int, Made]:
    """How tied steps were made, each from `K:KIND`, by the chart's numbers; each once, and none as charted."""
    made: dict[int, Made] = {}
    for text in texts:
        step, way = wrong_knot(parser, option, text, ordered, done)
        n = ordered.order.place[step] + 1
        if step in made:
            parser.error(f"{option} names step {n} twice")
        if way == ordered.work.how_made(step):
            parser.error(f"{option}: step {n} is charted as {token(way)}, so that is not wrong")
        made[step] = way
    return made


def wrong_knot(
    parser: argparse.ArgumentParser, option: str, text: str, ordered: "OrderedDesign", done: int
) -> tuple[int, Made]:
    """The chart's number of a tied step and how it was made, from `K:KIND`."""
    step, kind = step_with(parser, option, text, ordered, done, "12:fb")
    try:
        return step, made_of(kind)
    except ValueError:
        parser.error(f"{option}: the knot must be one of {listed(map(token, EVERY_KIND))} (found {quoted(kind)})")
