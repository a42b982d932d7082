"""The terminal that the screen tests use, tested with small programs."""

from __future__ import annotations

import os
import signal
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.terminal import KEYS, PATIENCE, Cell, Terminal

PLAIN = Cell(
    char="x",
    fg="default",
    bg="default",
    bold=False,
    dim=False,
    italic=False,
    underline=False,
    strike=False,
    reverse=False,
)

ECHO = """
while True:
    print("heard", input())
"""

SIZES = """
import os, signal
def tell(*_):
    size = os.get_terminal_size()
    print(f"size {size.columns}x{size.lines}", flush=True)
signal.signal(signal.SIGWINCH, tell)
tell()
while True:
    signal.pause()
"""

PARENT = """
import signal, subprocess, sys, time
signal.signal(signal.SIGHUP, signal.SIG_IGN)
child = subprocess.Popen([sys.executable, "-c", "import time; time.sleep(60)"])
print(f"child={child.pid};", flush=True)
time.sleep(60)
"""

ALTERNATES = """
print("before")
print("\\x1b[?1049h\\x1b[Hfirst\\x1b[12;1Hlast", end="", flush=True)
input()
print("\\x1b[?1049lafter")
"""

TELLS_KEYS = """
import os, tty
tty.setraw(0)
print("ready", end="\\r\\n", flush=True)
while True:
    print(os.read(0, 99), end="\\r\\n", flush=True)
"""

APP = """
from textual.app import App, ComposeResult
from textual.events import Resize
from textual.widgets import Static

class Counter(App[None]):
    CSS = '''
    Screen { background: #0b3c5d; color: #f4f1de; }
    #band { background: #aa0000; text-style: bold; }
    '''
    BINDINGS = [("space", "step"), ("q", "quit")]
    steps = 0

    def compose(self) -> ComposeResult:
        yield Static("band \\u2588\\u2596\\u259f", id="band")
        yield Static("steps 0", id="steps")
        yield Static(id="width")

    def on_resize(self, event: Resize) -> None:
        self.query_one("#width", Static).update(f"{event.size.width} wide")

    def action_step(self) -> None:
        self.steps += 1
        self.query_one("#steps", Static).update(f"steps {self.steps}")

Counter().run()
"""


def python(program: str) -> list[str]:
    return [sys.executable, "-c", program]


def printing(text: str) -> list[str]:
    """A program that prints `text` in one go and waits."""
    return python(f"import sys, time; sys.stdout.write({text!r}); sys.stdout.flush(); time.sleep(60)")


def runs(process: int) -> bool:
    """Whether a process runs; a killed orphan may remain a zombie until its new parent reaps it."""
    try:
        stat = Path(f"/proc/{process}/stat").read_text()
    except (FileNotFoundError, ProcessLookupError):
        return False
    return stat.rpartition(")")[2].split()[0] not in ("Z", "X")


def has_read(count: int) -> Callable[[Terminal], bool]:
    return lambda terminal: terminal.bytes_read == count


def test_typed_text_is_echoed_and_answered() -> None:
    with Terminal(python(ECHO)) as terminal:
        terminal.send("knöt 结")
        terminal.press("enter")
        terminal.wait_for("heard knöt 结")
        assert terminal.lines[:2] == ["knöt 结", "heard knöt 结"]
        assert terminal.bytes_read == len(terminal.raw)
        assert "heard knöt 结".encode() in terminal.raw


def test_the_interrupt_key_reaches_the_program_through_the_driver() -> None:
    with Terminal(python("import time; print('up', flush=True); time.sleep(60)")) as terminal:
        terminal.wait_for("up")
        terminal.press("ctrl+c")
        assert terminal.wait() == -signal.SIGINT


def test_resizing_reaches_the_program_and_the_screen() -> None:
    with Terminal(python(SIZES), columns=60, rows=10) as terminal:
        terminal.wait_for("size 60x10")
        terminal.resize(100, 30)
        terminal.wait_for("size 100x30")
        assert len(terminal.lines) == 30
        assert terminal.cell(29, 99).char == " "
        with pytest.raises(IndexError, match="no cell"):
            terminal.cell(30, 0)


def test_a_lower_window_drops_rows_below_the_cursor_first() -> None:
    with Terminal(printing("one\r\ntwo\r\nthree"), rows=6) as terminal:
        terminal.wait_for("three")
        terminal.resize(80, 3)
        assert terminal.lines == ["one", "two", "three"]
        terminal.resize(2, 2)
        assert terminal.lines == ["tw", "th"]
        terminal.resize(80, 3)
        assert terminal.lines == ["tw", "th", ""]


def test_a_kill_is_noticed_at_once_and_leaves_no_open_descriptor() -> None:
    open_before = len(os.listdir("/proc/self/fd"))
    with Terminal(["/bin/cat"]) as terminal:
        terminal.signal(signal.SIGKILL)
        assert terminal.exit_code == -signal.SIGKILL
        assert not terminal.alive
        with pytest.raises(ProcessLookupError):
            terminal.signal(signal.SIGKILL)
    terminal.close()
    with pytest.raises(FileNotFoundError):
        Terminal(["/no/such/program"])
    assert len(os.listdir("/proc/self/fd")) == open_before


@pytest.mark.parametrize("reaped_first", [False, True])
def test_closing_ends_the_children_too(reaped_first: bool) -> None:
    with Terminal(python(PARENT)) as terminal:
        terminal.wait_for("child=")
        child = int(terminal.text.split("child=")[1].split(";")[0])
        if reaped_first:
            terminal.signal(signal.SIGKILL)
            terminal.wait()
    deadline = time.monotonic() + PATIENCE
    while runs(child):
        assert time.monotonic() < deadline
        time.sleep(0.001)


def test_an_error_about_missing_text_shows_the_screen() -> None:
    with Terminal(printing("only this")) as terminal:
        terminal.wait_for("only")
        with pytest.raises(AssertionError, match=r"(?s)no 'other' within 0\.05 s \(running.*\|only this\n"):
            terminal.wait_for("other", timeout=0.05)


def test_a_program_that_ends_without_the_text_fails_before_the_timeout() -> None:
    with (
        Terminal(python("print('last words'); raise SystemExit(3)")) as terminal,
        pytest.raises(AssertionError, match=r"(?s)ended without 'other' \(exit status 3.*\|last words\n"),
    ):
        terminal.wait_for("other", timeout=60)


def test_a_program_that_never_stops_printing_does_not_settle_and_its_output_is_capped() -> None:
    with Terminal(python("while True: print('again')"), raw_limit=1000) as terminal:
        with pytest.raises(AssertionError, match=r"still printing after 0\.1 s"):
            # However late a busy machine starts the program, it prints within the quiet time.
            terminal.settle(quiet=30.0, timeout=0.1)
        assert len(terminal.raw) == 1000 < terminal.bytes_read


def test_the_environment_matches_the_terminal(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    monkeypatch.setenv("COLUMNS", "33")
    names = ("NO_COLOR", "COLUMNS", "TERM", "COLORTERM", "LANG")
    program = python(f"import os; print([os.environ.get(name) for name in {names}], os.listdir())")
    (tmp_path / "here").touch()
    with Terminal(program, env={"COLORTERM": ""}, cwd=tmp_path, columns=100) as terminal:
        assert terminal.wait() == 0
        assert terminal.lines[0] == "[None, None, 'xterm-256color', '', 'C.UTF-8'] ['here']"


@pytest.mark.parametrize(
    "sequence",
    [
        "\x1b[>25u",
        "\x1b[<u",
        "\x1b[=1;1u",
        "\x1b[?2026$p",
        "\x1b[?2048$p",
        "\x1b[?1004;2004h",
        "\x1b[>4;1m",
        "\x1b[?6n",
        "\x1b[c",
        "\x1b[!p",
        "\x1b[2 q",
        "\x1b[1;2;3A",
        "\x1b[9J",
        "\x1b]2;title\x07",
        "\x1b]8;;file:band\x1b\\",
        "\x1bPquery\x1b\\",
        "\x1b_graphics\x1b\\",
        "\x1b(B",
        "\x1b=",
        "\u200d",
        "\x18",
    ],
)
def test_an_invisible_sequence_leaves_no_trace_even_in_pieces(sequence: str) -> None:
    output = f"<{sequence}>".encode()
    on_request = f"""
import os, tty
tty.setraw(0)
for byte in {output!r}:
    os.write(1, bytes([byte]))
    os.read(0, 1)
"""
    with Terminal(python(on_request)) as terminal:
        for count in range(1, len(output) + 1):
            terminal.wait_until(has_read(count), what=f"byte {count}")
            assert terminal.lines[0] == ("<>" if count == len(output) else "<")
            terminal.press("space")
        assert terminal.cell(0, 1) == PLAIN._replace(char=">")


@pytest.mark.parametrize(
    ("codes", "look"),
    [
        ("1;4;7", {"bold": True, "underline": True, "reverse": True}),
        ("2", {"dim": True}),
        ("1;2;22", {}),
        ("2;0;9", {"strike": True}),
        ("33;105", {"fg": "brown", "bg": "brightmagenta"}),
        ("38;5;12;48;5;3", {"fg": "brightblue", "bg": "brown"}),
        ("38;5;196", {"fg": "ff0000"}),
        ("38;2;11;60;93;48;2;2;4;1", {"fg": "0b3c5d", "bg": "020401"}),
        ("38:2::11:60:93;4:3", {"fg": "0b3c5d", "underline": True}),
        ("58;2;1;2;3", {}),
    ],
)
def test_a_cell_has_the_requested_look(codes: str, look: dict[str, str | bool]) -> None:
    with Terminal(printing(f"\x1b[{codes}mx")) as terminal:
        terminal.wait_for("x")
        assert terminal.cell(0, 0)._asdict() == PLAIN._asdict() | look


def test_a_wide_character_takes_two_cells_and_half_of_one_shows_nothing() -> None:
    with Terminal(printing("结结|\x1b[1;1Ha\x1b[1;4Hb")) as terminal:
        terminal.wait_for("b|")
        assert terminal.lines[0] == "a  b|"
    with Terminal(printing("结|")) as terminal:
        terminal.wait_for("结|")
        assert [terminal.cell(0, column).char for column in range(3)] == ["结", "", "|"]


def test_a_character_without_width_does_not_hide_the_next() -> None:
    with Terminal(printing("re\u0301sume\u0301 a\u200db\x18c")) as terminal:
        terminal.wait_for("résumé abc")


def test_leaving_the_alternate_screen_restores_the_main_one() -> None:
    with Terminal(python(ALTERNATES), rows=12) as terminal:
        terminal.wait_for("last")
        assert "before" not in terminal.text
        terminal.resize(80, 4)
        assert terminal.lines == ["first", "", "", ""]
        terminal.press("enter")
        terminal.wait()
        assert terminal.lines[:2] == ["before", "after"]


def test_named_keys_send_what_a_plain_terminal_sends() -> None:
    with Terminal(python(TELLS_KEYS)) as terminal:
        terminal.wait_for("ready")
        for name, sent in KEYS.items():
            terminal.press(name)
            terminal.wait_for(repr(sent))
        terminal.press("?")
        terminal.wait_for(repr(b"?"))
        with pytest.raises(KeyError):
            terminal.press("f99")


@pytest.mark.parametrize("kind", ["truecolor", "16 colours"])
def test_a_full_screen_program_is_shown_in_its_colours(kind: str, tmp_path: Path) -> None:
    program = tmp_path / "counter.py"
    program.write_text(APP)
    env = {"TERM": "xterm-16color", "COLORTERM": ""} if kind == "16 colours" else {}
    with Terminal([sys.executable, str(program)], columns=40, rows=6, env=env) as terminal:
        terminal.wait_for("steps 0")
        terminal.press("space", "space")
        terminal.wait_for("steps 2")
        terminal.settle()
        assert terminal.lines == ["band █▖▟", "steps 2", "40 wide", "", "", ""]
        band, ground = terminal.cell(0, 0), terminal.cell(5, 39)
        assert band.bold
        if kind == "truecolor":
            assert (band.fg, band.bg, ground.bg) == ("f4f1de", "aa0000", "0b3c5d")
        else:
            assert (band.fg, band.bg) == ("brightwhite", "red")
            assert ground.bg in ("black", "blue", "brightblack")
        terminal.resize(30, 4)
        terminal.wait_for("30 wide")
        terminal.settle()
        assert terminal.lines == ["band █▖▟", "steps 2", "30 wide", ""]
        assert terminal.cell(3, 29).bg == ground.bg
        terminal.press("q")
        assert terminal.wait() == 0
        assert not terminal.text.strip()
