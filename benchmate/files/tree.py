"""YAML text as a tree of scalars, mappings and sequences, each with its place. Nothing is executed or expanded.

Lines and columns count from 1, columns in characters. A byte order mark at the start is not counted.
"""

from typing import Any, NamedTuple

import yaml

from benchmate.files.regular_file import CannotRead, read_regular
from benchmate.files.safe_text import quoted, shown
from benchmate.files.syntax import BAD_ESCAPE, MOST_DEPTH, TOO_DEEP, in_plain_words
from benchmate.files.yaml_parser import PARSER

MOST_BYTES = 1_000_000


class Problem(NamedTuple):
    """An error or warning at a place of a file. The message is one line without control characters."""

    line: int
    column: int
    message: str
    warning: bool = False


class BadFile(Exception):
    """A file that cannot be used: its name as given, with problems at places or one message for the whole file."""

    def __init__(self, name: str, problems: list[Problem] | None = None, message: str | None = None) -> None:
        super().__init__(name, problems, message)
        self.name = name
        self.problems = problems or []
        self.message = message

    def lines(self, warnings: bool = True) -> list[str]:
        """The lines to print, one for each problem in file order, with or without `warnings`."""
        if self.message is not None:
            return [f"{shown(self.name)}: {self.message}"]
        return [format_problem(self.name, problem) for problem in self.problems if warnings or not problem.warning]

    def __str__(self) -> str:
        return "\n".join(self.lines(warnings=False))


class ScalarNode(NamedTuple):
    """A text, quoted or not.

    `inside` is the number of columns from its place to the text, 0 or 1 for a quote, when the text is on one line
    exactly as in the file. It is None for a folded or escaped text or a block. Where the text is a block under `|`, its
    first line is line `block` of the file, and each line begins at column `indent` + 1.
    """

    text: str
    line: int
    column: int
    inside: int | None
    block: int | None = None
    indent: int = 0


class Entry(NamedTuple):
    """A key of a mapping and its value. An empty value has the place of its key."""

    key: ScalarNode
    value: "Node"


class MappingNode(NamedTuple):
    """Entries by key, in file order."""

    entries: dict[str, Entry]
    line: int
    column: int


class SequenceNode(NamedTuple):
    """Items in file order; `flow` is True for a list in square brackets."""

    items: list["Node"]
    line: int
    column: int
    flow: bool


class FaultyNode(NamedTuple):
    """A value that could not be read; its problem is already reported."""

    line: int
    column: int


Node = ScalarNode | MappingNode | SequenceNode | FaultyNode


def format_problem(name: str, problem: Problem) -> str:
    """`FILE:LINE:COLUMN: message`, with `warning: ` before the message of a warning."""
    kind = "warning: " if problem.warning else ""
    return f"{shown(name)}:{problem.line}:{problem.column}: {kind}{problem.message}"


def read_text(name: str) -> str:
    """The text of the file `name`, including a byte order mark.

    Raises BadFile when it cannot be opened, is not a regular file, is longer than `MOST_BYTES` or is not UTF-8.
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
        raise BadFile(name, [Problem(*_line_and_column(before, len(before)), message)]) from None


def parse_yaml(text: str, may_be_empty: bool = False) -> tuple[Node | None, list[Problem]]:
    """The tree of the YAML document `text`, and all problems of its YAML in file order.

    The tree is None when the text is empty or cannot be read to its end. An empty text is an error unless it
    `may_be_empty`. Aliases, anchors, tags, a second document, duplicate keys and keys that are not text are errors, but
    the tree is still returned, so that the rest of the file can be checked in the same run.
    """
    if len(text) > MOST_BYTES or (not text.isascii() and len(text.encode("utf-8", "replace")) > MOST_BYTES):
        return None, [_TOO_LONG]
    text = text.removeprefix("\ufeff")
    unreadable = _unreadable_characters(text)
    if unreadable:
        if "\0" in text:
            return None, unreadable
        # Replace them, so that the rest of the file can be checked in the same run.
        text = _without_unreadable(text)
    # A text is read the same with and without a last line break.
    builder = _TreeBuilder(text if text.endswith(("\n", "\r")) else text + "\n")
    complete = builder.build()
    last = _line_and_column(text, len(text))
    problems = [
        problem if problem[:2] <= last else problem._replace(line=last[0], column=last[1])
        for problem in builder.problems
    ]
    problems = sorted([*unreadable, *problems], key=lambda problem: problem[:2])
    root = builder.root
    if not complete:
        return None, problems
    if root is None or (isinstance(root, ScalarNode) and root.text == "" and root.inside == 0):
        return None, problems if problems or may_be_empty else [
            Problem(1, 1, "the file is empty; it needs lines such as `title: Tidewater`")
        ]
    return root, problems


_TOO_LONG = Problem(1, 1, f"the file is longer than 1 MB ({MOST_BYTES} bytes), the largest size allowed")

# YAML parsers count these as line breaks and editors do not, so all later line numbers would differ.
_BREAKS = {"\x85": "next line", "\u2028": "line separator", "\u2029": "paragraph separator"}


def _line_and_column(text: str, index: int) -> tuple[int, int]:
    """Line and column of the character at `index`."""
    before = text[:index].replace("\r\n", "\n").replace("\r", "\n")
    return before.count("\n") + 1, len(before) - before.rfind("\n")


def _unreadable_characters(text: str) -> list[Problem]:
    """The first character of each line that YAML does not allow, or that parsers and editors count differently.

    The search ends at a NUL, because a file with one is not text.
    """
    pattern = yaml.reader.Reader.NON_PRINTABLE
    miscounted = () if text.isascii() else ("\ufeff", *_BREAKS)
    if not pattern.search(text) and not any(character in text for character in miscounted):
        return []
    found: list[Problem] = []
    for number, line in enumerate(text.replace("\r\n", "\n").replace("\r", "\n").split("\n"), 1):
        for column, character in enumerate(line, 1):
            if character == "\ufeff" or character in _BREAKS or pattern.match(character):
                found.append(Problem(number, column, _unreadable_message(character)))
                if character == "\0":
                    return found
                break
    return found


def _without_unreadable(text: str) -> str:
    """The text with every such character replaced by a letter, or by a space where a parser would see a line break."""
    for character in ("\ufeff", *_BREAKS):
        text = text.replace(character, " ")
    replaced: str = yaml.reader.Reader.NON_PRINTABLE.sub("x", text)
    return replaced


def _unreadable_message(character: str) -> str:
    if character == "\ufeff":
        return "a byte order mark (U+FEFF) is allowed only at the start of a file: remove it"
    code = f"U+{ord(character):04X}"
    if character in _BREAKS:
        return f"a {_BREAKS[character]} character ({code}) is not allowed: use an ordinary line break"
    return f"the character {code} is not allowed in a text file: remove it"


class _TreeBuilder:
    """Builds one tree from a parser's events."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.root: Node | None = None
        self.problems: list[Problem] = []
        self.unclosed: list[MappingNode | SequenceNode] = []
        # For every open collection, the key whose value comes next.
        self.keys: list[Node | None] = []

    def build(self) -> bool:
        """Reads every event; False when the text could not be read to the end of its first document."""
        parser = PARSER(self.text)
        try:
            return self._read(parser)
        except yaml.MarkedYAMLError as error:
            # The parser always gives the problem and its place, but not always where the faulty part began.
            mark: Any = error.problem_mark
            since = error.context_mark.line + 1 if error.context_mark else None
            at = self.text[mark.index : mark.index + 1]
            self._error_at(mark, in_plain_words(str(error.problem), since, at))
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
                if not self._open(event, kind is yaml.SequenceStartEvent):
                    return False
            elif kind is yaml.SequenceEndEvent or kind is yaml.MappingEndEvent:
                self.unclosed.pop()
                self.keys.pop()
            elif kind is yaml.AliasEvent:
                self._error_at(event.start_mark, _NO_ALIAS)
                self._attach(FaultyNode(event.start_mark.line + 1, event.start_mark.column + 1))
            elif kind is yaml.DocumentStartEvent:
                documents += 1
                if documents > 1:
                    self._error_at(event.start_mark, "a second document begins here; a file must contain only one")
                    return True
        return True

    def _scalar(self, event: Any) -> bool:
        """Attaches a scalar; False when it contains an escaped surrogate."""
        text, start, end = event.value, event.start_mark, event.end_mark
        if event.tag is not None or event.anchor is not None:
            self._refuse_tag_or_anchor(event)
        if not text.isascii() and not _can_be_encoded(text):
            place = start.index + _escaped_surrogate(self.text[start.index : end.index])
            self.problems.append(Problem(*_line_and_column(self.text, place), in_plain_words(BAD_ESCAPE)))
            return False
        quotes = 1 if event.style in ("'", '"') else 0
        # An escape, a fold or a block's indentation makes the text in the file longer than its value.
        literal = start.line == end.line and end.column - start.column == len(text) + 2 * quotes
        scalar = ScalarNode(text, start.line + 1, start.column + 1, quotes if literal else None)
        if event.style == "|":
            indent = _indent(text, self.text[start.index : end.index])
            scalar = scalar._replace(block=start.line + 2, indent=indent)
        self._attach(scalar)
        return True

    def _open(self, event: Any, sequence: bool) -> bool:
        """Opens a sequence or a mapping; False when it is nested too deep."""
        mark = event.start_mark
        if event.tag is not None or event.anchor is not None:
            self._refuse_tag_or_anchor(event)
        if len(self.unclosed) == MOST_DEPTH:
            self._error_at(mark, TOO_DEEP)
            return False
        node: MappingNode | SequenceNode
        if sequence:
            node = SequenceNode([], mark.line + 1, mark.column + 1, bool(event.flow_style))
        else:
            node = MappingNode({}, mark.line + 1, mark.column + 1)
        self._attach(node)
        self.unclosed.append(node)
        self.keys.append(None)
        return True

    def _attach(self, node: Node) -> None:
        """Puts a node in its place: as the root, the next item, the next key or that key's value."""
        if not self.unclosed:
            self.root = node
            return
        top = self.unclosed[-1]
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
        """The key, or a FaultyNode for a key that cannot be used."""
        if isinstance(node, ScalarNode):
            first = mapping.entries.get(node.text)
            if first is None:
                return node
            message = f"duplicate key {quoted(node.text)}: it is already on line {first.key.line}"
            self.problems.append(Problem(node.line, node.column, message))
        elif not isinstance(node, FaultyNode):
            self.problems.append(Problem(node.line, node.column, "a key must be text, not a list or a mapping"))
        return FaultyNode(node.line, node.column)

    def _refuse_tag_or_anchor(self, event: Any) -> None:
        """Reports a tag or an anchor before a node."""
        message = _NO_TAG if event.tag is not None else _NO_ANCHOR
        self._error_at(event.start_mark, message)

    def _error_at(self, mark: Any, message: str) -> None:
        self.problems.append(Problem(mark.line + 1, mark.column + 1, message))


_NO_ALIAS = "an alias (`*name`) is not allowed: write the value itself, or quote a text that begins with *"
_NO_ANCHOR = "an anchor (`&name`) is not allowed: remove it, or quote a text that begins with &"
_NO_TAG = "a tag (`!name`) is not allowed: remove it, or quote a text that begins with !"


def _indent(text: str, written: str) -> int:
    """The indentation of a block; `text` is its value, `written` the block as in the file."""
    _, *lines = written.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    for line, value in zip(lines, text.split("\n"), strict=False):
        if value:
            return len(line) - len(value)
    return 0


def _can_be_encoded(text: str) -> bool:
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        return False
    return True


def _escaped_surrogate(written: str) -> int:
    """The index of the hexadecimal digits of the first escaped surrogate in a double-quoted text as `written`."""
    import re

    found = re.match(r"(?:[^\\]|\\(?!u[dD][89a-fA-F]|U0000[dD][89a-fA-F]).)*\\[uU]", written, re.DOTALL)
    return found.end() if found else 0
