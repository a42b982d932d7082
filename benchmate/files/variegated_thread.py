"""Reading the colours along a variegated thread: a list of colours, each with its length."""

from collections.abc import Mapping, Sequence

from benchmate.craft.colours.colour import Colour, ColourLength
from benchmate.craft.thread.variegated.sequence import LEAST_MM, MOST_IN_A_DESIGN, MOST_IN_A_THREAD, MOST_MM
from benchmate.files.css import named_colours, parse_colour, plain_name
from benchmate.files.fields import Faults, as_scalar
from benchmate.files.safe_text import quoted
from benchmate.files.tree import MappingNode, Node, SequenceNode

EXAMPLE = "[navy 400, teal 250]"
_UNITS = ("mm", "cm", "m", "in", "inch", "inches")


def read_sequence(node: SequenceNode, faults: Faults) -> tuple[ColourLength, ...]:
    """The colours in order; empty, with a report, where any of them is at fault."""
    errors = faults.errors
    if len(node.items) < 2:
        found = len(node.items)
        faults.error(
            node,
            f"a thread that changes needs at least two colours with their lengths in mm, such as {EXAMPLE} "
            f"(found {found}); for one colour write `css: navy`",
        )
    if len(node.items) > MOST_IN_A_THREAD:
        faults.error(node, f"a thread must have at most {MOST_IN_A_THREAD} colours (found {len(node.items)})")
    parts = [_read_part(item, faults) for item in node.items]
    _report_neighbours(node.items, parts, faults)
    return _named([part for part in parts if part is not None]) if faults.errors == errors else ()


def _named(parts: Sequence[ColourLength]) -> tuple[ColourLength, ...]:
    """The parts, those without a name with one that no other colour of the thread has."""
    names = {part.value: part.say for part in parts if part.say}
    for part in parts:
        if part.value not in names:
            names[part.value] = plain_name(part.value, names.values())
    return tuple(part._replace(say=part.say or names[part.value]) for part in parts)


def report_too_many(node: MappingNode, colours: Mapping[str, Colour], faults: Faults) -> None:
    """Reports the colour with which a design has too many colours along its threads."""
    count = 0
    for name, colour in colours.items():
        before, count = count, count + len(colour.sequence)
        if before <= MOST_IN_A_DESIGN < count:
            faults.error(
                node.entries[name].key,
                f"the threads of a design must have at most {MOST_IN_A_DESIGN} colours along them, all lists together",
            )


def read_css(place: Node, text: str, faults: Faults) -> str | None:
    """The value of a CSS colour as `#rrggbb`, or None and a report."""
    value = parse_colour(text)
    if value is None:
        faults.error(place, _bad_colour(text, faults))
    return value


def _bad_colour(text: str, faults: Faults) -> str:
    if not text:
        return 'the colour has no value: write a CSS colour, in quotes if it begins with #, such as "#0b3c5d"'
    if text.startswith("#"):
        return f"{quoted(text)} is not a colour: write 3 or 6 digits after #, 0 to 9 and a to f"
    return f"{quoted(text)} is not a CSS colour{faults.guess(text, named_colours(), only_near=True)}"


def _read_part(node: Node, faults: Faults) -> ColourLength | None:
    scalar = as_scalar(node, "a colour of a thread", "a colour and its length in mm, such as `navy 400`", faults)
    if scalar is None:
        return None
    *before, last = scalar.text.split() or [""]
    text = " ".join(before)
    if not before:
        lacks = "colour" if _number(last) is not None else "length"
        lacking = f"{quoted(last)} has no {lacks}" if last else "this has no colour and no length"
        like = f"{last} 400" if lacks == "length" and parse_colour(last) else "navy 400"
        faults.error(scalar, f"{lacking}: write a colour and how many mm of it there are, such as `{like}`")
        return None
    mm = _number(last)
    if mm is None or not LEAST_MM <= mm <= MOST_MM:
        faults.error(scalar, _bad_length(before, last))
        return None
    value = read_css(scalar, text, faults)
    if value is None:
        return None
    return ColourLength(value, mm, "" if text.startswith("#") else text.lower())


def _bad_length(before: Sequence[str], last: str) -> str:
    """What is wrong with a length, and how to write it."""
    what = f"the length after a colour must be from {LEAST_MM} to {MOST_MM} mm"
    number = _number(before[0])
    if parse_colour(last) and number is not None and len(before) == 1:
        return f"the colour comes first: write `{last} {before[0]}`"
    unit = next((unit for unit in _UNITS if last.lower().endswith(unit)), "")
    written = last[: len(last) - len(unit)] or before[-1]
    if unit and _number(written) is not None:
        return f"{what}, without a unit, such as `navy 400` (found {quoted(' '.join((*before, last)))})"
    return f"{what}, such as `navy 400` (found {quoted(last)})"


def _number(text: str) -> float | None:
    """A decimal number of digits and at most one point."""
    whole, _, rest = text.partition(".")
    digits = whole + rest
    if not (digits.isascii() and digits.isdigit() and whole and (rest or "." not in text)):
        return None
    return float(text)


def _report_neighbours(items: Sequence[Node], parts: Sequence[ColourLength | None], faults: Faults) -> None:
    """Reports a colour that follows itself: nobody could see where it begins."""
    for at in range(1, len(parts)):
        before, here = parts[at - 1], parts[at]
        if before is not None and here is not None and before.value == here.value:
            together = _written(before, here)
            faults.error(items[at], f"the same colour follows itself: write both as one, `{together}`")
    first, last = (parts[0], parts[-1]) if parts else (None, None)
    if len(parts) > 2 and first is not None and last is not None and first.value == last.value:
        faults.error(
            items[-1],
            "the thread begins again with this colour, so its first colour has no beginning: leave this out, "
            f"and begin with `{_written(first, last)}`",
        )


def _written(one: ColourLength, other: ColourLength) -> str:
    return f"{one.say or one.value} {one.mm + other.mm:g}"
