"""The messages of YAML parsers in plain words."""

from benchmate.files.safe_text import shown

MOST_DEPTH = 20
"""How deep lists and mappings may be nested."""

TOO_DEEP = f"lists and mappings must not be nested more than {MOST_DEPTH} deep"

BAD_ESCAPE = "found invalid Unicode character escape code"
"""The message of libyaml for an escape that is not a character."""

_BAD_ESCAPE = "this is not a YAML escape: write `\\\\` for a backslash, or use single quotes"
_DOES_NOT_FIT = "this does not fit the lines before it: give all keys the same indent, and begin list items with `- `"

_BAD_BEGINNING = (
    "a text cannot begin with this character (a tab, perhaps): indent with spaces, and quote a text that begins with it"
)
_BAD_ITEM = "a list item cannot begin here: put each `- ` on its own line, and quote a row that begins with -"
_OPEN_QUOTE = "a quote is not closed before this line"
_BAD_BLOCK = "the text after | or > must begin on the next line: quote a text that begins with one of them"

# Part of the parser's message, and our message. The first match counts.
_PLAIN_WORDS = (
    ("nesting depth", TOO_DEEP),
    ("end of stream", "a quote is not closed before the end of the file"),
    ("mapping values", "a `:` is not allowed here: quote a text that contains `: `, and give all keys the same indent"),
    ("sequence entries", _BAD_ITEM),
    ("mapping keys", "a key cannot begin here: put each key on its own line, with the same indent"),
    ("expected ':'", "a key has no `:` after it: write `key: value`"),
    ("tab character", _BAD_BEGINNING),
    ("cannot start any token", _BAD_BEGINNING),
    ("escape", _BAD_ESCAPE),
    ("hexdecimal", _BAD_ESCAPE),
    ("',' or ']'", "a list in square brackets needs a `,` or `]` here"),
    ("',' or '}'", "a mapping in braces needs a `,` or `}` here; quote a colour that begins with #"),
    ("node content", "a value is missing before this: write one, and quote a text that begins with a sign such as #"),
    ("document separator", _OPEN_QUOTE),
    ("document indicator", _OPEN_QUOTE),
    ("chomping", _BAD_BLOCK),
    ("comment or line break", _BAD_BLOCK),
    ("directive", "a line that begins with % is not allowed here: remove it"),
    ("document start", "this is outside the document: a file must contain one, with the same indent for all keys"),
    ("block end", _DOES_NOT_FIT),
    ("expected key", _DOES_NOT_FIT),
    ("'-' indicator", _DOES_NOT_FIT),
)


def in_plain_words(problem: str, since: int | None = None, at: str = "") -> str:
    """A syntax error in plain words, followed by the parser's own message.

    `since` is the line where the faulty part began, `at` the character there.
    """
    ours = next((words for theirs, words in _PLAIN_WORDS if theirs in problem), "this is not YAML")
    if at == "-" and "node content" in problem:
        ours = _BAD_ITEM
    begun = f", in the part that begins on line {since}" if since is not None else ""
    return f"{ours} (YAML: {shown(problem)[:80]}{begun})"
