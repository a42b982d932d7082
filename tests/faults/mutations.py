"""Changes to files, seeded: of bytes anywhere, and of texts at places that mean something."""

from collections.abc import Callable, Sequence
from random import Random

import yaml

PIECES = (
    *(
        "",
        "\n",
        "\r",
        "\r\n",
        "  ",
        "\t",
        "- ",
        ": ",
        "{",
        "}",
        "[",
        "]",
        ",",
        "'",
        '"',
        "`",
        "\\",
        "#",
        " #",
        "|",
        ">",
    ),
    *("&a ", "*a", "!t ", "!!python/object:os.system ", "? ", "%YAML 1.1\n", "---\n", "...\n", "<<: ", "~", "null"),
    *("f", "b", "fb", "bf", "f*9", "f*999999999", "-", "1 > 2", "0", "-1", "1.5", "1e9", "0x10", "0o7", "1_000", "on"),
    *("9" * 9, "9" * 30, "199999", "200001", "10000", "2", "start", "finish", "fold-over-a-pin", "../../x", "yes"),
    *("\x00", "\x1b[2J", "\x07", "\x7f", "\x85", "\u00ad", "\u200b", "\u200d", "\u2028", "\u202e", "\ufeff", "\ufffe"),
    *("é", "e\u0301", "ß", "漢字", "😀", "👩\u200d🚀", "\U000e0041", "\ud800", "ﷺ", "א", "\u0600"),
)
"""What is put into texts: signs of the format, numbers at limits, and characters that may steer a terminal."""


def bytes_changed(data: bytes, chance: Random) -> bytes:
    """A few changes of bytes: flipped, inserted, cut, doubled, or the end missing."""
    found = bytearray(data)
    for _ in range(chance.choice([1, 1, 2, 4, 16])):
        if not found:
            return bytes(found)
        at = chance.randrange(len(found))
        kind = chance.randrange(6)
        if kind == 0:
            found[at] ^= 1 << chance.randrange(8)
        elif kind == 1:
            found[at] = chance.choice([0, 1, 0x7F, 0x80, 0xFF, chance.randrange(256)])
        elif kind == 2:
            found[at:at] = chance.randbytes(chance.randint(1, 8))
        elif kind == 3:
            del found[at : at + chance.randint(1, 20)]
        elif kind == 4:
            part = found[at : at + chance.randint(1, 60)]
            place = chance.randrange(len(found))
            found[place:place] = part
        else:
            del found[at:]
    return bytes(found)


def numbers_changed(data: bytes, chance: Random) -> bytes:
    """One to four bytes in the first few hundred, where sizes and counts of images stand, become extreme."""
    found = bytearray(data)
    for _ in range(chance.randint(1, 3)):
        at = chance.randrange(min(len(found), 300))
        value = chance.choice(
            [b"\0", b"\xff", b"\0\0\0\0", b"\xff\xff\xff\xff", b"\x7f\xff\xff\xff", b"\xff\xff", b"\0\x01"]
        )
        found[at : at + len(value)] = value
    return bytes(found)


def _replaced(text: str, chance: Random) -> str:
    at = chance.randrange(len(text) + 1)
    return text[:at] + chance.choice(PIECES) + text[at + chance.choice([0, 0, 1, 3, 12]) :]


def _line_moved(text: str, chance: Random) -> str:
    lines = text.split("\n")
    line = lines.pop(chance.randrange(len(lines)))
    kind = chance.randrange(4)
    if kind == 0:
        return "\n".join(lines)
    lines.insert(chance.randrange(len(lines) + 1), line)
    if kind == 1:
        lines.insert(chance.randrange(len(lines) + 1), line)
    elif kind == 2:
        lines[chance.randrange(len(lines))] += line.strip()
    return "\n".join(lines)


def _value_changed(text: str, chance: Random) -> str:
    """The value after a colon, or an item of a list, becomes something else."""
    places = [at + 2 for at in range(len(text) - 2) if text[at : at + 2] in (": ", "- ", ", ", "[ ")]
    if not places:
        return _replaced(text, chance)
    at = chance.choice(places)
    end = next((end for end in range(at, len(text)) if text[end] in "\n,]}"), len(text))
    return text[:at] + chance.choice(PIECES) + text[end:]


def _indented(text: str, chance: Random) -> str:
    lines = text.split("\n")
    at = chance.randrange(len(lines))
    lines[at] = " " * chance.randint(0, 6) + lines[at].lstrip() if chance.random() < 0.8 else "\t" + lines[at]
    return "\n".join(lines)


def _repeated(text: str, chance: Random) -> str:
    """A part stands many times: lines, brackets or long words."""
    at = chance.randrange(len(text) + 1)
    part = chance.choice([*PIECES, text[at : at + chance.randint(1, 80)]])
    return text[:at] + part * chance.choice([3, 50, 600, 5000]) + text[at:]


def _spliced(text: str, other: str, chance: Random) -> str:
    at, place = chance.randrange(len(text) + 1), chance.randrange(len(other) + 1)
    return text[:at] + other[place : place + chance.randint(1, 400)] + text[at:]


CHANGES: tuple[Callable[[str, Random], str], ...] = (
    *(_replaced, _replaced, _line_moved, _value_changed, _value_changed, _indented, _repeated),
)


def text_changed(text: str, others: Sequence[str], chance: Random) -> bytes:
    """A text after one to five changes of lines, values, depth or characters; now and then of its bytes too."""
    for _ in range(chance.choice([1, 1, 1, 2, 3, 5])):
        if chance.random() < 0.08:
            text = _spliced(text, chance.choice(others), chance)
        else:
            text = chance.choice(CHANGES)(text, chance)
    data = text.encode("utf-8", "surrogatepass")
    return bytes_changed(data, chance) if chance.random() < 0.15 else data


def structure_changed(text: str, chance: Random) -> bytes:
    """A YAML text with one to three other values, keys or items, written out again as YAML."""
    root = yaml.load(text, yaml.BaseLoader)
    for _ in range(chance.choice([1, 1, 2, 3])):
        _branch_changed(root, chance)
    written = yaml.safe_dump(root, allow_unicode=True, sort_keys=chance.random() < 0.2, width=chance.choice([80, 2000]))
    return written.encode("utf-8", "surrogatepass")


def _branch_changed(root: object, chance: Random) -> None:
    """Changes one entry somewhere below the root."""
    branches = [branch for branch in _branches(root) if branch]
    if not branches:
        return
    branch = chance.choice(branches)
    if isinstance(branch, list):
        at = chance.randrange(len(branch))
        kind = chance.randrange(5)
        if kind == 0:
            del branch[at]
        elif kind == 1:
            branch.insert(chance.randrange(len(branch) + 1), branch[at])
        elif kind == 2:
            other = chance.randrange(len(branch))
            branch[at], branch[other] = branch[other], branch[at]
        else:
            branch[at] = _other_value(branch[at], chance)
        return
    assert isinstance(branch, dict)
    key = chance.choice(list(branch))
    if chance.random() < 0.2:
        value = branch.pop(key)
        if chance.random() < 0.6:
            branch[_other_value(key, chance)] = value
    else:
        branch[key] = _other_value(branch[key], chance)


def _branches(node: object) -> list[dict[object, object] | list[object]]:
    if isinstance(node, dict):
        return [node, *(branch for value in node.values() for branch in _branches(value))]
    if isinstance(node, list):
        return [node, *(branch for value in node for branch in _branches(value))]
    return []


def _other_value(value: object, chance: Random) -> str:
    """Another value much like this one: a number near it, a text with something changed."""
    text = str(value)
    if text.isdigit() and chance.random() < 0.7:
        return str(chance.choice([0, 1, 2, int(text) + 1, max(0, int(text) - 1), int(text) * 10, 199_999, 200_001]))
    words = text.split(" ")
    kind = chance.randrange(5)
    if kind == 0:
        words[chance.randrange(len(words))] = chance.choice(["f", "b", "fb", "bf", "-", "f*3", "teal", "#abc", "x"])
    elif kind == 1:
        words.append(chance.choice(words))
    elif kind == 2 and len(text) > 1:
        at = chance.randrange(len(text) - 1)
        return text[:at] + text[at + 1] + text[at] + text[at + 2 :]
    elif kind == 3:
        return text * chance.choice([2, 20, 400])
    else:
        return _replaced(text, chance)
    return " ".join(words)
