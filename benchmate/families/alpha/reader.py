"""Reading the base, key and chart of an alpha band."""

from benchmate.craft.design import MOST_STEPS, MOST_STRINGS
from benchmate.craft.wording.counting import counted
from benchmate.families.alpha.body import Alpha, alpha
from benchmate.files.family_reader import FamilyReader
from benchmate.files.fields import Faults, Fields
from benchmate.files.safe_text import quoted
from benchmate.files.strings import Colours, colour_named
from benchmate.files.tree import ScalarNode

KEYS = ("base", "key", "chart", "first")
"""The keys of family `alpha`, besides the common ones."""


def read_alpha(fields: Fields, colours: Colours | None) -> Alpha | None:
    """The band; None when something in it is wrong."""
    faults = fields.faults
    errors = faults.errors
    scalar = fields.scalar("base", needed=True, what="the name of a colour")
    base = colour_named(scalar, "the base strings have", colours, faults) if scalar is not None else None
    key = _read_key(fields, colours)
    chart = fields.scalar("chart", needed=True, what="rows of characters under `chart: |`")
    rows = _read_chart(chart, key, faults) if chart is not None else None
    first = fields.choice("first", ("left", "right"))
    if faults.errors > errors or base is None or rows is None:
        return None
    return alpha(base, rows, first or "left")


def _read_key(fields: Fields, colours: Colours | None) -> dict[str, str] | None:
    """The colour name of every character; None when part of the key is wrong."""
    node = fields.mapping("key", needed=True, what=' from the characters of the chart to colours, such as `"#": deep`')
    if node is None:
        return None
    faults = fields.faults
    if not node.entries:
        faults.error(node, '`key` is empty; add at least one character and its colour, such as `"#": deep`')
        return None
    errors, key = faults.errors, {}
    for sign, entry in node.entries.items():
        if len(sign) != 1 or not sign.isprintable() or sign.isspace():
            what = quoted(sign) if sign else "nothing"
            faults.error(
                entry.key, f"a chart character must be one printable character other than a space (found {what})"
            )
        value = entry.value
        if isinstance(value, ScalarNode):
            key[sign] = colour_named(value, f"{quoted(sign)} stands for", colours, faults) or ""
        else:
            faults.error(value, f"{quoted(sign)} must stand for a name in `colours`")
    return None if faults.errors > errors else key


def _read_chart(chart: ScalarNode, key: dict[str, str] | None, faults: Faults) -> tuple[tuple[str, ...], ...] | None:
    """The colour names row by row; None, and an error, when part of the chart is wrong."""
    texts = chart.text.rstrip("\n").split("\n")
    # The first row that is not empty sets the width.
    model, width = next(((row, len(text)) for row, text in enumerate(texts, 1) if text), (1, 0))
    if not any(texts):
        faults.error(chart, "`chart` is empty; add at least one row of characters from `key`")
        return None
    if max(map(len, texts)) > MOST_STRINGS:
        faults.error(chart, f"the chart is {max(map(len, texts))} knots wide; the limit is {MOST_STRINGS} strings")
        return None
    if width * len(texts) > MOST_STEPS:
        faults.error(chart, f"the chart has {width * len(texts)} knots; the limit is {MOST_STEPS}")
        return None
    errors = faults.errors
    known: dict[str, tuple[str, ...]] = {}
    for number, text in enumerate(texts):
        if text not in known:
            fault = _fault_of(text, number + 1, model, width, key)
            if fault is not None:
                faults.error_on_line(chart, number, fault)
                continue
            known[text] = tuple((key or {}).get(sign, "") for sign in text)
    return None if faults.errors > errors or key is None else tuple(known[text] for text in texts)


def _fault_of(text: str, row: int, model: int, width: int, key: dict[str, str] | None) -> str | None:
    unknown = None if key is None else next((sign for sign in text if sign not in key), None)
    if unknown is not None:
        what = "a space" if unknown == " " else f"the character {quoted(unknown)}"
        return f"row {row} of the chart has {what}, which is not in `key`"
    if len(text) != width:
        knots = counted(len(text), "knot")
        return f"row {row} of the chart has {knots} but row {model} has {width}; make all rows the same width"
    return None


class AlphaReader(FamilyReader[Alpha]):
    """Reads the base, key and chart of an alpha band."""

    keys = KEYS

    def read(self, fields: Fields, colours: Colours | None) -> Alpha | None:
        """The body, or None."""
        return read_alpha(fields, colours)
