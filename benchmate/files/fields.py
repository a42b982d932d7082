"""Reading checked values from a tree. Each method returns a value or None, and collects problems with their places."""

from collections.abc import Collection, Iterable

from benchmate.craft.wording.counting import counted
from benchmate.files.safe_text import bounded_number, hidden_in, is_name, is_whole_number, nearest, quoted
from benchmate.files.tree import Entry, FaultyNode, MappingNode, Node, Problem, ScalarNode, SequenceNode

MOST_IN_LINE = 500
"""The most characters in a line of text."""
MOST_IN_NOTES = 10_000
"""The most characters in the notes of a design."""

_MOST_GUESSES = 100


class Faults:
    """The problems found in one file; without `limit_texts`, a text of any length is good."""

    def __init__(self, problems: Iterable[Problem] = (), *, limit_texts: bool = True) -> None:
        self.limit_texts = limit_texts
        self._found = list(problems)
        self._guesses = _MOST_GUESSES
        self.errors = sum(not problem.warning for problem in self._found)

    def error(self, place: Node, message: str, further: int = 0) -> None:
        """Adds an error at `place`, or `further` columns to the right of it."""
        self.errors += 1
        self._found.append(Problem(place.line, place.column + further, message))

    def error_on_line(self, place: ScalarNode, line: int, message: str) -> None:
        """Adds an error in a line of a text, counted from 0. Outside a block, its place is that of the text."""
        if place.block is None:
            self.error(place, message)
        else:
            self.errors += 1
            # A line without text need not be indented.
            column = place.indent + 1 if place.text.split("\n")[line] else 1
            self._found.append(Problem(place.block + line, column, message))

    def missing(self, message: str) -> None:
        """Adds an error about something that the file lacks; its place is the first line."""
        self.errors += 1
        self._found.append(Problem(1, 1, message))

    def warning(self, place: Node, message: str) -> None:
        """Adds a warning at `place`, which does not make the file bad."""
        self._found.append(Problem(place.line, place.column, message, warning=True))

    def check_length(self, place: Node, what: str, text: str, most: int | None = None) -> bool:
        """Whether the text has at most MOST_IN_LINE characters in a line or `most` in all; adds an error if not."""
        found = max(map(len, text.split("\n"))) if most is None else len(text)
        if found > (most or MOST_IN_LINE) and self.limit_texts:
            limit = f"{MOST_IN_LINE} characters in a line" if most is None else f"{most} characters"
            self.error(place, f"{what} must have at most {limit} (found {found})")
            return False
        return True

    def in_file_order(self) -> list[Problem]:
        """Every problem, sorted by place."""
        return sorted(self._found, key=lambda problem: problem[:2])

    def guess(self, word: str, known: Collection[str], *, only_near: bool = False) -> str:
        """`; did you mean ...?` with the nearest of `known`, or `; the nearest is ...` when none is near.

        With `only_near`, nothing when none is near.

        Guesses take time, and a file can have a hundred thousand errors, so only the first 100 guesses of a file are
        made. After that, or when `known` is empty, the result is empty.
        """
        if not known or not self._guesses:
            return ""
        self._guesses -= 1
        found, near = nearest(word, known)
        if found is None:
            return ""
        if near:
            return f"; did you mean {quoted(found)}?"
        return "" if only_near else f"; the nearest is {quoted(found)}"


class Fields:
    """The keys of one mapping. `known` are the keys it may have; `owner` names the mapping in messages."""

    def __init__(self, mapping: MappingNode, known: Collection[str], faults: Faults, owner: str = "") -> None:
        self.faults = faults
        self._entries = mapping.entries
        self._owner = owner
        for name, entry in mapping.entries.items():
            if name not in known:
                faults.error(entry.key, f"unknown key {quoted(name)}{faults.guess(name, known)}")

    def __contains__(self, key: str) -> bool:
        return key in self._entries

    def entry(self, key: str) -> Entry:
        """The key and its value; raises KeyError when the mapping lacks it."""
        return self._entries[key]

    def node(self, key: str, needed: bool = False) -> Node | None:
        """The value of `key`, or None; a missing key is reported if it is `needed`."""
        entry = self._entries.get(key)
        if entry is not None:
            return entry.value
        if needed:
            self.faults.missing(f"the key `{key}` is missing{self._owner}")
        return None

    def scalar(self, key: str, needed: bool = False, what: str = "text") -> ScalarNode | None:
        """The value of `key` if it is a single text; `what` says in messages what it must be."""
        node = self.node(key, needed)
        return None if node is None else as_scalar(node, f"`{key}`", what, self.faults)

    def sequence(self, key: str, needed: bool = False, what: str = "") -> SequenceNode | None:
        """The value of `key` if it is a list; `what` describes the list in messages."""
        node = self.node(key, needed)
        if node is None or isinstance(node, FaultyNode):
            return None
        if isinstance(node, SequenceNode):
            return node
        self.faults.error(node, f"`{key}` must be a list{what} (found {_kind(node)})")
        return None

    def mapping(self, key: str, needed: bool = False, what: str = "") -> MappingNode | None:
        """The value of `key` if it is a mapping; `what` describes the mapping in messages."""
        node = self.node(key, needed)
        if node is None or isinstance(node, FaultyNode):
            return None
        if isinstance(node, MappingNode):
            return node
        self.faults.error(node, f"`{key}` must be a mapping{what} (found {_kind(node)})")
        return None

    def text(self, key: str, most: int | None = None) -> str | None:
        """Text of any number of lines, of `most` characters in all or by default MOST_IN_LINE in each line.

        None when it is missing or empty. Control and format characters are left out, with a warning.
        """
        scalar = self.scalar(key)
        if scalar is None:
            return None
        text = cleaned(scalar, f"`{key}`", self.faults)
        self.faults.check_length(scalar, f"`{key}`", text, most)
        return text or None

    def one_line(self, key: str, needed: bool = False, may_be_empty: bool = False) -> str | None:
        """Like `text`, but of one line; an empty text is reported unless it `may_be_empty`."""
        scalar = self.scalar(key, needed, "one line of text")
        if scalar is None:
            return None
        text = cleaned(scalar, f"`{key}`", self.faults)
        if "\n" in text:
            self.faults.error(scalar, f"`{key}` must be one line of text, without a line break")
        elif text == "" and not may_be_empty:
            self.faults.error(scalar, f"`{key}` must not be empty")
        else:
            self.faults.check_length(scalar, f"`{key}`", text)
            return text or None
        return None

    def name(self, key: str, needed: bool = False) -> str | None:
        """A word of letters, digits, `-` and `_`."""
        what = "a name of letters, digits, - and _"
        scalar = self.scalar(key, needed, what)
        if scalar is None:
            return None
        if is_name(scalar.text):
            return scalar.text if self.faults.check_length(scalar, f"`{key}`", scalar.text) else None
        self.faults.error(scalar, f"`{key}` must be {what} (found {_quoted_or_nothing(scalar.text)})")
        return None

    def whole_number(self, key: str, low: int, high: int, needed: bool = False) -> int | None:
        """A whole number in decimal digits from `low` (0 or more) to `high`."""
        example = min((low + high) // 2, max(low, 12))
        what = f"a whole number from {low} to {high}, such as {example}" if low < high else f"{low}"
        scalar = self.scalar(key, needed, what)
        if scalar is None:
            return None
        if is_whole_number(scalar.text):
            value = bounded_number(scalar.text, high)
            if low <= value <= high:
                return value
        self.faults.error(scalar, f"`{key}` must be {what} (found {_quoted_or_nothing(scalar.text)})")
        return None

    def decimal_number(self, key: str, high: int, example: str) -> float | None:
        """A number from 0 to `high` in decimal digits, with or without a point; `example` has its unit and one such."""
        what = f"a number from 0 to {high} {example}"
        scalar = self.scalar(key, what=what)
        if scalar is None:
            return None
        whole, point, part = scalar.text.partition(".")
        if is_whole_number(whole) and (is_whole_number(part) or not point):
            value = float(scalar.text) if len(whole.lstrip("0")) <= len(str(high)) else high + 1.0
            if value <= high:
                return value
        self.faults.error(scalar, f"`{key}` must be {what} (found {_quoted_or_nothing(scalar.text)})")
        return None

    def choice(self, key: str, choices: Collection[str], needed: bool = False) -> str | None:
        """One of `choices`."""
        what = f"one of {', '.join(choices)}"
        scalar = self.scalar(key, needed, what)
        if scalar is None or scalar.text in choices:
            return None if scalar is None else scalar.text
        text = _quoted_or_nothing(scalar.text)
        self.faults.error(scalar, f"`{key}` must be {what} (found {text}){self.faults.guess(scalar.text, choices)}")
        return None


def as_scalar(node: Node, what: str, wanted: str, faults: Faults) -> ScalarNode | None:
    """The node if it is a single text; otherwise reports that `what` must be `wanted`."""
    if isinstance(node, ScalarNode):
        return node
    if not isinstance(node, FaultyNode):
        faults.error(node, f"{what} must be {wanted} (found {_kind(node)})")
    return None


def cleaned(scalar: ScalarNode, what: str, faults: Faults) -> str:
    """The text without outer blanks, control and format characters. Tabs become spaces; line breaks stay."""
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
        return "text" if node.text else "nothing"
    return "a mapping" if isinstance(node, MappingNode) else "a list"


def _quoted_or_nothing(text: str) -> str:
    return quoted(text) if text else "nothing"
