"""What a YAML parser says of a text that is not YAML, in plain words."""

from benchmate.files.words import shown

MOST_DEPTH = 20
"""How many lists and mappings may lie one within another."""

TOO_DEEP = f"lists and mappings lie more than {MOST_DEPTH} deep here: no design needs that"

BAD_ESCAPE = "found invalid Unicode character escape code"
"""What libyaml says of an escape that stands for no character."""

_NO_ESCAPE = "this is no escape that YAML knows: write `\\\\` for a backslash, or use single quotes"
_DOES_NOT_FIT = "this does not fit what stands before it: indent all keys alike, and begin list items with `- `"

_NOTHING_BEGINS = "nothing begins with this character: indent with spaces, and quote a text that begins so"
_NO_ITEM = "a list item cannot begin here: each `- ` has its own line, and a row that begins with - goes in quotes"
_OPEN_QUOTE = "the text ends too early: a quote is not closed before this line"
_BLOCK_BEGINS = "the text after | or > begins on the next line: quote a text that begins with one of them"

# A part of the parsers' words, and ours; the first that occurs counts.
_PLAIN_WORDS = (
    ("nesting depth", TOO_DEEP),
    ("end of stream", "the text ends too early: a quote is not closed"),
    ("mapping values", "a `:` cannot stand here: quote a text that holds `: `, and indent all keys alike"),
    (
        "sequence entries",
        _NO_ITEM,
    ),
    ("mapping keys", "a key cannot begin here: begin each key on a line of its own, indented alike"),
    ("expected ':'", "a key has no `:` after it: write `key: value`"),
    ("tab character", _NOTHING_BEGINS),
    ("cannot start any token", _NOTHING_BEGINS),
    ("escape", _NO_ESCAPE),
    ("hexdecimal", _NO_ESCAPE),
    ("',' or ']'", "a list in square brackets goes on with `,` or ends with `]`"),
    ("',' or '}'", "a mapping in braces goes on with `,` or ends with `}`; a colour that begins with # is quoted"),
    ("node content", "a value is missing before this: write one, and quote a text that begins with a sign such as #"),
    ("document separator", _OPEN_QUOTE),
    ("document indicator", _OPEN_QUOTE),
    ("chomping", _BLOCK_BEGINS),
    ("comment or line break", _BLOCK_BEGINS),
    ("directive", "a line that begins with % cannot be read here: take it out"),
    ("document start", "this stands outside the document: a file holds one, with all keys indented alike"),
    ("block end", _DOES_NOT_FIT),
    ("expected key", _DOES_NOT_FIT),
    ("'-' indicator", _DOES_NOT_FIT),
)


def in_plain_words(problem: str, since: int | None = None, at: str = "") -> str:
    """A syntax error said plainly, then in the parser's words.

    `since` is the line where the faulty part began, `at` the character there.
    """
    ours = next((words for theirs, words in _PLAIN_WORDS if theirs in problem), "this is not YAML")
    if at == "-" and "node content" in problem:
        ours = _NO_ITEM
    begun = f", in what begins on line {since}" if since is not None else ""
    return f"{ours} (YAML: {shown(problem)[:80]}{begun})"
