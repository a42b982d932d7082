"""Standard streams that are closed, full or read-only: one plain line, the right status, and nothing else is lost."""

import io
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from benchmate.commands.shared.standard_streams import SafeStream, print_bytes, print_painted
from benchmate.design_files.load import parse
from benchmate.files.safe_text import painted, printable
from tests.running import COMMAND, PATIENCE, Done, environment, run
from tests.terminal import Terminal

FULL = "benchmate: disk full; the output is incomplete\n"
READ_ONLY = "benchmate: standard output cannot be written to (Bad file descriptor); the output is incomplete\n"

COMMANDS = {
    "--help": 0,
    "--version": 0,
    "order --help": 0,
    "help": 0,
    "designs": 0,
    "completion bash": 0,
    "completion --list designs": 0,
    "pieces --json": 0,
    "check DESIGN nowhere.yaml": 1,
    "check DESIGN": 0,
    "draw DESIGN": 0,
    "draw DESIGN -o -": 0,
    "letters sign": 0,
    "follow DESIGN --plain": 0,
}
"""Command lines that print, and their exit status when nothing is wrong with the streams."""


def redirected(command: str, redirection: str, design: Path, home: Path, shell: str = "/bin/sh") -> Done:
    """Runs a command line with its streams as a shell redirects them."""
    arguments = [str(design) if each == "DESIGN" else each for each in command.split()]
    done = subprocess.run(
        [shell, "-c", f'"$@" {redirection}', "sh", *COMMAND, *arguments],
        input=b"\n\n",
        capture_output=True,
        env=environment(home),
        timeout=PATIENCE,
        check=False,
    )
    return Done(done.returncode, done.stdout.decode(), done.stderr.decode())


@pytest.mark.parametrize("command", COMMANDS)
def test_a_full_disk_behind_standard_output(command: str, band: Path, home: Path) -> None:
    done = redirected(command, ">/dev/full", band, home)
    assert (done.status, done.out) == (3, "")
    assert done.err.endswith(FULL)
    assert "Traceback" not in done.err
    assert "Exception" not in done.err


@pytest.mark.parametrize(
    ("command", "status"),
    [
        ("--help", 0),
        ("check DESIGN nowhere.yaml", 1),
        # What should have been read there is lost.
        ("check DESIGN", 3),
        ("draw DESIGN -o -", 3),
        ("letters sign", 3),
        ("follow DESIGN --plain", 0),
    ],
)
def test_a_full_disk_behind_standard_error(command: str, status: int, band: Path, home: Path) -> None:
    done = redirected(command, "2>/dev/full", band, home)
    assert done.status == status
    # All of the output, and each step.
    ends = {"letters sign": "to the right.'\n", "follow DESIGN --plain": "row 2\n", "draw DESIGN -o -": "</svg>\n"}
    assert done.out.endswith(ends.get(command, "\n"))


@pytest.mark.parametrize("command", ["--help", "check DESIGN nowhere.yaml", "letters sign", "follow DESIGN --plain"])
@pytest.mark.parametrize("redirection", [">/dev/full 2>/dev/full", "1</dev/null", "2</dev/null", ">&- 2>&- <&-"])
def test_streams_that_cannot_be_used(command: str, redirection: str, band: Path, home: Path) -> None:
    done = redirected(command, redirection, band, home)
    if redirection.startswith(("1", ">/")):
        assert (done.status, done.out) == (3, "")
    elif redirection.startswith("2"):
        assert done.status == (3 if command == "letters sign" else COMMANDS[command])
        assert done.out
    else:
        # Closed on purpose: what was printed is not wanted.
        assert done == (COMMANDS[command], "", "")
    assert done.err.endswith(READ_ONLY) if redirection.startswith("1") else done.err == ""
    assert "Traceback" not in done.err


@pytest.mark.parametrize("command", ["--help", "help keys", "letters sign", "draw DESIGN", "check nowhere.yaml"])
def test_a_reader_that_has_left(command: str, band: Path, home: Path) -> None:
    # The reader is gone before the program prints anything.
    waits = '{ sleep 0.2; "$@"; echo "$?" >&3; } | true'
    arguments = [str(band) if each == "DESIGN" else each for each in command.split()]
    done = subprocess.run(
        ["/bin/sh", "-c", f"exec 3>&1; {waits}", "sh", *COMMAND, *arguments],
        capture_output=True,
        text=True,
        env=environment(home),
        timeout=PATIENCE,
        check=False,
    )
    assert done.stdout == ("1\n" if "nowhere" in command else "0\n")
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("unbuffered", [{}, {"PYTHONUNBUFFERED": "1"}])
def test_a_file_that_can_take_only_a_part(home: Path, tmp_path: Path, unbuffered: dict[str, str]) -> None:
    out = tmp_path / "out.txt"
    program = (
        "import os, resource, sys; resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000));"
        "os.execv(sys.argv[1], sys.argv[1:])"
    )
    with open(out, "wb") as stream:
        done = subprocess.run(
            [sys.executable, "-c", program, *COMMAND, "help"],
            stdout=stream,
            stderr=subprocess.PIPE,
            text=True,
            env=environment(home, unbuffered),
            check=False,
        )
    assert done.returncode == 3
    assert done.stderr == READ_ONLY.replace("Bad file descriptor", "File too large")
    assert out.stat().st_size == 1000


def test_a_file_never_takes_the_place_of_a_closed_stream(home: Path) -> None:
    program = (
        "import os, sys\nfrom benchmate import cli\nout = int(sys.argv[1])\n"
        "cli.main = lambda _: os.write(out, repr([os.fstat(n)[:3] for n in range(3)]).encode()) and 0\n"
        "cli.run()"
    )
    read, write = os.pipe()
    subprocess.run(
        ["/bin/sh", "-c", '"$@" <&- >&- 2>&-', "sh", sys.executable, "-c", program, str(write)],
        pass_fds=[write],
        env=environment(home),
        check=True,
    )
    os.close(write)
    null = os.stat(os.devnull)[:3]
    assert os.read(read, 1000).decode() == repr([null] * 3)
    os.close(read)


# What people type to plain lines


@pytest.mark.parametrize("redirection", ["0>/dev/null", "0>out.txt"])
def test_answers_that_cannot_be_read(redirection: str, band: Path, home: Path, tmp_path: Path) -> None:
    done = redirected("follow DESIGN --plain", redirection.replace("out.txt", str(tmp_path / "out.txt")), band, home)
    assert done.status == 1
    assert done.out.startswith("1/12 ")
    assert done.out.count("\n") == 1
    assert done.err.startswith("Your answers on standard input cannot be read (")
    assert done.err.endswith("); leaving.\n")
    assert done.err.count("\n") == 1


@pytest.mark.parametrize(
    ("encoding", "given", "said"),
    [
        ("utf-8", b"\xff\xfe\x1b[2J\n\nq\n", "Not understood."),
        ("ascii", b"\xe9\n\nq\n", "Not understood."),
        ("utf-16", b"\n\n", "Your answers on standard input cannot be read ("),
    ],
)
def test_answers_that_are_no_text(encoding: str, given: bytes, said: str, band: Path, home: Path) -> None:
    done = subprocess.run(
        [*COMMAND, "follow", str(band), "--plain"],
        input=given,
        capture_output=True,
        env=environment(home, {"PYTHONIOENCODING": encoding}),
        check=False,
    )
    assert done.returncode == (1 if encoding == "utf-16" else 0)
    assert done.stderr.decode(encoding).startswith(said)
    assert done.stderr.decode(encoding).count("\n") == 1
    assert done.stdout.decode(encoding).count("\n") == (1 if encoding == "utf-16" else 2)


def test_without_a_terminal_for_standard_error_it_continues_in_plain_lines(band: Path, home: Path) -> None:
    # The full screen is drawn there, so it could not be seen.
    command = ["/bin/sh", "-c", '"$@" 2>/dev/null', "sh", *COMMAND, "follow", str(band)]
    with Terminal(command, env=environment(home)) as terminal:
        terminal.wait_for("1/12 forward", PATIENCE)
        terminal.press("q")
        terminal.press("enter")
        assert terminal.wait(PATIENCE) == 0


# The gate itself


def test_only_printable_text_and_line_breaks_come_through() -> None:
    assert printable("Ünder 縄 \U0001f600 \u0301\xa0\n\n") == "Ünder 縄 \U0001f600 \u0301\xa0\n\n"
    assert printable("a\x00\x07\x08\t\r\x1b[31m\x7f\x85\x9b\xad\u200b\u2028\u202e\u2066\ufeff\U000e0041\n") == (
        "a" + "?" * 6 + "[31m" + "?" * 10 + "\n"
    )
    assert printable("\udcff\n") == "\udcff\n"


def test_only_colours_come_through_in_a_painting() -> None:
    good = "\x1b[38;2;1;20;255m██\x1b[0m\n\x1b[48;2;1;2;3mx\x1b[38;2;1;2;3;48;2;4;5;6my\x1b[0m"
    assert painted(good) == good
    few = "\x1b[38;5;1mx\x1b[38;5;231;48;5;16my\x1b[48;5;9m \x1b[30mx\x1b[97;107my\x1b[36;40mz\x1b[104m\x1b[0m"
    assert painted(few) == few
    for bad in "[38;5;1000m", "[38;5m", "[98m", "[39m", "[49m", "[5m", "[108m", "[30;30m", "[40;30m", "[1;30m", "[3m":
        assert painted(f"\x1b{bad}\x1b[0m") == f"?{bad}\x1b[0m"
    for bad in "[8m", "[38;2;1;2;3H", "]0;x", "[38;2;1;2m", "[0;8m", "[1;2;3m", "[38;2;\u0661;2;3m":
        assert painted(f"\x1b{bad}\x1b[0m\x07\x9b") == f"?{bad}\x1b[0m??"
    assert painted("\x1b\x1b[0m") == "?\x1b[0m"


class Full(io.RawIOBase):
    """A file on a disk with room for so many bytes."""

    def __init__(self, room: int) -> None:
        self.room = room
        self.data = b""

    def writable(self) -> bool:
        return True

    def write(self, data: object, /) -> int:
        assert isinstance(data, memoryview | bytes)
        taken = bytes(data)[: self.room]
        if not taken:
            raise OSError(28, "No space left on device")
        self.data += taken
        self.room -= len(taken)
        return len(taken)


@pytest.fixture
def small() -> Iterator[Full]:
    file = Full(10)
    yield file
    # Closing it would find the disk full again.
    file.room = 1000


def stream_on(file: Full, *, optional: bool) -> SafeStream:
    raw: Any = file
    return SafeStream(io.TextIOWrapper(raw, "utf-8", write_through=True), optional=optional)


def test_an_error_of_standard_output_is_raised_and_remembered(small: Full) -> None:
    stream = stream_on(small, optional=False)
    assert stream.write("a\x1b\n") == 3
    with pytest.raises(OSError, match="No space left") as caught:
        stream.write("0123456789")
    assert stream.failure is caught.value
    assert small.data == b"a?\n0123456"
    small.room = 1000
    stream.flush()


def test_an_error_of_standard_error_is_only_remembered(small: Full) -> None:
    stream = stream_on(small, optional=True)
    print("0123456789abc", file=stream)
    stream.writelines(["x\n", "y\n"])
    assert isinstance(stream.failure, OSError)
    assert small.data == b"0123456789"
    small.room = 1000
    stream.flush()


def test_paintings_and_bytes_go_through_the_stream_that_is_there(
    monkeypatch: pytest.MonkeyPatch, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    print_painted("\x1b[0m\x1b[2J")
    print_bytes(b"\x1b\n")
    print_bytes(b"\x1b\x00\n", on_error_stream=True)
    assert capsysbinary.readouterr() == (b"\x1b[0m?[2J\n\x1b\n", b"\x1b\x00\n")
    file = Full(1000)
    monkeypatch.setattr(sys, "stdout", stream_on(file, optional=False))
    print("\x1b é \udcff")
    print_painted("\x1b[0m\x1b[2J")
    print_bytes(b"\x1b\n")
    assert file.data == "? é \\udcff\n\x1b[0m?[2J\n\x1b\n".encode()


def test_designs_keep_their_letters_whatever_the_terminal_prints(home: Path) -> None:
    done = run("letters", "Ünder", home=home, env={"PYTHONIOENCODING": "ascii"})
    design, _ = parse(done.out)
    assert design is not None
    assert design.title == "Ünder"
