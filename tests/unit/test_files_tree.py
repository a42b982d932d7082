"""YAML text read into a tree: places and errors."""

from pathlib import Path

import pytest

from benchmate.files.tree import (
    MOST_BYTES,
    BadFile,
    Entry,
    MappingNode,
    Problem,
    ScalarNode,
    SequenceNode,
    format_problem,
    parse_yaml,
    read_text,
)


def test_every_node_has_its_place() -> None:
    root, problems = parse_yaml("one: Fär\ntwo:\n  - 'a b'\n  - {x: y}\n")
    assert problems == []
    assert root == MappingNode(
        {
            "one": Entry(ScalarNode("one", 1, 1, 0), ScalarNode("Fär", 1, 6, 0)),
            "two": Entry(
                ScalarNode("two", 2, 1, 0),
                SequenceNode(
                    [
                        ScalarNode("a b", 3, 5, 1),
                        MappingNode({"x": Entry(ScalarNode("x", 4, 6, 0), ScalarNode("y", 4, 9, 0))}, 4, 5),
                    ],
                    3,
                    3,
                    False,
                ),
            ),
        },
        1,
        1,
    )


def test_scalars_are_taken_as_written() -> None:
    root, problems = parse_yaml("[no, 010, 12:30, 2024, ~, 'it''s', 1_0, .5]")
    assert problems == []
    assert isinstance(root, SequenceNode)
    texts = [item.text for item in root.items if isinstance(item, ScalarNode)]
    assert texts == ["no", "010", "12:30", "2024", "~", "it's", "1_0", ".5"]


def test_folded_and_escaped_texts_have_no_inside() -> None:
    root, _ = parse_yaml("""a: 'it''s'\nb: "\\x41"\nc: |\n  d\ne: f\n  g\n""")
    assert isinstance(root, MappingNode)
    insides = [entry.value.inside for entry in root.entries.values() if isinstance(entry.value, ScalarNode)]
    assert insides == [None, None, None, None]


def test_an_empty_value_has_the_place_of_its_key() -> None:
    root, _ = parse_yaml("a: b\nc:\nd: {e: , f: g}\n")
    assert isinstance(root, MappingNode)
    assert root.entries["c"].value == ScalarNode("", 2, 1, None)
    inner = root.entries["d"].value
    assert isinstance(inner, MappingNode)
    assert inner.entries["e"].value == ScalarNode("", 3, 5, None)


def test_a_byte_order_mark_at_the_start_is_not_counted() -> None:
    assert parse_yaml("\ufeffa: b\n") == parse_yaml("a: b\n")


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_every_kind_of_line_end_is_one_line_break(end: str) -> None:
    root, problems = parse_yaml(f"a: b{end}{end}c: d{end}")
    assert problems == []
    assert isinstance(root, MappingNode)
    assert root.entries["c"].key[1:3] == (3, 1)


def test_tabs_outside_indentation_are_blanks() -> None:
    root, problems = parse_yaml("a:\tb\nc: d\te\t# f\ng: {h: i?,\tj: k}\t\n")
    assert problems == []
    assert isinstance(root, MappingNode)
    assert root.entries["a"].value == ScalarNode("b", 1, 4, 0)
    assert root.entries["c"].value == ScalarNode("d\te", 2, 4, 0)
    inner = root.entries["g"].value
    assert isinstance(inner, MappingNode)
    assert inner.entries["h"].value == ScalarNode("i?", 3, 8, 0)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("a: *b\n", ["1:4: an alias (`*name`) is not allowed"]),
        ("a: &b c\n", ["1:4: an anchor (`&name`) is not allowed"]),
        ("a: !t c\n", ["1:4: a tag (`!name`) is not allowed"]),
        ("a: ! c\n", ["1:4: a tag"]),
        ("a: !!python/object/apply:os.system [ls]\n", ["1:4: a tag"]),
        ("!t\na: b\n", ["1:1: a tag"]),
        ("&x a: b\n", ["1:1: an anchor"]),
        ("<<: *b\n", ["1:5: an alias"]),
        ("*a : b\n", ["1:1: an alias"]),
        ("? [a]\n: b\n", ["1:3: a key must be text, not a list or a mapping"]),
        ("{{a: b}: c}\n", ["1:2: a key must be text, not a list or a mapping"]),
        ("a: b\na: c\n", ["2:1: duplicate key `a`: it is already on line 1"]),
        ("1: b\n'1': c\n", ["2:1: duplicate key `1`"]),
        ("a: b\na: c\na: d\n", ["2:1: duplicate key `a`", "3:1: duplicate key `a`"]),
        ("a: {x: 1, x: 2}\n", ["1:11: duplicate key `x`"]),
        ("a: b\n---\nc: d\n", ["2:1: a second document begins here"]),
        ("---\na: b\n---\n[\n", ["3:1: a second document begins here"]),
        ("", ["1:1: the file is empty"]),
        ("# nothing\n", ["1:1: the file is empty"]),
        ("---\n", ["1:1: the file is empty"]),
        ("a: " + "[" * 20 + "]" * 20, ["1:23: lists and mappings must not be nested more than 20 deep"]),
        ("a: \x00\n", ["1:4: the character U+0000 is not allowed in a text file"]),
        ("a: b\nc: \x1b[2J\n", ["2:4: the character U+001B is not allowed"]),
        ("a: \x9b\n", ["1:4: the character U+009B is not allowed"]),
        ("a: \ud800\n", ["1:4: the character U+D800 is not allowed"]),
        (
            "a: b\x01\x02\nc: d\ne: \x03\r\nf: g\u2029\n",
            ["1:5: the character U+0001", "3:4: the character U+0003", "4:5: a paragraph separator character"],
        ),
        ("a: b\u2028c\n", ["1:5: a line separator character (U+2028) is not allowed"]),
        ("a: b\x85c\n", ["1:5: a next line character (U+0085) is not allowed"]),
        ("a: \ufeff\n", ["1:4: a byte order mark (U+FEFF) is allowed only at the start"]),
        ("\ufeff\ufeffa: b\n", ["1:1: a byte order mark"]),
        ("a: 'b\n", ["2:1: a quote is not closed before the end"]),
        ("a: b: c\n", ["1:5: a `:` is not allowed here"]),
        ("a: b\nc\n", ["3:1: a key has no `:` after it"]),
        ("a: [b\n", ["2:1: a list in square brackets needs a `,` or `]` here"]),
        ("a: {b: #abc}\n", ["2:1: a value is missing before this: write one, and quote"]),
        ("a: {b: c #abc}\n", ["2:1: a mapping in braces needs a `,` or `}` here"]),
        ("a: b\n\tc: d\n", ["2:1: a text cannot begin with this character (a tab, perhaps): indent with spaces"]),
        ("a:\n  b: c\n d: e\n", ["3:2: this does not fit the lines before it"]),
        ('a: "\\ud800"\n', ["1:7: this is not a YAML escape"]),
        ('a: "x\\\\ud800 \\ud800"\n', ["1:16: this is not a YAML escape"]),
        ('a: "\\U00110000"\n', ["1:7: this is not a YAML escape"]),
        ('a: "\\UFFFFFFFF"\n', ["1:7: this is not a YAML escape"]),
        ("a: b\na: *c\n", ["2:1: duplicate key `a`", "2:4: an alias"]),
        ("a: &b c\nd: [\n", ["1:4: an anchor", "3:1: a value is missing before this"]),
    ],
)
def test_errors_and_their_places(text: str, expected: list[str]) -> None:
    _, problems = parse_yaml(text)
    said = [f"{problem.line}:{problem.column}: {problem.message}" for problem in problems]
    assert len(said) == len(expected)
    for line, words in zip(said, expected, strict=True):
        assert line.startswith(words)


def test_an_escaped_backslash_is_not_a_surrogate() -> None:
    root, problems = parse_yaml('a: "\\\\ud800 \\U0001F600"\n')
    assert problems == []
    assert isinstance(root, MappingNode)
    value = root.entries["a"].value
    assert isinstance(value, ScalarNode)
    assert value.text == "\\ud800 \U0001f600"


def test_twenty_levels_are_allowed() -> None:
    _, problems = parse_yaml("[" * 20 + "]" * 20)
    assert problems == []


def test_a_text_of_exactly_one_megabyte_is_read() -> None:
    root, problems = parse_yaml("a: " + "x" * (MOST_BYTES - 3))
    assert problems == []
    assert isinstance(root, MappingNode)


@pytest.mark.parametrize("letter", ["x", "é"])
def test_a_text_of_more_than_one_megabyte_is_not_read(letter: str) -> None:
    text = letter * (MOST_BYTES // len(letter.encode()) + 1)
    assert parse_yaml(text) == (
        None,
        [Problem(1, 1, "the file is longer than 1 MB (1000000 bytes), the largest size allowed")],
    )


def test_no_place_lies_after_the_end_of_the_text() -> None:
    _, problems = parse_yaml("a: [b")
    assert [problem[:2] for problem in problems] == [(1, 6)]


def test_the_rest_of_the_tree_is_read_after_an_error() -> None:
    root, problems = parse_yaml("a: *b\nc: d\nc: e\n? [f]\n: g\n")
    assert len(problems) == 3
    assert isinstance(root, MappingNode)
    assert list(root.entries) == ["a", "c"]
    assert root.entries["c"].value == ScalarNode("d", 2, 4, 0)


def test_an_empty_text_can_be_allowed() -> None:
    assert parse_yaml("# all at their defaults\n", may_be_empty=True) == (None, [])


def test_an_unreadable_text_has_no_tree() -> None:
    root, problems = parse_yaml("a: [", may_be_empty=True)
    assert root is None
    assert len(problems) == 1


def test_problems_are_formatted_with_the_name_as_given() -> None:
    assert format_problem("a/b.yaml", Problem(3, 5, "wrong")) == "a/b.yaml:3:5: wrong"
    assert format_problem("a/b.yaml", Problem(3, 5, "odd", True)) == "a/b.yaml:3:5: warning: odd"
    assert format_problem("\x1b[2J\u202e\udc80.yaml", Problem(1, 1, "x")) == "?[2J??.yaml:1:1: x"


def test_the_lines_of_a_bad_file() -> None:
    bad = BadFile("f", [Problem(1, 2, "odd", True), Problem(3, 4, "wrong")])
    assert bad.lines() == ["f:1:2: warning: odd", "f:3:4: wrong"]
    assert bad.lines(warnings=False) == ["f:3:4: wrong"]
    assert str(bad) == "f:3:4: wrong"
    assert BadFile("f\n", message="no such file").lines() == ["f?: no such file"]


def test_bytes_that_are_not_utf_8_are_reported_at_their_place(tmp_path: Path) -> None:
    file = tmp_path / "a.yaml"
    file.write_bytes("\ufeffa: é\r\nb: é".encode() + b"\xff\n")
    with pytest.raises(BadFile) as caught:
        read_text(str(file))
    assert caught.value.problems == [Problem(2, 5, "byte 0xff is not UTF-8: save the file as UTF-8 text")]


def test_text_is_read_unchanged(tmp_path: Path) -> None:
    file = tmp_path / "a.yaml"
    file.write_bytes("\ufeffa: é\r\n".encode())
    assert read_text(str(file)) == "\ufeffa: é\r\n"
