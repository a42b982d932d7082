"""Reading the colours and strings of a design."""

from collections.abc import Mapping

from benchmate.craft.colours.colour import Colour
from benchmate.craft.design import MOST_STRINGS
from benchmate.files.css import named_colours, parse_colour
from benchmate.files.fields import Faults, Fields, as_scalar
from benchmate.files.safe_text import is_name, quoted
from benchmate.files.tree import Entry, FaultyNode, MappingNode, ScalarNode

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
    return {name: _read_colour(name, entry, fields.faults) for name, entry in node.entries.items()}


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
    if isinstance(node, MappingNode):
        parts = Fields(node, ("css", "say"), faults, f" from the colour {quoted(name)} on line {entry.key.line}")
        css = parts.scalar("css", needed=True, what="a CSS colour")
        say = parts.one_line("say")
        value = _read_css(css, faults) if css else None
    elif not isinstance(node, FaultyNode):
        wanted = "a CSS colour such as `teal`, or a mapping such as `{css: teal, say: sea green}`"
        scalar = as_scalar(node, "a colour", wanted, faults)
        value = _read_css(scalar, faults) if scalar else None
    return Colour(name, value or "#000000", say or name)


def _read_css(scalar: ScalarNode, faults: Faults) -> str | None:
    """The value as `#rrggbb`, or None and a report."""
    value = parse_colour(scalar.text)
    if value is None:
        faults.error(scalar, _bad_colour(scalar.text, faults))
    return value


def _bad_colour(text: str, faults: Faults) -> str:
    if not text:
        return 'the colour has no value: write a CSS colour, in quotes if it begins with #, such as "#0b3c5d"'
    if text.startswith("#"):
        return f"{quoted(text)} is not a colour: write 3 or 6 digits after #, 0 to 9 and a to f"
    return f"{quoted(text)} is not a CSS colour{faults.guess(text, named_colours(), only_near=True)}"
