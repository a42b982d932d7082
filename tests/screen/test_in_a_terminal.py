"""The bench in a real terminal: raw key bytes, sizes, job control, few colours, and restoring the terminal."""

import os
import re
import signal
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from benchmate.craft.colours.terminal_colours import ColourDepth, number_of
from benchmate.design_files.load import load
from benchmate.design_files.shelf import shipped
from tests.choosing import is_chosen, open_title
from tests.running import COMMAND, bench, count, environment, pieces, press_one_by_one, wait_for_count
from tests.screen.benches import CHEVRON, written_to
from tests.terminal import Terminal


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A design of 30 knots."""
    return written_to(tmp_path, CHEVRON)


def in_terminal(file: Path, home: Path, columns: int = 80, rows: int = 24, **env: str) -> Terminal:
    """The bench on a design, in a terminal with the variables `env`."""
    command = [*COMMAND, "follow", str(file)]
    return Terminal(command, columns=columns, rows=rows, env=environment(home, env))


def test_from_the_command_to_the_step(file: Path, home: Path) -> None:
    with bench(file, home) as terminal:
        wait_for_count(terminal, 0)
        terminal.wait_for("q leave")
        assert "Heather on the moor" in terminal.lines[0]
        assert "row 1 of 12" in terminal.lines[0]
        assert "NEXT" in terminal.text
        assert "makes the knot" in terminal.text
        assert "? keys  u wrong  q leave" in terminal.lines[-1]
        terminal.press("space")
        wait_for_count(terminal, 1)
        terminal.press("q")
        assert terminal.exit_code == 0
    assert [(piece["done"], piece["of"]) for piece in pieces(home)] == [(1, 30)]


def test_from_the_list_to_the_step(home: Path) -> None:
    with Terminal([*COMMAND], env=environment(home)) as terminal:
        open_title(terminal, "Tidewater chevron")
        wait_for_count(terminal, 0)
        terminal.wait_for("cut 1 of")
        terminal.press("l")
        terminal.wait_for("lay out 1 of")
        # Two presses of one key in a moment are a held key.
        terminal.pump(0.2)
        terminal.press("l")
        terminal.wait_for("l: lay out the strings")
        terminal.press("space")
        wait_for_count(terminal, 1)
        terminal.press("q")
        terminal.wait_for("CONTINUE")
        assert is_chosen(terminal, "Tidewater chevron")
        # A key held down leaves the piece, but not the list too.
        terminal.pump(0.2)
        terminal.press("q")
        assert terminal.exit_code == 0


@pytest.mark.parametrize(
    ("forward", "backward"),
    [
        ((b" ", b"\r", b"\x1b[C", b"\x1b[6~"), (b"\x1b[D", b"\x7f", b"\x1b[5~")),
        # Arrow keys in application mode, and backspace as older terminals send it.
        ((b"\r", b" ", b"\x1bOC"), (b"\x1bOD", b"\x08")),
    ],
)
def test_the_keys_as_terminals_send_them(
    file: Path, home: Path, forward: tuple[bytes, ...], backward: tuple[bytes, ...]
) -> None:
    with bench(file, home) as terminal:
        wait_for_count(terminal, 0)
        for done, key in enumerate(forward, 1):
            terminal.send(key)
            wait_for_count(terminal, done)
        for less, key in enumerate(backward, 1):
            terminal.send(key)
            wait_for_count(terminal, len(forward) - less)


def test_an_unknown_key_is_ignored(file: Path, home: Path) -> None:
    with bench(file, home) as terminal:
        wait_for_count(terminal, 0)
        # A letter, focus, a mouse wheel, something pasted, a terminal's answer, a function key.
        terminal.send(b"x\x1b[I\x1b[O\x1b[<64;10;10M\x1b[200~ \r \x1b[201~\x1b[?2026;2$y\x1b[24~")
        terminal.press("enter")
        wait_for_count(terminal, 1)
        assert terminal.alive


def test_resizing_while_knotting(file: Path, home: Path) -> None:
    with bench(file, home, columns=40, rows=12) as terminal:
        wait_for_count(terminal, 0)
        done = 0
        for columns, rows in ((200, 60), (80, 24), (300, 100), (40, 12), (20, 4), (80, 24)):
            terminal.resize(columns, rows)
            for key in ("space", "enter"):
                done += 1
                terminal.press(key, gap=0.06)
                if columns >= 40:
                    wait_for_count(terminal, done)
        terminal.wait_for("knot 13")
        assert "row 5 of 12" in terminal.lines[0]
        assert "knot 13" in terminal.lines[23]
        assert "NEXT" in terminal.lines[20]


def test_keys_during_many_quick_resizes(file: Path, home: Path) -> None:
    with bench(file, home) as terminal:
        wait_for_count(terminal, 0)
        for step in range(20):
            terminal.resize(40 + 14 * step, 12 + 4 * step)
            if step % 2 == 0:
                # Ten keys in all: too few for a flood, however close.
                terminal.press(("space", "enter", "right", "pagedown")[step // 2 % 4])
        terminal.resize(80, 24)
        terminal.wait_until(lambda terminal: "Heather" in terminal.lines[0] and len(terminal.lines[0]) > 70)
        terminal.settle()
        assert terminal.alive
        assert 1 <= (count(terminal) or (0, 0))[0] <= 10


# Job control


def stopped(pid: int) -> bool:
    """True while a process is stopped."""
    return Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rsplit(")", 1)[1].split()[0] == "T"


def test_ctrl_z_and_back_redraws_the_screen(file: Path, home: Path) -> None:
    with bench(file, home) as terminal:
        wait_for_count(terminal, 0)
        terminal.press("space")
        wait_for_count(terminal, 1)
        terminal.settle()
        before = terminal.lines
        terminal.press("ctrl+z")
        terminal.wait_until(lambda terminal: stopped(terminal.pid), what="a stopped program")
        terminal.wait_until(lambda terminal: "q leave" not in terminal.text, what="the shell's own screen")
        terminal.signal(signal.SIGCONT)
        terminal.wait_until(lambda terminal: terminal.lines == before, what="the same screen again")
        terminal.press("enter")
        wait_for_count(terminal, 2)
        terminal.press("q")
        assert terminal.exit_code == 0


def threads(pid: int) -> int:
    """How many threads a process has."""
    return len(list(Path(f"/proc/{pid}/task").iterdir()))


def test_after_sigstop_it_takes_its_terminal_back(file: Path, home: Path) -> None:
    with bench(file, home) as terminal:
        wait_for_count(terminal, 0)
        terminal.press("space")
        wait_for_count(terminal, 1)
        before = threads(terminal.pid)
        for done in (2, 3, 4):
            terminal.signal(signal.SIGSTOP)
            terminal.wait_until(lambda terminal: stopped(terminal.pid), what="a stopped program")
            terminal.signal(signal.SIGCONT)
            terminal.wait_until(lambda terminal: not stopped(terminal.pid), what="a program that continues")
            terminal.settle(quiet=0.5)
            terminal.press("space")
            wait_for_count(terminal, done)
        # The daily copy may have started late, in a thread that stays; an extra reader would be two more threads.
        assert threads(terminal.pid) <= before + 1
        terminal.press("q")
        assert terminal.exit_code == 0


def test_a_resize_while_stopped_is_seen_afterwards(file: Path, home: Path) -> None:
    with bench(file, home) as terminal:
        wait_for_count(terminal, 0)
        terminal.press("ctrl+z")
        terminal.wait_until(lambda terminal: stopped(terminal.pid), what="a stopped program")
        terminal.resize(120, 36)
        terminal.signal(signal.SIGCONT)
        terminal.wait_until(
            lambda terminal: "Heather" in terminal.lines[0] and "q leave" in terminal.lines[35],
            what="the bench in the new size",
        )


@contextmanager
def under_a_shell(file: Path, home: Path) -> Iterator[tuple[Terminal, int]]:
    """The bench, started from a shell with job control, one knot tied: the shell's terminal and the bench's pid."""
    with Terminal(["bash", "--norc", "-i"], env={**environment(home), "PS1": "$ "}) as terminal:
        terminal.wait_for("$")
        terminal.send(f"cd / && {' '.join(COMMAND)} follow {file}\r")
        wait_for_count(terminal, 0)
        terminal.press("space")
        wait_for_count(terminal, 1)
        (pid,) = Path(f"/proc/{terminal.pid}/task/{terminal.pid}/children").read_text(encoding="ascii").split()
        yield terminal, int(pid)


@pytest.mark.parametrize("asked", [True, False])
def test_under_a_shell_with_job_control(file: Path, home: Path, asked: bool) -> None:
    with under_a_shell(file, home) as (terminal, pid):
        if asked:
            terminal.press("ctrl+z")
        else:
            os.kill(pid, signal.SIGSTOP)
        terminal.wait_for("Stopped")
        terminal.send(
            "echo back at the $0; stty -a | tr -s ' ;' '\\n' | grep -x -e echo -e icanon -e isig | tr '\\n' ' '\r"
        )
        terminal.wait_for("isig icanon echo")
        terminal.send("fg\r")
        terminal.wait_until(lambda terminal: not stopped(pid), what="a program that continues")
        terminal.settle(quiet=0.5)
        wait_for_count(terminal, 1)
        terminal.press("enter")
        wait_for_count(terminal, 2)
        terminal.press("q")
        # Keys typed before the program has ended are lost. After SIGSTOP the program was still on the alternate screen,
        # so what was written there is lost too.
        terminal.wait_for("2/30, saved.")
        terminal.wait_until(lambda terminal: terminal.text.rstrip().endswith("\n$"), what="the shell's prompt")
        terminal.send("stty -a | tr -s ' ;' '\\n' | grep -x -e echo -e icanon -e isig | tr '\\n' ' '; echo status $?\r")
        terminal.wait_until(
            lambda terminal: terminal.text.count("isig icanon echo") == 1 + asked and "status 0" in terminal.text,
            what="a terminal as it was",
        )


@pytest.mark.parametrize("ended", ["kill %1", "kill -HUP %1", "bg; sleep 1; kill %1"])
def test_ended_while_it_is_stopped(file: Path, home: Path, ended: str) -> None:
    with under_a_shell(file, home) as (terminal, pid):
        terminal.press("ctrl+z")
        terminal.wait_for("Stopped")
        terminal.send(f"{ended}\r")
        terminal.wait_until(lambda terminal: not Path(f"/proc/{pid}").exists(), what="the program's end")
        terminal.send("stty -a | tr -s ' ;' '\\n' | grep -x -e echo -e icanon -e isig | tr '\\n' ' '\r")
        terminal.wait_for("isig icanon echo")


# Colours


def text_cells(terminal: Terminal) -> list[tuple[str, str, str]]:
    """Every cell with a letter or a figure: the character, its ink and its ground."""
    found = []
    for row in range(terminal.rows):
        for column in range(terminal.columns):
            cell = terminal.cell(row, column)
            if cell.char.isalnum():
                ink, ground = (cell.bg, cell.fg) if cell.reverse else (cell.fg, cell.bg)
                found.append((cell.char, ink, ground))
    return found


def test_in_sixteen_colours(file: Path, home: Path) -> None:
    with in_terminal(file, home, TERM="xterm-16color", COLORTERM="") as terminal:
        wait_for_count(terminal, 0)
        terminal.press("space")
        wait_for_count(terminal, 1)
        terminal.settle()
        cells = text_cells(terminal)
        assert len(cells) > 150
        for char, ink, ground in cells:
            assert not re.fullmatch(r"[0-9a-f]{6}", ink), char
            assert not re.fullmatch(r"[0-9a-f]{6}", ground), char
            assert ink != ground, char
        assert ">3<" in terminal.text
        assert "[4]" in terminal.text


@pytest.mark.parametrize("colours", [16, 256])
def test_threads_are_sent_by_the_numbers_chosen_for_them(home: Path, colours: int) -> None:
    # Rounded one by one, three of these four would be the same grey.
    file = next(Path(file) for file in shipped() if "slow-current" in file)
    design = load(str(file)).design.on_screen(ColourDepth(colours))
    numbers = [number_of(colour.value, colours) for colour in design.colours.values()]
    assert len({*numbers}) == 4
    term = "xterm-16color" if colours == 16 else "xterm-256color"
    with in_terminal(file, home, TERM=term, COLORTERM="") as terminal:
        terminal.wait_for("0/")
        terminal.settle()
        codes = set(re.findall(r"(?<=[\[;])(?:48;5;(\d+)|(4[0-7]|10[0-7]))(?=[;m])", terminal.raw.decode()))
        if colours == 256:
            sent = {int(number) for number, _ in codes if number}
        else:
            sent = {int(code) - (40 if len(code) == 2 else 92) for _, code in codes if code}
        assert {*numbers} <= sent
        assert "8;2;" not in terminal.raw.decode()


def test_without_colour(file: Path, home: Path) -> None:
    with in_terminal(file, home, NO_COLOR="1") as terminal:
        wait_for_count(terminal, 0)
        terminal.press("space")
        wait_for_count(terminal, 1)
        terminal.settle()
        cells = text_cells(terminal)
        assert len(cells) > 150
        for char, ink, ground in cells:
            for colour in (ink, ground):
                assert grey(colour), f"{char} in {colour}"
            assert ink != ground, char
        assert ">3<" in terminal.text
        assert "[4]" in terminal.text
        assert "makes the knot" in terminal.text


def grey(colour: str) -> bool:
    """True for black, white, and all between."""
    if re.fullmatch(r"[0-9a-f]{6}", colour):
        return colour[:2] == colour[2:4] == colour[4:]
    return colour in ("default", "black", "white", "brightblack", "brightwhite")


@pytest.mark.parametrize("term", ["xterm", "screen-256color", "linux", "vt100"])
def test_in_terminals_of_other_kinds(file: Path, home: Path, term: str) -> None:
    with in_terminal(file, home, TERM=term, COLORTERM="") as terminal:
        wait_for_count(terminal, 0)
        terminal.press("space")
        wait_for_count(terminal, 1)
        terminal.press("q")
        assert terminal.exit_code == 0


# Leaving


def restored(output: bytes) -> bool:
    """True when every mode is reset: alternate screen, hidden cursor, mouse, pastes."""
    last = dict(re.findall(rb"\x1b\[\?(\d+)([hl])", output))
    return all(last.get(mode, b"l") == b"l" for mode in (b"1049", b"1000", b"1003", b"1006", b"2004")) and (
        last.get(b"25", b"h") == b"h"
    )


def leave_by(terminal: Terminal, how: str) -> None:
    """Leaves by a key or a signal."""
    if how in ("q", "ctrl+c"):
        terminal.press(how)
    else:
        terminal.signal(signal.Signals[how])


@pytest.mark.parametrize("how", ["q", "ctrl+c", "SIGTERM", "SIGHUP"])
def test_the_terminal_is_left_as_it_was(file: Path, home: Path, how: str) -> None:
    with bench(file, home) as terminal:
        wait_for_count(terminal, 0)
        terminal.press("space")
        wait_for_count(terminal, 1)
        assert not restored(bytes(terminal.raw))
        leave_by(terminal, how)
        assert terminal.exit_code == 0
        assert restored(bytes(terminal.raw))
        assert "q leave" not in terminal.text
        assert "Traceback" not in terminal.text
    assert [piece["done"] for piece in pieces(home)] == [1]


# A stuck pedal


def test_two_hundred_spaces_at_once_count_once_and_ask(file: Path, home: Path) -> None:
    with bench(file, home) as terminal:
        wait_for_count(terminal, 0)
        terminal.send(b" " * 200)
        terminal.wait_for("Is a pedal stuck")
        terminal.settle()
        assert [piece["done"] for piece in pieces(home)] == [1]
        terminal.pump(0.7)
        terminal.press("c")
        wait_for_count(terminal, 1)
        terminal.press("enter")
        wait_for_count(terminal, 2)


def test_a_person_pressing_fast_is_counted(file: Path, home: Path) -> None:
    with bench(file, home) as terminal:
        wait_for_count(terminal, 0)
        press_one_by_one(terminal, "space", done=0, until=20)


# Nothing is written elsewhere


def everything_in(folder: Path) -> dict[str, bytes | None]:
    """All files below a folder with what they hold, and all folders."""
    return {str(path.relative_to(folder)): path.read_bytes() if path.is_file() else None for path in folder.rglob("*")}


def test_nothing_is_written_outside_its_home(file: Path, home: Path, tmp_path: Path) -> None:
    person, here = tmp_path / "person", tmp_path / "here"
    for folder in (person, here):
        folder.mkdir()
        (folder / "kept.txt").write_text("as it was")
    before = everything_in(person), everything_in(here), file.read_bytes()
    env = {**environment(home), "HOME": str(person), "XDG_CACHE_HOME": "", "TMPDIR": str(here)}
    with Terminal([*COMMAND, "follow", str(file)], env=env, cwd=here) as terminal:
        wait_for_count(terminal, 0)
        terminal.press("space")
        wait_for_count(terminal, 1)
        terminal.press("?")
        terminal.wait_for("p: press your pedal now")
        terminal.press("p")
        terminal.wait_for("Which action is the pedal for?")
        terminal.press("enter")
        terminal.wait_for("For: this step is done")
        terminal.press("b")
        terminal.wait_for("The pedal sends b, the same as the b key.")
        terminal.press("y")
        terminal.wait_for("Saved: b.")
        terminal.press("escape")
        terminal.wait_for("p: press your pedal now")
        terminal.press("escape")
        wait_for_count(terminal, 1)
        terminal.press("b")
        wait_for_count(terminal, 2)
        terminal.press("q")
        assert terminal.exit_code == 0
    assert (everything_in(person), everything_in(here), file.read_bytes()) == before
    kept = everything_in(home)
    assert {"pieces.db", "settings.yaml"} <= set(kept)
    assert not any(name.endswith((".lock", ".new")) for name in kept)


def test_only_changed_lines_are_painted(file: Path, home: Path) -> None:
    # A larger window shows the notice in large type.
    with bench(file, home, columns=120, rows=30) as terminal:
        wait_for_count(terminal, 0)
        terminal.wait_for("q leave")
        terminal.settle()
        whole = terminal.bytes_read
        terminal.press("m")
        terminal.wait_for("One press now: the rest of the run")
        terminal.settle()
        assert terminal.bytes_read - whole < whole / 4
