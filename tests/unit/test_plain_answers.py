"""What is typed in plain mode: lines from any stream, and a wait for one that ends without it."""

import io
import os
from collections.abc import Iterator
from typing import TextIO

import pytest

from benchmate.plain.answers import Answers, NoAnswer, Unreadable


class Typed:
    """A pipe: what is typed at one end, and the answers at the other."""

    def __init__(self, encoding: str = "utf-8", errors: str = "backslashreplace") -> None:
        reading, self._writing = os.pipe()
        self._stream: TextIO = os.fdopen(reading, encoding=encoding, errors=errors)
        self.answers = Answers(self._stream)

    def type(self, data: bytes) -> None:
        """Types bytes."""
        os.write(self._writing, data)

    def end(self) -> None:
        """Ends the input."""
        os.close(self._writing)

    def close(self) -> None:
        """Closes the other end."""
        self._stream.close()


@pytest.fixture
def typed() -> Iterator[Typed]:
    typed = Typed()
    yield typed
    typed.close()


def all_of(answers: Answers) -> list[str]:
    found = []
    while (answer := answers.next()) is not None:
        found.append(answer)
    return found


@pytest.mark.parametrize(
    ("data", "expected"),
    [
        (b"", []),
        (b"\n", [""]),
        (b"q", ["q"]),
        (b"\n\nq\n", ["", "", "q"]),
        (b"a\r\nb\r\n", ["a", "b"]),
        (b"a\rb", ["a", "b"]),
        (b"last one has no end", ["last one has no end"]),
        ("für\nÄ\n".encode(), ["für", "Ä"]),
        (b"\xff\n\n", ["\\xff", ""]),
        (b"x" * 20_000 + b"\ny\n", ["x" * 20_000, "y"]),
        (b"a\x0cb\x1cc\xe2\x80\xa8d\n", ["a\x0cb\x1cc\u2028d"]),
    ],
)
def test_lines_are_the_same_with_and_without_a_descriptor(data: bytes, expected: list[str], typed: Typed) -> None:
    typed.type(data)
    typed.end()
    assert all_of(typed.answers) == expected
    # At the end it stays.
    assert typed.answers.next() is None
    in_memory = io.TextIOWrapper(io.BytesIO(data), "utf-8", errors="backslashreplace")
    assert all_of(Answers(in_memory)) == expected


def test_a_line_that_comes_in_parts_is_one_answer(typed: Typed) -> None:
    assert typed.answers.can_wait
    for part in (b"ju", b"mp r\xc3", b"\xb6w 3"):
        typed.type(part)
        with pytest.raises(NoAnswer):
            typed.answers.next(timeout=0)
    typed.type(b"\r")
    with pytest.raises(NoAnswer):
        typed.answers.next(timeout=0)
    typed.type(b"\nnext\n")
    assert typed.answers.next(timeout=0) == "jump röw 3"
    assert typed.answers.next() == "next"
    typed.end()
    assert typed.answers.next(timeout=0) is None


def test_an_answer_is_put_back_and_looked_for(typed: Typed) -> None:
    answers = typed.answers
    assert not answers.comes_next("keep")
    typed.type(b"\nkeep\n")
    assert not answers.comes_next("keep")
    assert answers.next() == ""
    assert answers.comes_next("keep")
    answers.put_back("undo")
    assert answers.next(timeout=0) == "undo"
    typed.end()
    assert not answers.comes_next("keep")
    assert answers.next() is None


def test_a_stream_without_a_descriptor_does_not_wait() -> None:
    answers = Answers(io.StringIO("keep\n"))
    assert not answers.can_wait
    assert not answers.comes_next("keep")
    assert answers.next(timeout=5) == "keep"


def test_what_cannot_be_read_is_said() -> None:
    typed = Typed(errors="strict")
    typed.type(b"\xff\n")
    with pytest.raises(Unreadable, match="invalid start byte"):
        typed.answers.next()
    typed.end()
    typed.close()
    with pytest.raises(Unreadable):
        typed.answers.next()
    folder = os.open(os.curdir, os.O_RDONLY)
    with pytest.raises(Unreadable, match="Is a directory"):
        Answers(_Folder(folder)).next()
    os.close(folder)


class _Folder(io.StringIO):
    """A stream whose descriptor is that of a folder."""

    encoding, errors = "utf-8", "strict"

    def __init__(self, descriptor: int) -> None:
        super().__init__()
        self._descriptor = descriptor

    def fileno(self) -> int:
        return self._descriptor
