"""Writing an alpha design as the text of a file; reading the file gives the same design."""

from collections.abc import Mapping, Sequence


def alpha_text(
    title: str,
    colours: Mapping[str, str],
    base: str,
    key: Mapping[str, str],
    chart: Sequence[str],
    *,
    start: str | None = None,
    finish: str | None = None,
    notes: str = "",
) -> str:
    """The text of an alpha design.

    `colours` gives the value of each name as `#rrggbb`; `base` is one of the names; `key` gives the colour name of
    every chart character; `chart` has one text for every row, top row first, all of the same width; `start` and
    `finish` are the names of the designs worked before and after it. The caller ensures that all names are words of
    letters, digits, `-` and `_`, that chart characters are printable and not spaces, and that `title` and `notes` are
    single lines of printable text.
    """
    lines = ["benchmate: 1", f"title: {_quoted(title)}", "family: alpha", "colours:"]
    lines += [f'  {_quoted(name)}: "{value}"' for name, value in colours.items()]
    lines += [f"{link}: {_quoted(name)}" for link, name in (("start", start), ("finish", finish)) if name is not None]
    lines += [f"base: {_quoted(base)}", "key:"]
    lines += [f"  {_quoted(sign)}: {_quoted(name)}" for sign, name in key.items()]
    # YAML needs the indent (2) here in case a chart row begins with a special character.
    lines += ["chart: |2", *(f"  {row}" for row in chart)]
    if notes:
        lines.append(f"notes: {_quoted(notes)}")
    return "\n".join(lines) + "\n"


def _quoted(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"
