"""Taking checked values out of a tree: each reader gives a value or None; what is wrong is collected with its place."""

from collections.abc import Collection, Iterable

from benchmate.craft.wording.counting import counted
from benchmate.files.tree import Entry, FaultyNode, MappingNode, Node, Problem, ScalarNode, SequenceNode
from benchmate.files.words import bounded_number, hidden_in, is_name, is_whole_number, nearest, quoted

_MOST_GUESSES = 100


class Faults:
    """The problems found so far in one file."""

    def __init__(self, problems: Iterable[Problem] = ()) -> None:
        self._found = list(problems)
        self._guesses = _MOST_GUESSES
        self.errors = sum(not problem.warning for problem in self._found)

    def error(self, place: Node, message: str, further: int = 0) -> None:
        """Something wrong at `place`, or `further` columns to the right of it."""
        self.errors += 1
        self._found.append(Problem(place.line, place.column + further, message))

    def error_on_line(self, place: ScalarNode, line: int, message: str) -> None:
        """Something wrong with a line of a text, from 0: at that line where the text is a block, else at its place."""
        if place.block is None:
            self.error(place, message)
        else:
            self.errors += 1
            self._found.append(Problem(place.block + line, place.indent + 1, message))

    def missing(self, message: str) -> None:
        """Something that is not in the file: it is reported on the first line."""
        self.errors += 1
        self._found.append(Problem(1, 1, message))

    def warning(self, place: Node, message: str) -> None:
        """Something odd at `place` that does not make the file bad."""
        self._found.append(Problem(place.line, place.column, message, warning=True))

    def in_file_order(self) -> list[Problem]:
        """Every problem found, by place."""
        return sorted(self._found, key=lambda problem: problem[:2])

    def guess(self, word: str, known: Collection[str], kind: str = "") -> str:
        """`; did you mean ...?` with the nearest of `known`, or what it is when none is near.

        Each guess costs time, and a file can hold a hundred thousand faults: only the first 100 guesses of a file are
        made. After that, and when nothing is known, the answer is empty.
        """
        if not known or not self._guesses:
            return ""
        self._guesses -= 1
        found, near = nearest(word, known)
        if found is None:
            return ""
        return f"; did you mean {quoted(found)}?" if near else f"; the nearest known {kind} is {quoted(found)}"


class Fields:
    """The keys of one mapping: `known` are those it may have, `owner` says whose they are in messages."""

    def __init__(self, mapping: MappingNode, known: Collection[str], faults: Faults, owner: str = "") -> None:
        self.faults = faults
        self._entries = mapping.entries
        self._owner = owner
        for name, entry in mapping.entries.items():
            if name not in known:
                faults.error(entry.key, f"unknown key {quoted(name)}{faults.guess(name, known, 'key')}")

    def __contains__(self, key: str) -> bool:
        return key in self._entries

    def entry(self, key: str) -> Entry:
        """The key and its value; KeyError when it is not there."""
        return self._entries[key]

    def node(self, key: str, needed: bool = False) -> Node | None:
        """The value of `key`; None when it is not there, which is reported when it is `needed`."""
        entry = self._entries.get(key)
        if entry is not None:
            return entry.value
        if needed:
            self.faults.missing(f"the key `{key}` is missing{self._owner}")
        return None

    def scalar(self, key: str, needed: bool = False, what: str = "text") -> ScalarNode | None:
        """The value of `key` when it is a single text; `what` says what it should be."""
        node = self.node(key, needed)
        return None if node is None else as_scalar(node, f"`{key}`", what, self.faults)

    def sequence(self, key: str, needed: bool = False, what: str = "") -> SequenceNode | None:
        """The value of `key` when it is a list; `what` follows in the message when it is none."""
        node = self.node(key, needed)
        if node is None or isinstance(node, FaultyNode):
            return None
        if isinstance(node, SequenceNode):
            return node
        self.faults.error(node, f"`{key}` is a list{what}, not {_kind(node)}")
        return None

    def mapping(self, key: str, needed: bool = False, what: str = "") -> MappingNode | None:
        """The value of `key` when it is a mapping; `what` follows in the message when it is none."""
        node = self.node(key, needed)
        if node is None or isinstance(node, FaultyNode):
            return None
        if isinstance(node, MappingNode):
            return node
        self.faults.error(node, f"`{key}` is a mapping{what}, not {_kind(node)}")
        return None

    def text(self, key: str) -> str | None:
        """Text of any number of lines without control and format characters; None when there is none or it is empty.

        What is dropped is said in a warning.
        """
        scalar = self.scalar(key)
        return None if scalar is None else cleaned(scalar, f"`{key}`", self.faults) or None

    def one_line(self, key: str, needed: bool = False, may_be_empty: bool = False) -> str | None:
        """Text of one line, else as `text`; an empty one is reported unless it `may_be_empty`."""
        scalar = self.scalar(key, needed, "one line of text")
        if scalar is None:
            return None
        text = cleaned(scalar, f"`{key}`", self.faults)
        if "\n" in text:
            self.faults.error(scalar, f"`{key}` is one line of text, and there is a line break in it")
        elif text == "" and not may_be_empty:
            self.faults.error(scalar, f"`{key}` is empty: it needs some text")
        else:
            return text or None
        return None

    def name(self, key: str, needed: bool = False) -> str | None:
        """One word of letters, digits, `-` and `_`."""
        what = "a name of letters, digits, - and _"
        scalar = self.scalar(key, needed, what)
        if scalar is None:
            return None
        if is_name(scalar.text):
            return scalar.text
        self.faults.error(scalar, f"`{key}` is {what}, not {_quoted_or_empty(scalar.text)}")
        return None

    def whole_number(self, key: str, low: int, high: int, needed: bool = False) -> int | None:
        """A whole number in decimal digits from `low` (0 or more) to `high`; None when there is none."""
        what = f"a whole number from {low} to {high}" if low < high else f"the number {low}"
        scalar = self.scalar(key, needed, what)
        if scalar is None:
            return None
        if is_whole_number(scalar.text):
            value = bounded_number(scalar.text, high)
            if low <= value <= high:
                return value
        self.faults.error(scalar, f"`{key}` is {what}, not {_quoted_or_empty(scalar.text)}")
        return None

    def choice(self, key: str, choices: Collection[str], needed: bool = False) -> str | None:
        """One of `choices`, written as it stands there."""
        what = f"one of {', '.join(choices)}"
        scalar = self.scalar(key, needed, what)
        if scalar is None or scalar.text in choices:
            return None if scalar is None else scalar.text
        text = _quoted_or_empty(scalar.text)
        self.faults.error(scalar, f"`{key}` is {what}, not {text}{self.faults.guess(scalar.text, choices, 'one')}")
        return None


def as_scalar(node: Node, what: str, wanted: str, faults: Faults) -> ScalarNode | None:
    """The node when it is a single text; else reports that `what` should be `wanted`."""
    if isinstance(node, ScalarNode):
        return node
    if not isinstance(node, FaultyNode):
        faults.error(node, f"{what} is {wanted}, not {_kind(node)}")
    return None


def cleaned(scalar: ScalarNode, what: str, faults: Faults) -> str:
    """The text without control and format characters and outer blanks: tabs become spaces, line breaks stay."""
    text = scalar.text.strip(" \t\n")
    hidden = hidden_in(text.replace("\n", ""))
    if not hidden:
        return text
    count = sum(map(text.count, hidden))
    faults.warning(scalar, f"{counted(count, 'control or format character')} left out of {what}")
    table: dict[int, str | None] = {ord(character): None for character in hidden}
    table[ord("\t")] = " "
    return text.translate(table).strip(" \n")


def _kind(node: Node) -> str:
    if isinstance(node, ScalarNode):
        return "a text" if node.text else "nothing"
    return "a mapping" if isinstance(node, MappingNode) else "a list"


def _quoted_or_empty(text: str) -> str:
    return quoted(text) if text else "nothing"
