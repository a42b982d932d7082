"""Writing a design of the family `alpha`: the text of a file that reads again as what it was made of."""

from collections.abc import Mapping, Sequence


def alpha_text(
    title: str,
    colours: Mapping[str, str],
    base: str,
    key: Mapping[str, str],
    chart: Sequence[str],
    *,
    notes: str = "",
) -> str:
    """The text of an alpha design.

    `colours` gives for each name its value as `#rrggbb`, `base` is one of the names, `key` gives the name behind every
    character of the chart, and `chart` has a text of one width for every row, top row first. Nothing is checked here
    but what the format of the file itself would break on: names are words of letters, digits, `-` and `_`, a character
    of the chart is a printable one other than a space, and `title` and `notes` are single lines of printable text.
    """
    lines = ["benchmate: 1", f"title: {_quoted(title)}", "family: alpha", "colours:"]
    lines += [f'  {_quoted(name)}: "{value}"' for name, value in colours.items()]
    lines += [f"base: {_quoted(base)}", "key:"]
    lines += [f"  {_quoted(sign)}: {_quoted(name)}" for sign, name in key.items()]
    # Where the first line begins with a sign, the block has to say how far its lines are set in.
    lines += ["chart: |2", *(f"  {row}" for row in chart)]
    if notes:
        lines.append(f"notes: {_quoted(notes)}")
    return "\n".join(lines) + "\n"


def _quoted(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"
