"""Checked values from a tree, and safe text for messages."""

import pytest

from benchmate.files.fields import Faults, Fields
from benchmate.files.safe_text import bounded_number, is_name, is_whole_number, nearest, quoted, shown
from benchmate.files.tree import MappingNode, Problem, parse_yaml

KNOWN = ("title", "size", "mode", "notes", "name", "list", "map")


def fields_of(text: str) -> Fields:
    root, problems = parse_yaml(text)
    assert problems == []
    assert isinstance(root, MappingNode)
    return Fields(root, KNOWN, Faults())


def said(fields: Fields) -> list[str]:
    problems = fields.faults.in_file_order()
    return [f"{p.line}:{p.column}: {'warning: ' if p.warning else ''}{p.message}" for p in problems]


def test_good_values() -> None:
    fields = fields_of("title: 2024\nsize: 007\nmode: on\nnotes: |\n  a\n  b\nname: föhn-1_x\nlist: [a]\nmap: {a: b}\n")
    assert fields.one_line("title") == "2024"
    assert fields.whole_number("size", 1, 9) == 7
    assert fields.choice("mode", ("on", "off")) == "on"
    assert fields.text("notes") == "a\nb"
    assert fields.name("name") == "föhn-1_x"
    assert fields.sequence("list") is not None
    assert fields.mapping("map") is not None
    assert said(fields) == []


def test_optional_values_may_be_missing() -> None:
    fields = fields_of("title: a\n")
    assert fields.text("notes") is None
    assert fields.whole_number("size", 1, 9) is None
    assert fields.choice("mode", ("on", "off")) is None
    assert fields.name("name") is None
    assert fields.sequence("list") is None
    assert fields.mapping("map") is None
    assert "title" in fields
    assert "size" not in fields
    assert said(fields) == []


def test_missing_needed_values_are_reported_on_the_first_line() -> None:
    fields = fields_of("\n\ntitle: a\n")
    assert fields.whole_number("size", 1, 9, needed=True) is None
    assert said(fields) == ["1:1: the key `size` is missing"]


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("size: 0", "1:7: `size` must be a whole number from 1 to 9, such as 5 (found `0`)"),
        ("size: 10", "1:7: `size` must be a whole number from 1 to 9, such as 5 (found `10`)"),
        ("size: -1", "1:7: `size` must be a whole number from 1 to 9, such as 5 (found `-1`)"),
        ("size: +1", "1:7: `size` must be a whole number from 1 to 9, such as 5 (found `+1`)"),
        ("size: 1.0", "1:7: `size` must be a whole number from 1 to 9, such as 5 (found `1.0`)"),
        ("size: 0x1", "1:7: `size` must be a whole number from 1 to 9, such as 5 (found `0x1`)"),
        ("size: 1_0", "1:7: `size` must be a whole number from 1 to 9, such as 5 (found `1_0`)"),
        ("size: 1e0", "1:7: `size` must be a whole number from 1 to 9, such as 5 (found `1e0`)"),
        ("size: ٣", "1:7: `size` must be a whole number from 1 to 9, such as 5 (found `٣`)"),
        ("size: ²", "1:7: `size` must be a whole number from 1 to 9, such as 5 (found `²`)"),
        ("size:", "1:1: `size` must be a whole number from 1 to 9, such as 5 (found nothing)"),
        ("size: [1]", "1:7: `size` must be a whole number from 1 to 9, such as 5 (found a list)"),
        ("size: {a: 1}", "1:7: `size` must be a whole number from 1 to 9, such as 5 (found a mapping)"),
        (
            "size: " + "9" * 60,
            "1:7: `size` must be a whole number from 1 to 9, such as 5 (found `" + "9" * 37 + "...`)",
        ),
        ("mode: onn", "1:7: `mode` must be one of on, off (found `onn`); did you mean `on`?"),
        ("mode: ''", "1:7: `mode` must be one of on, off (found nothing); the nearest is `on`"),
        ("name: ../x", "1:7: `name` must be a name of letters, digits, - and _ (found `../x`)"),
        ("name:", "1:1: `name` must be a name of letters, digits, - and _ (found nothing)"),
        ("title: ''", "1:8: `title` must not be empty"),
        ("title: '  '", "1:8: `title` must not be empty"),
        ('title: "a\\nb"', "1:8: `title` must be one line of text, without a line break"),
        ("title: [a]", "1:8: `title` must be one line of text (found a list)"),
        ("list: a", "1:7: `list` must be a list (found text)"),
        ("map: [a]", "1:6: `map` must be a mapping (found a list)"),
        ("tilte: a", "1:1: unknown key `tilte`; did you mean `title`?"),
        ("Title: a", "1:1: unknown key `Title`; did you mean `title`?"),
        ('"ti\\u200btle": a', "1:1: unknown key `ti?tle`; did you mean `title`?"),
    ],
)
def test_faulty_values_are_reported_at_their_place(text: str, problem: str) -> None:
    fields = fields_of(text)
    results = [
        fields.whole_number("size", 1, 9),
        fields.choice("mode", ("on", "off")),
        fields.name("name"),
        fields.one_line("title"),
        fields.sequence("list"),
        fields.mapping("map"),
    ]
    assert results == [None] * 6
    assert said(fields) == [problem]


def test_a_warning_counts_the_characters_left_out() -> None:
    fields = fields_of('title: "\\e[2Jtide\\u202e\\twater\\x07"\nnotes: "a\\nb\\r\\u2028\\tc"\n')
    assert fields.one_line("title") == "[2Jtide water"
    assert fields.text("notes") == "a\nb c"
    assert said(fields) == [
        "1:8: warning: 4 control or format characters left out of `title`",
        "2:8: warning: 3 control or format characters left out of `notes`",
    ]
    assert fields.faults.errors == 0


def test_a_text_of_only_hidden_characters_is_empty() -> None:
    fields = fields_of("title: \u200b\nnotes: \u200b\n")
    assert fields.one_line("title") is None
    assert fields.text("notes") is None
    assert said(fields) == [
        "1:8: warning: 1 control or format character left out of `title`",
        "1:8: `title` must not be empty",
        "2:8: warning: 1 control or format character left out of `notes`",
    ]


def test_problems_come_in_file_order() -> None:
    faults = Faults([Problem(3, 1, "c")])
    root, _ = parse_yaml("a: b")
    assert root is not None
    faults.error(root, "a")
    faults.missing("first")
    assert [problem.message for problem in faults.in_file_order()] == ["a", "first", "c"]
    assert faults.errors == 3


def test_only_the_first_100_guesses_are_made() -> None:
    faults = Faults()
    guesses = [faults.guess("colors", ("colours",)) for _ in range(101)]
    assert set(guesses[:100]) == {"; did you mean `colours`?"}
    assert guesses[100] == ""
    assert Faults().guess("colors", ()) == ""


@pytest.mark.parametrize("name", ["a", "1", "-", "_", "föhn", "été", "e\u0301te\u0301", "नीला", "深い青", "٣"])
def test_names_of_any_script(name: str) -> None:
    assert is_name(name)


@pytest.mark.parametrize(
    "name",
    ["", "a b", "a.b", "a/b", "a\u200bb", "a\u00a0b", "\u0301a", "½", "²", "a\n", "a\u202e", "😀", "é b", "é\x07"],
)
def test_texts_that_are_not_names(name: str) -> None:
    assert not is_name(name)


def test_numbers_of_any_length_are_bounded() -> None:
    assert is_whole_number("0012")
    assert not is_whole_number("")
    assert bounded_number("0012", 500) == 12
    assert bounded_number("000", 500) == 0
    assert bounded_number("500", 500) == 500
    assert bounded_number("501", 500) == 501
    assert bounded_number("9" * 10_000, 500) == 501
    assert bounded_number("0" * 10_000 + "7", 500) == 7


def test_quoted_words_are_short_and_harmless() -> None:
    assert quoted("deep") == "`deep`"
    assert quoted("\x1b[2J\u202e") == "`?[2J?`"
    assert quoted("x" * 40) == "`" + "x" * 40 + "`"
    assert quoted("x" * 41) == "`" + "x" * 37 + "...`"
    assert shown("a\nb\u2029\x9b\ud800") == "a?b???"


def test_nearest() -> None:
    assert nearest("colors", ("title", "colours")) == ("colours", True)
    assert nearest("zzz", ("title", "colours"))[1] is False
    assert nearest("a", ()) == (None, False)
