"""Two windows on one piece: one works, the other is read-only. Both never write, and no second piece starts unasked."""

import signal
from pathlib import Path

import pytest

from tests.loaded import run
from tests.running import PATIENCE, Plain, bench, count, pieces, wait_for_count
from tests.terminal import Terminal

REFUSED = "This piece is open in another window. Leave it there, then try again.\n"


def done(home: Path) -> int:
    """How many steps of the only piece are done."""
    (piece,) = pieces(home)
    return int(piece["done"])


def ask(terminal: Terminal) -> None:
    """Waits for the question whether to open read-only or take over."""
    terminal.wait_for("Rain on slate is open in another window.", PATIENCE)
    terminal.wait_for("open it here read-only")
    terminal.wait_for("take over here; the other window becomes read-only")


def is_read_only(terminal: Terminal) -> None:
    """Waits for the window to say that it is read-only."""
    terminal.wait_until(lambda terminal: "read-only" in terminal.text.lower(), what="a notice that it is read-only")


def holds(terminal: Terminal, home: Path, start: int) -> None:
    """Checks that the window's step keys count."""
    terminal.press("space")
    wait_for_count(terminal, start + 1)
    terminal.pump(0.2)
    terminal.press("backspace")
    wait_for_count(terminal, start)
    assert done(home) == start


def changes_nothing(terminal: Terminal, home: Path, shown: int) -> None:
    """Checks that no key changes the piece."""
    for key in "space", "left", "u", "enter", "j", "escape", "c":
        terminal.press(key, gap=0.2)
    is_read_only(terminal)
    assert count(terminal) == (shown, 12)
    assert done(home) == shown


def test_a_second_plain_window_is_refused(band: Path, home: Path) -> None:
    with Plain(band, home) as first:
        first.line()
        first.answer("")
        for options in [], ["--repeats", "4"]:
            assert run("follow", band, "--plain", *options, home=home, given="\n") == (1, "", REFUSED)
        assert first.answer("").startswith("3/12 ")
        first.say("q")
        assert first.end().status == 0
    assert run("follow", band, "--plain", home=home).out.startswith("3/12 ")
    assert done(home) == 2


def test_a_plain_window_is_refused_while_the_full_screen_is_open(band: Path, home: Path) -> None:
    with bench(band, home) as terminal:
        wait_for_count(terminal, 0)
        terminal.press("space")
        wait_for_count(terminal, 1)
        assert run("follow", band, "--plain", home=home, given="\n") == (1, "", REFUSED)
        assert run("follow", band, home=home, given="\n").status == 1
        terminal.press("q")
        assert terminal.wait() == 0
    assert run("follow", band, "--plain", home=home, given="\n").out.startswith("2/12 ")
    assert done(home) == 2


def test_a_killed_window_does_not_hold_its_piece(band: Path, home: Path) -> None:
    for _ in range(3):
        with Plain(band, home, "--new") as first:
            first.line()
            first.answer("")
            first.process.send_signal(signal.SIGKILL)
            first.process.wait()
            assert run("follow", band, "--plain", home=home).status == 0
    with bench(band, home) as terminal:
        wait_for_count(terminal, 1)
        terminal.signal(signal.SIGKILL)
        terminal.wait()
    with bench(band, home) as terminal:
        wait_for_count(terminal, 1)
        terminal.press("space")
        wait_for_count(terminal, 2)


def test_a_stopped_window_still_holds_its_piece(band: Path, home: Path) -> None:
    with Plain(band, home) as first:
        first.line()
        first.answer("")
        first.process.send_signal(signal.SIGSTOP)
        assert run("follow", band, "--plain", home=home).status == 1
        first.process.send_signal(signal.SIGCONT)
        assert first.answer("").startswith("3/12 ")


def test_a_read_only_window_shows_the_other_live_and_changes_nothing(band: Path, home: Path) -> None:
    with Plain(band, home) as first:
        first.line()
        first.answer("")
        with bench(band, home) as second:
            ask(second)
            second.press("l")
            wait_for_count(second, 1)
            is_read_only(second)
            for now in range(2, 5):
                assert first.answer("").startswith(f"{now + 1}/12 ")
                wait_for_count(second, now)
            first.answer("b")
            wait_for_count(second, 3)
            changes_nothing(second, home, 3)
            assert first.answer("").startswith("5/12 ")
            second.press("q")
            assert second.wait() == 0
        # Leaving a read-only window does not release the piece.
        assert run("follow", band, "--plain", home=home).status == 1
        assert first.answer("").startswith("6/12 ")


def test_the_question_can_be_left(band: Path, home: Path) -> None:
    with Plain(band, home) as first:
        first.line()
        first.answer("")
        with bench(band, home) as second:
            ask(second)
            second.press("space", "enter", "x", gap=0.2)
            ask(second)
            second.press("q")
            assert second.wait() == 0
        assert first.answer("").startswith("3/12 ")


def test_a_window_taken_over_is_read_only_and_can_take_the_piece_back(band: Path, home: Path) -> None:
    with bench(band, home) as first, bench(band, home, "--by", "rows") as late:
        wait_for_count(first, 0)
        wait_for_count(late, 0)
        first.press("space")
        wait_for_count(first, 1)
        with bench(band, home) as second:
            ask(second)
            second.press("t")
            wait_for_count(second, 1)
            is_read_only(first)
            holds(second, home, 1)
            second.pump(0.2)
            second.press("space")
            wait_for_count(second, 2)
            wait_for_count(first, 2)
            changes_nothing(first, home, 2)
            first.press("t")
            first.wait_for("Taken over")
            is_read_only(second)
            changes_nothing(second, home, 2)
            holds(first, home, 2)


def test_a_press_right_after_a_takeover_counts_nothing(band: Path, home: Path) -> None:
    with bench(band, home) as first:
        wait_for_count(first, 0)
        first.press("space")
        wait_for_count(first, 1)
        first.signal(signal.SIGSTOP)
        with bench(band, home) as second:
            ask(second)
            second.press("t")
            wait_for_count(second, 1)
            second.press("space")
            wait_for_count(second, 2)
            # Pressed before the window could see that it was taken over.
            first.press("space")
            first.signal(signal.SIGCONT)
            is_read_only(first)
            wait_for_count(first, 2)
            assert done(home) == 2


def test_a_plain_window_taken_over_counts_nothing_and_leaves(band: Path, home: Path) -> None:
    with Plain(band, home) as first:
        first.line()
        first.answer("")
        with bench(band, home) as second:
            ask(second)
            second.press("t")
            wait_for_count(second, 1)
            first.say("")
            assert first.notice() == "Another window has taken over this piece. Nothing was counted; leaving."
            assert first.process.wait(PATIENCE) == 1
            holds(second, home, 1)


def test_two_windows_on_a_new_design_start_one_piece(band: Path, home: Path) -> None:
    with bench(band, home) as first, bench(band, home) as second:
        wait_for_count(first, 0)
        wait_for_count(second, 0)
        first.press("space")
        wait_for_count(first, 1)
        second.press("space")
        ask(second)
        assert done(home) == 1
        second.press("l")
        wait_for_count(second, 1)
        changes_nothing(second, home, 1)
        holds(first, home, 1)


def test_two_plain_windows_on_a_new_design_start_one_piece(band: Path, home: Path) -> None:
    with Plain(band, home) as first, Plain(band, home) as second:
        first.line()
        second.line()
        first.answer("")
        second.say("")
        assert second.notice() == "Another window has taken over this piece. Nothing was counted; leaving."
        assert second.process.wait(PATIENCE) == 1
        assert first.answer("").startswith("3/12 ")
    assert done(home) == 2


def test_a_piece_started_and_left_by_another_window_is_not_started_twice(band: Path, home: Path) -> None:
    with Plain(band, home) as first, Plain(band, home) as second:
        first.line()
        second.line()
        first.answer("")
        first.answer("")
        first.say("q")
        assert first.end().status == 0
        second.say("")
        assert second.notice() == "Another window has taken over this piece. Nothing was counted; leaving."
        assert second.process.wait(PATIENCE) == 1
    assert done(home) == 2


@pytest.mark.parametrize("options", [["--new"], ["--new", "--repeats", "2"]])
def test_new_starts_a_second_piece_beside_an_open_one(band: Path, home: Path, options: list[str]) -> None:
    with Plain(band, home) as first:
        first.line()
        first.answer("")
        first.answer("")
        beside = run("follow", band, "--plain", *options, home=home, given="\n")
        assert (beside.status, beside.err) == (0, "")
        assert beside.out.startswith("1/")
        assert first.answer("").startswith("4/12 ")
    assert sorted((piece["piece"], piece["done"]) for piece in pieces(home)) == [(1, 3), (2, 1)]


def test_new_on_the_full_screen(band: Path, home: Path) -> None:
    with bench(band, home) as first, bench(band, home, "--new") as second:
        wait_for_count(first, 0)
        wait_for_count(second, 0)
        for terminal in first, second:
            terminal.press("space")
            wait_for_count(terminal, 1)
        second.pump(0.2)
        second.press("space")
        wait_for_count(second, 2)
    assert sorted(piece["done"] for piece in pieces(home)) == [1, 2]
