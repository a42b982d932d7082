"""YAML text as a small tree of scalars, mappings and sequences, each with its place, and nothing executed or expanded.

Lines and columns count from 1, columns in characters; a byte order mark at the very beginning counts for nothing.
"""

from typing import Any, NamedTuple

import yaml

from benchmate.files.regular_file import CannotRead, read_regular
from benchmate.files.syntax import BAD_ESCAPE, MOST_DEPTH, TOO_DEEP, in_plain_words
from benchmate.files.words import quoted, shown
from benchmate.files.yaml_parser import PARSER

MOST_BYTES = 1_000_000


class Problem(NamedTuple):
    """Something wrong at a place of a file: one line of plain words without control characters."""

    line: int
    column: int
    message: str
    warning: bool = False


class BadFile(Exception):
    """A file that cannot be used: its name as given, and either placed problems or one message for the whole file."""

    def __init__(self, name: str, problems: list[Problem] | None = None, message: str | None = None) -> None:
        super().__init__(name, problems, message)
        self.name = name
        self.problems = problems or []
        self.message = message

    def lines(self, warnings: bool = True) -> list[str]:
        """What to print, one line for each problem in file order; `warnings` says whether warnings are among them."""
        if self.message is not None:
            return [f"{shown(self.name)}: {self.message}"]
        return [format_problem(self.name, problem) for problem in self.problems if warnings or not problem.warning]

    def __str__(self) -> str:
        return "\n".join(self.lines(warnings=False))


class ScalarNode(NamedTuple):
    """A text as written, quoted or not.

    `inside` is how many columns after its place the text begins when it stands in the file letter for letter on one
    line (0, or 1 after a quote), and None when it does not: folded, escaped or a block. Where the text is a block under
    `|`, its lines stand in the file from line `block` on, each from column `indent` + 1.
    """

    text: str
    line: int
    column: int
    inside: int | None
    block: int | None = None
    indent: int = 0


class Entry(NamedTuple):
    """One key of a mapping and its value. An empty value has the place of its key."""

    key: ScalarNode
    value: "Node"


class MappingNode(NamedTuple):
    """Entries by key, in file order."""

    entries: dict[str, Entry]
    line: int
    column: int


class SequenceNode(NamedTuple):
    """Items in file order; `flow` is True when they stand in square brackets."""

    items: list["Node"]
    line: int
    column: int
    flow: bool


class FaultyNode(NamedTuple):
    """A place whose problem is already reported, and about which nothing more can be said."""

    line: int
    column: int


Node = ScalarNode | MappingNode | SequenceNode | FaultyNode


def format_problem(name: str, problem: Problem) -> str:
    """`FILE:LINE:COLUMN: message`, with `warning: ` before the message of a warning."""
    kind = "warning: " if problem.warning else ""
    return f"{shown(name)}:{problem.line}:{problem.column}: {kind}{problem.message}"


def read_text(name: str) -> str:
    """The text of the file `name`, a byte order mark included.

    Raises BadFile when it cannot be opened, is no regular file, is longer than `MOST_BYTES` or is not UTF-8.
    """
    try:
        data = read_regular(name, MOST_BYTES)
    except CannotRead as error:
        raise BadFile(name, message=str(error)) from None
    if len(data) > MOST_BYTES:
        raise BadFile(name, [_TOO_LONG])
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as error:
        before = data[: error.start].decode("utf-8").removeprefix("\ufeff")
        message = f"byte 0x{data[error.start]:02x} is not UTF-8: save the file as UTF-8 text"
        raise BadFile(name, [Problem(*_spot(before, len(before)), message)]) from None


def parse_yaml(text: str, may_be_empty: bool = False) -> tuple[Node | None, list[Problem]]:
    """The tree of the YAML document `text` and everything wrong with it as YAML, in file order.

    The tree is None when there is none to speak of: the text cannot be read to its end, or holds nothing. With
    `may_be_empty` a text that holds nothing is no problem. Aliases, anchors, tags, a second document, keys said twice
    and keys that are not text are problems beside which the tree still stands, so that the rest of the file can be
    checked in the same run.
    """
    if len(text) > MOST_BYTES or (not text.isascii() and len(text.encode("utf-8", "replace")) > MOST_BYTES):
        return None, [_TOO_LONG]
    text = text.removeprefix("\ufeff")
    unreadable = _unreadable_characters(text)
    if unreadable:
        if "\0" in text:
            return None, unreadable
        # With something harmless in their place the rest of the file can be checked in the same run.
        text = _without_unreadable(text)
    # A text is read the same with and without a last line break.
    grower = _Grower(text if text.endswith(("\n", "\r")) else text + "\n")
    whole = grower.parse_yaml()
    last = _spot(text, len(text))
    problems = [
        problem if problem[:2] <= last else problem._replace(line=last[0], column=last[1])
        for problem in grower.problems
    ]
    problems = sorted([*unreadable, *problems], key=lambda problem: problem[:2])
    root = grower.root
    if not whole:
        return None, problems
    if root is None or (isinstance(root, ScalarNode) and root.text == "" and root.inside == 0):
        return None, problems if problems or may_be_empty else [
            Problem(1, 1, "the file is empty: it needs `key: value` lines")
        ]
    return root, problems


_TOO_LONG = Problem(1, 1, f"the file is longer than 1 MB ({MOST_BYTES} bytes), the most that is read")

# Line breaks to a YAML parser, but not to an editor: they would put every later place on another line.
_BREAKS = {"\x85": "next line", "\u2028": "line separator", "\u2029": "paragraph separator"}


def _spot(text: str, index: int) -> tuple[int, int]:
    """Line and column of the character at `index`."""
    before = text[:index].replace("\r\n", "\n").replace("\r", "\n")
    return before.count("\n") + 1, len(before) - before.rfind("\n")


def _unreadable_characters(text: str) -> list[Problem]:
    """Of every line, the first character that cannot stand in YAML, or that parsers and editors count differently.

    A NUL is in no text at all, so only the first is told.
    """
    pattern = yaml.reader.Reader.NON_PRINTABLE
    counted = () if text.isascii() else ("\ufeff", *_BREAKS)
    if not pattern.search(text) and not any(character in text for character in counted):
        return []
    found: list[Problem] = []
    for number, line in enumerate(text.replace("\r\n", "\n").replace("\r", "\n").split("\n"), 1):
        for column, character in enumerate(line, 1):
            if character == "\ufeff" or character in _BREAKS or pattern.match(character):
                found.append(Problem(number, column, _cannot_stand(character)))
                if character == "\0":
                    return found
                break
    return found


def _without_unreadable(text: str) -> str:
    """The text with a letter, a space for those that are taken for breaks, in the place of every such character."""
    for character in ("\ufeff", *_BREAKS):
        text = text.replace(character, " ")
    replaced: str = yaml.reader.Reader.NON_PRINTABLE.sub("x", text)
    return replaced


def _cannot_stand(character: str) -> str:
    if character == "\ufeff":
        return "a byte order mark (U+FEFF) can only be the very first character of a file: take it out"
    code = f"U+{ord(character):04X}"
    if character in _BREAKS:
        return f"a {_BREAKS[character]} character ({code}) cannot stand here: use an ordinary line break"
    return f"the character {code} cannot stand in a text file: take it out"


class _Grower:
    """Builds one tree from a parser's events."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.root: Node | None = None
        self.problems: list[Problem] = []
        self.open: list[MappingNode | SequenceNode] = []
        # For every open collection, the key whose value comes next.
        self.keys: list[Node | None] = []

    def parse_yaml(self) -> bool:
        """Read every event; False when the text could not be read to the end of its first document."""
        parser = PARSER(self.text)
        try:
            return self._read(parser)
        except yaml.MarkedYAMLError as error:
            # The parser always says the problem and its place; it need not say where what it was at began.
            mark: Any = error.problem_mark
            since = error.context_mark.line + 1 if error.context_mark else None
            at = self.text[mark.index : mark.index + 1]
            self._fault_at_mark(mark, in_plain_words(str(error.problem), since, at))
        finally:
            parser.dispose()
        return False

    def _read(self, parser: Any) -> bool:
        documents = 0
        while (event := parser.get_event()) is not None:
            kind = type(event)
            if kind is yaml.ScalarEvent:
                if not self._scalar(event):
                    return False
            elif kind is yaml.SequenceStartEvent or kind is yaml.MappingStartEvent:
                if not self._begin(event, kind is yaml.SequenceStartEvent):
                    return False
            elif kind is yaml.SequenceEndEvent or kind is yaml.MappingEndEvent:
                self.open.pop()
                self.keys.pop()
            elif kind is yaml.AliasEvent:
                self._fault_at_mark(event.start_mark, _NO_ALIAS)
                self._hang(FaultyNode(event.start_mark.line + 1, event.start_mark.column + 1))
            elif kind is yaml.DocumentStartEvent:
                documents += 1
                if documents > 1:
                    self._fault_at_mark(event.start_mark, "a second document begins here: a file holds one")
                    return True
        return True

    def _scalar(self, event: Any) -> bool:
        """Hang a scalar; False when it holds what no text can."""
        text, start, end = event.value, event.start_mark, event.end_mark
        if event.tag is not None or event.anchor is not None:
            self._refuse_dressing(event)
        if not text.isascii() and not _can_be_encoded(text):
            place = start.index + _escaped_surrogate(self.text[start.index : end.index])
            self.problems.append(Problem(*_spot(self.text, place), in_plain_words(BAD_ESCAPE)))
            return False
        quotes = 1 if event.style in ("'", '"') else 0
        # An escape, a fold or a block's indentation is always longer in the file than in the text it stands for.
        stands = start.line == end.line and end.column - start.column == len(text) + 2 * quotes
        scalar = ScalarNode(text, start.line + 1, start.column + 1, quotes if stands else None)
        if event.style == "|":
            indent = _indent(text, self.text[start.index : end.index])
            scalar = scalar._replace(block=start.line + 2, indent=indent)
        self._hang(scalar)
        return True

    def _begin(self, event: Any, sequence: bool) -> bool:
        """Open a sequence or a mapping; False when it lies too deep."""
        mark = event.start_mark
        if event.tag is not None or event.anchor is not None:
            self._refuse_dressing(event)
        if len(self.open) == MOST_DEPTH:
            self._fault_at_mark(mark, TOO_DEEP)
            return False
        node: MappingNode | SequenceNode
        if sequence:
            node = SequenceNode([], mark.line + 1, mark.column + 1, bool(event.flow_style))
        else:
            node = MappingNode({}, mark.line + 1, mark.column + 1)
        self._hang(node)
        self.open.append(node)
        self.keys.append(None)
        return True

    def _hang(self, node: Node) -> None:
        """Put a node where it belongs: the root, the next item, the next key or that key's value."""
        if not self.open:
            self.root = node
            return
        top = self.open[-1]
        if isinstance(top, SequenceNode):
            top.items.append(node)
            return
        key = self.keys[-1]
        if key is None:
            self.keys[-1] = self._key(top, node)
            return
        self.keys[-1] = None
        if isinstance(key, ScalarNode):
            if isinstance(node, ScalarNode) and node.text == "" and node.inside == 0:
                node = ScalarNode("", key.line, key.column, None)
            top.entries[key.text] = Entry(key, node)

    def _key(self, mapping: MappingNode, node: Node) -> Node:
        """The key, or an FaultyNode in place of one that cannot be used."""
        if isinstance(node, ScalarNode):
            first = mapping.entries.get(node.text)
            if first is None:
                return node
            message = f"the key {quoted(node.text)} is said twice: it stands on line {first.key.line} already"
            self.problems.append(Problem(node.line, node.column, message))
        elif not isinstance(node, FaultyNode):
            self.problems.append(Problem(node.line, node.column, "a list or a mapping cannot be a key: a key is text"))
        return FaultyNode(node.line, node.column)

    def _refuse_dressing(self, event: Any) -> None:
        """Report a tag or an anchor before a node."""
        message = _NO_TAG if event.tag is not None else _NO_ANCHOR
        self._fault_at_mark(event.start_mark, message)

    def _fault_at_mark(self, mark: Any, message: str) -> None:
        self.problems.append(Problem(mark.line + 1, mark.column + 1, message))


_NO_ALIAS = "an alias (`*name`) is not read here: write the value out, or put quotes round a text that begins with *"
_NO_ANCHOR = "an anchor (`&name`) is not read here: take it out, or put quotes round a text that begins with &"
_NO_TAG = "a tag (`!name`) is not read here: take it out, or put quotes round a text that begins with !"


def _indent(text: str, written: str) -> int:
    """How far the lines of a block are set in: `text` is what it holds, `written` how it stands in the file."""
    _, *lines = written.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    for line, kept in zip(lines, text.split("\n"), strict=False):
        if kept:
            return len(line) - len(kept)
    return 0


def _can_be_encoded(text: str) -> bool:
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        return False
    return True


def _escaped_surrogate(written: str) -> int:
    """Where the hexadecimal digits of the first escaped surrogate begin in a double-quoted text as `written`."""
    import re

    found = re.match(r"(?:[^\\]|\\(?!u[dD][89a-fA-F]|U0000[dD][89a-fA-F]).)*\\[uU]", written, re.DOTALL)
    return found.end() if found else 0
