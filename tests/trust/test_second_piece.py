"""No second piece is begun unasked, however many windows begin at once."""

import subprocess
from pathlib import Path

from tests.choosing import open_title
from tests.homes import done_of
from tests.running import COMMAND, bench, count, environment, wait_for_count
from tests.terminal import Terminal

AT_ONCE = 6


def test_six_windows_begin_one_piece(band: Path, tmp_path: Path) -> None:
    for each in range(2):
        home = tmp_path / f"home{each}"
        programs = [
            subprocess.Popen(
                [*COMMAND, "follow", str(band), "--plain"],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.PIPE,
                env=environment(home),
            )
            for _ in range(AT_ONCE)
        ]
        if each % 2:
            # All have looked for a piece before the first begins one.
            for program in programs:
                assert program.stdout is not None
                assert program.stdout.readline().startswith(b"1/12 ")
        for program in programs:
            assert program.stdin is not None
            program.stdin.write(b"\n")
            program.stdin.flush()
        ends = [program.communicate() for program in programs]
        statuses = [program.returncode for program in programs]
        assert set(statuses) <= {0, 1}, ends
        assert 0 in statuses
        # A window that came after the others had left went on with their piece.
        assert done_of(home) == {1: statuses.count(0)}
        for status, (_, err) in zip(statuses, ends, strict=True):
            words = {0: {b""}, 1: {b"This piece is open", b"Another window has"}}[status]
            assert any(err.startswith(each) for each in words), err


def counted_or_asked(terminal: Terminal) -> str:
    """Waits until the press counted, or the bench says that another window has the piece; returns which."""

    def answer() -> str | None:
        if any("is open in another window" in line for line in terminal.lines):
            return "asked"
        return "counted" if (count(terminal) or (0, 0))[0] == 1 else None

    terminal.wait_until(lambda _: answer() is not None, what="press counted and no other window named")
    return str(answer())


def skip_cutting(terminal: Terminal) -> None:
    """Skips the lengths to cut, with which a piece begun from the list opens."""
    terminal.wait_until(lambda terminal: "cut 1 of" in terminal.text, what="lengths to cut")
    terminal.press("l")
    terminal.wait_until(lambda terminal: "cut 1 of" not in terminal.text, what="the first step")


def test_two_screens_begin_one_piece_from_the_list(home: Path) -> None:
    screens = [Terminal(list(COMMAND), rows=40, env=environment(home)) for _ in range(2)]
    with screens[0], screens[1]:
        for terminal in screens:
            open_title(terminal, "Garden path stripe")
        for terminal in screens:
            wait_for_count(terminal, 0)
            skip_cutting(terminal)
        for terminal in screens:
            terminal.press("space")
        # Whose press comes first is up to the machine.
        answers = [counted_or_asked(terminal) for terminal in screens]
        assert sorted(answers) == ["asked", "counted"]
        assert done_of(home) == {1: 1}


def test_a_screen_whose_list_is_old_begins_no_second_piece(band: Path, home: Path) -> None:
    with Terminal(list(COMMAND), rows=40, env=environment(home)) as old:
        old.wait_for("Garden path stripe")
        with bench(Path("garden-path-stripe"), home) as other:
            wait_for_count(other, 0)
            other.press("space")
            wait_for_count(other, 1)
            other.press("q")
            assert other.wait() == 0
        open_title(old, "Garden path stripe")
        wait_for_count(old, 0)
        skip_cutting(old)
        old.press("space")
        # It shows the piece that is there, with the press not counted.
        wait_for_count(old, 1)
        assert done_of(home) == {1: 1}
