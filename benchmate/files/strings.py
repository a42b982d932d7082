"""Reading the colours and strings of a design."""

from collections.abc import Mapping

from benchmate.craft.colours.colour import Colour, ColourLength
from benchmate.craft.design import MOST_STRINGS
from benchmate.craft.thread.variegated.sequence import average
from benchmate.files.fields import Faults, Fields, as_scalar
from benchmate.files.safe_text import is_name, quoted
from benchmate.files.tree import Entry, FaultyNode, MappingNode, ScalarNode, SequenceNode
from benchmate.files.variegated_thread import EXAMPLE, read_css, read_sequence, report_too_many

Colours = Mapping[str, Colour]


def read_colours(fields: Fields) -> Colours | None:
    """The colours by name; None when the file has none.

    A faulty colour is included as black, so that the strings with its name are not reported as well.
    """
    node = fields.mapping("colours", needed=True, what=" of names and colours, such as `deep: teal`")
    if node is None:
        return None
    if not node.entries:
        fields.faults.error(node, "`colours` needs at least one colour, such as `deep: teal`")
    found = {name: _read_colour(name, entry, fields.faults) for name, entry in node.entries.items()}
    report_too_many(node, found, fields.faults)
    return found


def read_strings(fields: Fields, colours: Colours | None, least: int, needed: bool) -> tuple[str, ...] | None:
    """The colour names of the strings; None when their number is wrong or unknown. Unknown names are reported."""
    node = fields.sequence("strings", needed, " of colour names, such as `[deep, foam]`")
    if node is None:
        return None
    faults = fields.faults
    names = []
    for item in node.items:
        scalar = as_scalar(item, "a string", "the name of a colour", faults)
        names.append(scalar.text if scalar else "")
        if scalar:
            colour_named(scalar, "a string has", colours, faults)
    if len(names) < least:
        faults.error(node, f"`strings` must have at least {least} (found {len(names)})")
        return None
    if len(names) > MOST_STRINGS:
        faults.error(node, f"`strings` must have at most {MOST_STRINGS} (found {len(names)})")
        return None
    return tuple(names)


def colour_named(scalar: ScalarNode, whose: str, colours: Colours | None, faults: Faults) -> str | None:
    """The name of one of the colours; any other name is reported. `whose` begins the message: `a string has`."""
    name = scalar.text
    if colours is None or name in colours:
        return name
    if not name:
        faults.error(scalar, f"{whose} no colour: write the name of one of `colours`")
    else:
        guess = faults.guess(name, colours)
        faults.error(scalar, f"unknown colour {quoted(name)}: it must be one of `colours`{guess}")
    return None


def _read_colour(name: str, entry: Entry, faults: Faults) -> Colour:
    if not is_name(name):
        faults.error(entry.key, f"the colour name {quoted(name)} must be one word of letters, digits, - and _")
    faults.check_length(entry.key, f"the colour name {quoted(name)}", name)
    node, say = entry.value, None
    value: str | None = None
    sequence: tuple[ColourLength, ...] = ()
    if isinstance(node, MappingNode):
        parts = Fields(node, ("css", "say"), faults, f" from the colour {quoted(name)} on line {entry.key.line}")
        css = parts.node("css", needed=True)
        say = parts.one_line("say")
        if isinstance(css, SequenceNode):
            sequence = read_sequence(css, faults)
            value = average(sequence) if sequence else None
        elif css is not None:
            scalar = as_scalar(css, "`css`", f"a CSS colour, or {EXAMPLE} for a thread that changes", faults)
            value = read_css(scalar, scalar.text, faults) if scalar else None
    elif not isinstance(node, FaultyNode):
        wanted = "a CSS colour such as `teal`, or a mapping such as `{css: teal, say: sea green}`"
        scalar = as_scalar(node, "a colour", wanted, faults)
        value = read_css(scalar, scalar.text, faults) if scalar else None
    return Colour(name, value or "#000000", say or name, sequence=sequence)
