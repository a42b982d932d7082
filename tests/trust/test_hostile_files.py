"""Malicious and damaged files: refused quickly and with a place, and none of their text reaches the terminal unsafe."""

import os
import time
import unicodedata
from collections.abc import Callable
from pathlib import Path

import pytest
import yaml
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from benchmate.design_files.load import load, parse
from benchmate.files import tree
from benchmate.files.tree import MOST_BYTES, BadFile, parse_yaml

GOOD = """\
# A band of four
benchmate: 1
title: Tidewater chevron
family: diagonal
colours: {deep: "#0b3c5d", foam: {css: "#f4f1de", say: "off white"}, 'föhn': Teal, dusk: {css: [navy 4, "#fff 2.5"]}}
strings: [deep, foam, föhn, deep]
repeats: 3
start: fold-over-a-pin
rows:
  - f b
  - {start: 2, knots: "f"}
  - "- bf"
  - fb*1
notes: |
  First line.
  Last line.
"""

WRITTEN = """\
benchmate: 1
title: Fold over a pin
family: steps
colours:
  deep: teal
strings: [deep]
steps:
  - do: Fold the strings in half over a pin
    hint: >
      Leave a loop
      as wide as your button
    times: 2
"""

BOMB = "a: &a [x, x]\n" + "".join(
    f"{b}: &{b} [*{a}, *{a}, *{a}]\n" for a, b in zip("abcdefgh", "bcdefghi", strict=True)
)


def checked(text: str) -> list[str]:
    """The problems of `text`, after checking that their places are inside it and their messages harmless."""
    design, problems = parse(text)
    assert (design is None) == any(not problem.warning for problem in problems)
    lines = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n").split("\n")
    for problem in problems:
        assert 1 <= problem.line <= len(lines)
        assert 1 <= problem.column <= len(lines[problem.line - 1]) + 1
        assert problem.message
        for character in problem.message:
            assert unicodedata.category(character) not in ("Cc", "Cf", "Cs", "Zl", "Zp")
    assert [problem[:2] for problem in problems] == sorted(problem[:2] for problem in problems)
    return [f"{problem.line}:{problem.column}: {problem.message}" for problem in problems]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (BOMB, "2:8: an alias"),
        ("a: &a [*a]\n", "1:8: an alias"),
        (GOOD + "x: " + "[" * 10_000, "17:"),
        (GOOD + "x: " + "{a: " * 10_000, "17:80: lists and mappings must not be nested more than 20 deep"),
        (GOOD + "x:\n" + "".join(" " * n + "-\n" for n in range(1, 400)), "37:21: lists and mappings must not"),
        (
            GOOD.replace("3", "9" * 10_000, 1).replace("repeats: 3", "repeats: " + "9" * 10_000),
            "7:10: `repeats` must be a",
        ),
        (GOOD.replace("start: 2", "start: " + "9" * 10_000), "11:13: `start` must be a whole number from 1 to 4"),
        (GOOD.replace("fb*1", "fb*" + "9" * 10_000), "13:5: the row has more than 999999999 tokens"),
        (GOOD.replace("benchmate: 1", "benchmate: " + "1" * 10_000), "2:12: `benchmate` must be 1"),
        (f"%YAML {'9' * 10_000}.1\n---\n" + GOOD, "1:"),
        (GOOD + "title: again\n", "17:1: duplicate key `title`"),
        (GOOD.replace("Tidewater", "!!python/object/apply:os.system"), "3:8: a tag"),
        (GOOD + "---\n" + GOOD, "17:1: a second document begins here"),
        (GOOD.replace("Tidewater", '"\\e[2J\\e]0;x\\a"#'), "3:8: 3 control or format characters left out of `title`"),
        (GOOD.replace("Tidewater", "\u202eTide"), "3:8: 1 control or format character left out of `title`"),
        (GOOD.replace("Tidewater", "Tide\u200bwater"), "3:8: 1 control or format character left out of `title`"),
        (GOOD.replace("deep:", '"de\\u202eep":'), "5:11: the colour name `de?ep` must be one word"),
        (GOOD.replace("f b", '"f \\e[2Jb"'), "10:5: unknown knot `?[2Jb`"),
        (GOOD.replace("Tidewater", "Tide\x00water"), "3:12: the character U+0000 is not allowed in a text file"),
        (GOOD.replace("Tidewater", '"\\ud800"#'), "3:11: this is not a YAML escape"),
        (GOOD.replace("Tidewater", "\ud800"), "3:8: the character U+D800 is not allowed in a text file"),
        (GOOD.replace("Tidewater", '"\\0"#'), "3:8: `title` must not be empty"),
        (GOOD + '"\\e[2J": x\n', "17:1: unknown key `?[2J`"),
        (GOOD + '"\\e[2J": x\n"\\e[2J": x\n', "18:1: duplicate key `?[2J`"),
        (GOOD.replace("deep, foam", '"\\e]8;;x\\a", foam'), "6:11: unknown colour `?]8;;x?`"),
    ],
)
def test_hostile_texts(text: str, said: str) -> None:
    lines = checked(text)
    assert any(line.startswith(said) for line in lines), lines


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (GOOD.encode().replace(b"Tide", b"Tid\xe9"), ":3:11: byte 0xe9 is not UTF-8"),
        (GOOD.encode("utf-16"), ":1:1: byte 0xff is not UTF-8"),
        (WRITTEN.encode("utf-16-le"), ":1:2: the character U+0000 is not allowed in a text file"),
        (GOOD.encode().replace(b"Tide", b"\xed\xa0\x80"), ":3:8: byte 0xed is not UTF-8"),
        (GOOD.encode().replace(b"Tide", b"\xc0\x80"), ":3:8: byte 0xc0 is not UTF-8"),
        (GOOD.encode() + b"#" * MOST_BYTES, ":1:1: the file is longer than 1 MB"),
        (b"", ":1:1: the file is empty"),
    ],
)
def test_hostile_bytes(tmp_path: Path, data: bytes, said: str) -> None:
    file = tmp_path / "band.yaml"
    file.write_bytes(data)
    with pytest.raises(BadFile) as caught:
        load(str(file))
    assert len(caught.value.lines()) == 1
    assert caught.value.lines()[0].startswith(str(file) + said)


def test_exactly_one_megabyte_is_read(tmp_path: Path) -> None:
    file = tmp_path / "piece.yaml"
    file.write_bytes(WRITTEN.encode() + b"#" * (MOST_BYTES - len(WRITTEN.encode())))
    assert load(str(file)).design.title == "Fold over a pin"


def test_a_pipe_that_nobody_writes_to_is_refused_at_once(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.yaml"
    os.mkfifo(pipe)
    with pytest.raises(BadFile) as caught:
        load(str(pipe))
    assert caught.value.lines() == [f"{pipe}: this is a device or a pipe, not a regular file"]


@pytest.mark.parametrize("name", ["/dev/zero", "/dev/null", "/dev/stdin"])
def test_devices_are_refused(name: str, tmp_path: Path) -> None:
    with pytest.raises(BadFile):
        load(name)
    link = tmp_path / "link.yaml"
    link.symlink_to("/dev/zero")
    with pytest.raises(BadFile, match="this is a device or a pipe"):
        load(str(link))


def test_a_circle_of_links_is_refused(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").symlink_to(tmp_path / "b.yaml")
    (tmp_path / "b.yaml").symlink_to(tmp_path / "a.yaml")
    with pytest.raises(BadFile, match="this file cannot be read"):
        load(str(tmp_path / "a.yaml"))


def test_a_hostile_file_name_does_not_control_the_terminal(tmp_path: Path) -> None:
    name = str(tmp_path / "\x1b[2J\u202e\u2028.yaml")
    with pytest.raises(BadFile) as caught:
        load(name)
    assert caught.value.lines() == [f"{tmp_path}/?[2J??.yaml: no such file"]


def mutated(text: str) -> st.SearchStrategy[str]:
    """Texts made from a good one by a few cuts and insertions."""
    pieces = st.sampled_from(
        [
            *(
                "",
                "\n",
                "\r",
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
                "\\ud800",
                "\\e",
                "\\L",
            ),
            *("#", "&a ", "*a", "!t ", "|", "?", "%", "~", "---\n", "9" * 30, "f*9", "start", "é", "😀"),
            *("\x00", "\x1b", "\u202e", "\u200b", "\u2028", "\x85", "\ufeff", "\ud800"),
        ]
    )
    cuts = st.tuples(st.integers(0, len(text)), st.integers(0, 12), pieces | st.text(max_size=4))

    def apply(changes: list[tuple[int, int, str]]) -> str:
        changed = text
        for at, length, piece in changes:
            changed = changed[:at] + piece + changed[at + length :]
        return changed

    return st.lists(cuts, min_size=1, max_size=4).map(apply)


@settings(max_examples=400, derandomize=True, deadline=None)
@given(text=mutated(GOOD) | mutated(WRITTEN) | st.text(max_size=60))
def test_every_text_gives_problems_with_places(text: str) -> None:
    checked(text)


@settings(max_examples=400, derandomize=True, deadline=None)
@given(text=mutated(GOOD) | mutated(WRITTEN))
def test_another_parser_reads_a_text_the_same(text: str) -> None:
    # PyYAML's parser in Python shares no code with libyaml.
    assume("\t" not in text and "?" not in text)
    read = parse_yaml(text)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(tree, "PARSER", yaml.SafeLoader)
        try:
            other = parse_yaml(text)
        except (ValueError, OverflowError):  # What int() and chr() say to a number in the text, it lets slip.
            return
    # Where YAML is not exact, one of the two may refuse the text.
    if read[0] is not None and other[0] is not None:
        assert read == other


def many_rows(size: int) -> str:
    return (
        GOOD.split("rows:")[0].replace("repeats: 3\n", "")
        + "rows:\n"
        + "".join(
            f"- {' '.join(('f', 'b', 'fb', '-')[(row >> shift) % 4] for shift in (0, 2))}\n- {('f', 'b')[row % 2]}\n"
            for row in range(size)
        )
    )


@pytest.mark.parametrize(
    "made",
    [
        many_rows,
        lambda size: GOOD + "x: " + "[" * size * 20,
        lambda size: "- " * size * 20,
        lambda size: GOOD + "".join(f"k{n}: x\n" for n in range(size)),
        lambda size: "colours:\n" + "".join(f"  k{n}: blu{n}\n" for n in range(size)),
        lambda size: GOOD.replace("f b", "q " * size * 4),
        lambda size: GOOD.replace("f b", "f*99999999 " * size),
        lambda size: GOOD.replace("Tidewater", "\u202ex" * size * 10),
        lambda size: "x: [" + "*a, " * size + "]",
        lambda size: 'x: "' + "\\e" * size * 10,
        lambda size: WRITTEN + "  - do: x\n" * size,
        lambda size: GOOD.replace("navy 4", ", ".join(f"nvy {n % 9}, red, 7, '#{n:06x} 1'" for n in range(size))),
    ],
    ids=[
        *("rows", "brackets", "dashes", "keys", "colours", "tokens", "counts", "bidi", "aliases", "escapes", "steps"),
        "variegated",
    ],
)
def test_time_grows_only_with_size(made: Callable[[int], str]) -> None:
    def best(text: str, runs: int) -> float:
        times = []
        for _ in range(runs):
            # The time of this process alone: what else runs on the machine is no matter of ours.
            begun = time.process_time()
            parse(text)
            times.append(time.process_time() - begun)
        return min(times)

    small, large = made(1_000), made(4_000)
    assert len(large) <= MOST_BYTES
    # Four times the size. Quadratic growth would take sixteen times. The millisecond covers times too short to compare.
    assert best(large, 3) < 8 * best(small, 3) + 0.001
