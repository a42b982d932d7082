"""Following a piece line by line: what a screen reader, a braille line or a pipe gets."""

import os
import re
import subprocess
from collections.abc import Sequence
from pathlib import Path

import pytest

from benchmate import piece_opening as openings
from tests.loaded import run
from tests.running import CHART, COMMAND, LONG_CHART, WRITTEN, Plain, environment, pieces
from tests.running import run as start

STEPS = [
    "1/12 forward, 1 slate over 2 pale rain, then slate hangs at 2, pale rain at 1; row 1",
    "2/12 backward, 4 slate over 3 pale rain, then slate hangs at 3, pale rain at 4; row 1",
    "3/12 forward, 2 slate over 3 slate, they change places; row 2",
    "4/12 forward, 1 pale rain over 2 slate, then pale rain hangs at 2, slate at 1; row 3",
]
LAST = "All done (12 steps)."
STEP_LINE = re.compile(r"(\d+)/(\d+) ")
NOT_UNDERSTOOD = "Not understood. Empty line: done; ?: all words; q: leave."


def follow(design: Path, home: Path, given: str, *options: str) -> list[str]:
    """The lines on standard output of a run that succeeds and writes nothing to standard error."""
    done = run("follow", design, "--plain", *options, home=home, given=given)
    assert (done.status, done.err) == (0, "")
    assert done.out.endswith("\n")
    return done.out.splitlines()


def numbers(lines: Sequence[str]) -> list[int]:
    """The step numbers of the lines."""
    return [int(found[1]) for line in lines if (found := STEP_LINE.match(line))]


def test_one_step_per_line_from_the_current_step_on(band: Path, home: Path) -> None:
    assert follow(band, home, "\n\n\n") == STEPS


def test_end_of_input_leaves(band: Path, home: Path) -> None:
    assert follow(band, home, "") == STEPS[:1]
    assert pieces(home) == []
    assert follow(band, home, "\n") == STEPS[:2]
    assert follow(band, home, "") == STEPS[1:2]


@pytest.mark.parametrize("given", ["q\n", "q", "q\n\n\n", "q\r\n\r\n"])
def test_q_leaves_at_once(band: Path, home: Path, given: str) -> None:
    assert follow(band, home, given) == STEPS[:1]
    assert pieces(home) == []


@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_both_kinds_of_line_end_are_accepted(band: Path, home: Path, ends: str) -> None:
    assert numbers(follow(band, home, ends * 2 + "b" + ends + "q" + ends)) == [1, 2, 3, 2]


def test_b_undoes_the_last_step_and_repeats_the_first(band: Path, home: Path) -> None:
    assert numbers(follow(band, home, "\n\nb\nb\nb\nb\n\n")) == [1, 2, 3, 2, 1, 1, 1, 2]
    assert pieces(home)[0]["done"] == 1


def test_b_at_the_first_step_starts_no_piece(band: Path, home: Path) -> None:
    assert follow(band, home, "b\nb\n") == STEPS[:1] * 3
    assert pieces(home) == []


def test_the_last_step_says_so_and_leaves(band: Path, home: Path) -> None:
    lines = follow(band, home, "\n" * 40)
    assert numbers(lines) == list(range(1, 13))
    assert lines[-1] == LAST
    assert len(lines) == 13
    (piece,) = pieces(home)
    assert (piece["done"], piece["of"], piece["finished"]) == (12, 12, True)
    assert numbers(follow(band, home, "\n")) == [1, 2]
    assert len(pieces(home)) == 2


def test_only_step_lines_begin_with_a_count(band: Path, home: Path) -> None:
    lines = follow(band, home, "\n" * 12)
    assert [bool(STEP_LINE.match(line)) for line in lines] == [True] * 12 + [False]
    assert {STEP_LINE.match(line)[2] for line in lines[:-1]} == {"12"}  # type: ignore[index]


@pytest.mark.parametrize("answer", ["done", " ", "bb", "B", "Q", " b", "b ", "1", "\t", "n", "x" * 5000, "ü", "\x1b[A"])
def test_an_unknown_answer_changes_nothing(band: Path, home: Path, answer: str) -> None:
    done = run("follow", band, "--plain", home=home, given=f"\n{answer}\n\n")
    assert done.status == 0
    known = r"Not understood\.( Did you mean \S+\?)? Empty line: done; \?: all words; q: leave\.\n"
    assert re.fullmatch(known, done.err)
    assert done.out.splitlines() == STEPS[:3]
    assert pieces(home)[0]["done"] == 2


@pytest.mark.parametrize("encoding", ["utf-8", "ascii", "utf-8:strict"])
def test_bytes_that_are_not_text_are_not_understood(band: Path, home: Path, encoding: str) -> None:
    done = run(
        "follow", band, "--plain", home=home, given=b"\n\xff\xfe\n\xc3\x28\n\n", env={"PYTHONIOENCODING": encoding}
    )
    assert (done.status, done.err.splitlines()) == (0, [NOT_UNDERSTOOD] * 2)
    assert numbers(done.out.splitlines()) == [1, 2, 3]


def test_every_answer_is_flushed_at_once_after_it_is_saved(band: Path, home: Path) -> None:
    with Plain(band, home) as plain:
        assert plain.line() == STEPS[0]
        assert pieces(home) == []
        for done, line in enumerate(STEPS[1:], 1):
            assert plain.answer("") == line
            assert pieces(home)[0]["done"] == done
        assert plain.answer("b") == STEPS[2]
        assert pieces(home)[0]["done"] == 2
        plain.say("what?")
        assert plain.notice() == NOT_UNDERSTOOD
        plain.say("q")
        assert plain.line() == ""
        assert plain.end() == (0, "", "")


def test_it_resumes_where_you_left_and_starts_another_piece_with_new(band: Path, home: Path) -> None:
    follow(band, home, "\n\n")
    assert follow(band, home, "\n") == STEPS[2:4]
    assert numbers(follow(band, home, "\n", "--new")) == [1, 2]
    assert sorted((piece["piece"], piece["done"]) for piece in pieces(home)) == [(1, 3), (2, 1)]
    # The piece touched last is resumed.
    assert numbers(follow(band, home, "")) == [2]


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--repeats", "3"], "this piece is worked with 4 repeats, not 3; add --new to begin another"),
        (["--repeats", "3", "--by", "rows"], "worked with 4 repeats, not 3; add --new to begin another"),
    ],
)
def test_options_that_differ_from_the_piece_are_refused(band: Path, home: Path, options: list[str], said: str) -> None:
    follow(band, home, "\n")
    done = run("follow", band, "--plain", *options, home=home, given="\n")
    assert (done.status, done.out) == (2, "")
    assert said in done.err
    assert pieces(home)[0]["done"] == 1
    assert numbers(follow(band, home, "\n", *options, "--new")) == [1, 2]
    assert pieces(home)[0]["of"] == 9


def test_options_that_match_the_piece_are_accepted(band: Path, home: Path) -> None:
    follow(band, home, "\n", "--repeats", "2")
    assert numbers(follow(band, home, "\n", "--repeats", "2", "--by", "rows")) == [2, 3]
    assert numbers(follow(band, home, "\n")) == [3, 4]
    assert pieces(home)[0]["of"] == 6


def test_a_changed_design_is_reported_and_the_piece_continues_with_its_copy(band: Path, home: Path) -> None:
    follow(band, home, "\n")
    band.write_text(CHART.replace("repeats: 4", "repeats: 2"))
    done = run("follow", band, "--plain", home=home, given="\n")
    assert (done.status, done.out.splitlines()) == (0, STEPS[1:3])
    assert done.err == "The design file has changed (2 repeats instead of 4); the piece continues with its own copy.\n"
    assert run("follow", band, "--plain", "--new", home=home).out.startswith("1/6 ")


@pytest.mark.parametrize("text", [None, "rows: [", CHART.replace("f b", "f q"), ""])
def test_a_design_that_can_no_longer_be_read_is_reported(band: Path, home: Path, text: str | None) -> None:
    follow(band, home, "\n")
    if text is None:
        band.unlink()
    else:
        band.write_text(text)
    done = run("follow", band, "--plain", home=home, given="\n")
    assert (done.status, done.out.splitlines()) == (0, STEPS[1:3])
    assert done.err.startswith("The design file cannot be used now; the piece continues with its own copy. ")
    assert str(band) in done.err


def test_a_faulty_design(tmp_path: Path, home: Path) -> None:
    file = tmp_path / "bad.yaml"
    file.write_text(CHART.replace("f b", "f q"))
    done = run("follow", file, "--plain", home=home, given="\n")
    assert (done.status, done.out) == (1, "")
    assert done.err.startswith(f"{file}:7:7: unknown knot `q`")
    missing = tmp_path / "none.yaml"
    done = run("follow", missing, "--plain", home=home, given="\n")
    assert done == (1, "", f"{missing}: no such file\n")
    assert pieces(home) == []


@pytest.mark.parametrize(
    "options",
    [
        ["--repeats", "0"],
        ["--repeats", "-1"],
        ["--repeats", "2.0"],
        ["--repeats", "x"],
        ["--repeats", "\u0663"],
        ["--repeats", "66667"],
        ["--by", "columns"],
        ["--by"],
        ["--json"],
        ["more.yaml"],
    ],
)
def test_a_faulty_command_line(band: Path, home: Path, options: list[str]) -> None:
    done = run("follow", band, "--plain", *options, home=home, given="\n")
    assert (done.status, done.out) == (2, "")
    assert "benchmate" in done.err
    assert "Traceback" not in done.err
    assert pieces(home) == []


@pytest.mark.parametrize(
    ("lesson", "onward"),
    [
        ("lesson-2-forward", "Next: benchmate follow lesson-3-backward."),
        ("lesson-6-first-stripe", "Next: benchmate follow first-stripe. It begins with row 1."),
    ],
)
def test_a_lesson_names_what_follows(lesson: str, onward: str, home: Path) -> None:
    last = follow(Path(lesson), home, "\n" * 40)[-1]
    assert re.fullmatch(rf"All done \(\d+ steps\)\. {re.escape(onward)}", last)


def test_start_and_finish_are_worked_and_counted_with_the_band(band: Path, home: Path) -> None:
    band.with_name("loop.yaml").write_text(WRITTEN)
    band.with_name("tassel.yaml").write_text(WRITTEN.replace("Fold the strings over a pin", "Cut the ends"))
    band.write_text(CHART + "start: loop\nfinish: tassel\n")
    lines = follow(band, home, "\n" * 18)
    assert numbers(lines) == list(range(1, 19))
    assert lines[:4] == [
        "1/18 Fold the strings over a pin. Leave a loop",
        "2/18 Knot all strings together. 1 of 2",
        "3/18 Knot all strings together. 2 of 2",
        STEPS[0].replace("1/12", "4/18") + ", band knot 1",
    ]
    assert lines[15] == "16/18 Cut the ends. Leave a loop"
    assert lines[-1] == "All done (18 steps)."
    assert pieces(home)[0]["of"] == 18
    assert "12 knots" in run("check", band, home=home).out


def test_a_design_of_written_steps(tmp_path: Path, home: Path) -> None:
    file = tmp_path / "loop.yaml"
    file.write_text(WRITTEN)
    assert numbers(follow(file, home, "\n\n\n", "--repeats", "2")) == [1, 2, 3, 4]


def test_a_design_with_nothing_to_tie(band: Path, home: Path) -> None:
    band.write_text(CHART.replace("f b", '"- -"').replace("- f\n", '- "-"\n'))
    lines = follow(band, home, "\n\n")
    assert lines == ["There is nothing to tie in this design."]
    assert pieces(home) == []


def test_a_knot_marked_wrong_is_undone_line_by_line(band: Path, home: Path) -> None:
    follow(band, home, "\n" * 4)
    kept = openings.Kept()
    held = openings.follow(kept, str(band), openings.NO_OPTIONS, new=False).held
    held.hold()
    held.mark_wrong(1)
    kept.close()
    done = run("follow", band, "--plain", home=home, given="\nb\n\n\n\n")
    assert done.status == 0
    assert done.err.splitlines() == [
        "A knot is marked wrong. Undo 3 knots to reach it, last first; an empty line after each.",
        "All undone. Tie this step again. If the strings hang wrong now: wrong strings.",
    ]
    assert [line.split(",")[0] for line in done.out.splitlines()] == [
        "4/12 take out forward",
        "3/12 take out forward",
        "4/12 take out forward",
        "3/12 take out forward",
        "2/12 take out the wrong knot of string 3 and string 4",
        "2/12 backward",
    ]
    assert pieces(home)[0]["done"] == 1


def test_without_a_terminal_it_continues_in_plain_lines_and_says_so(band: Path, home: Path) -> None:
    done = run("follow", band, home=home, given="\n")
    assert (done.status, done.out.splitlines()) == (0, STEPS[:2])
    assert done.err == "Not in a terminal, so continuing in plain lines.\n"
    assert pieces(home)[0]["done"] == 1


def test_ascii_output(band: Path, home: Path) -> None:
    band.write_text(CHART.replace("pale rain", "blässer Regen 雨"), encoding="utf-8")
    done = start("follow", band, "--plain", home=home, given="\n\n", env={"PYTHONIOENCODING": "ascii"})
    assert (done.status, done.err) == (0, "")
    assert done.out.isascii()
    assert done.out.splitlines()[0].startswith("1/12 forward, 1 slate over 2 bl\\xe4sser Regen \\u96e8, then")


def test_a_reader_that_closes_the_pipe_early_is_no_error(tmp_path: Path, home: Path) -> None:
    file = tmp_path / "long.yaml"
    file.write_text(LONG_CHART)
    with Plain(file, home) as plain:
        assert plain.line().startswith("1/24000 ")
        assert plain.process.stdout is not None
        plain.process.stdout.close()
        plain.say("")
        assert plain.process.wait() == 0
        assert plain.notice() == ""
    # The step was saved before its line failed to print.
    assert pieces(home)[0]["done"] == 1


@pytest.mark.parametrize("closed", ["<&-", ">&-", "2>&-", "<&- >&- 2>&-"])
def test_a_closed_standard_stream(band: Path, home: Path, closed: str) -> None:
    done = subprocess.run(
        ["/bin/sh", "-c", f'"$@" {closed}', "sh", *COMMAND, "follow", band, "--plain"],
        input=b"\n\nwhat\n",
        capture_output=True,
        env=environment(home),
        check=False,
    )
    assert done.returncode == 0
    assert b"Traceback" not in done.stderr
    assert (done.stdout == b"") == (">&-" in closed.split())
    assert b"Not understood" not in done.stdout
    assert [piece["done"] for piece in pieces(home)] == ([] if "<&-" in closed else [2])


def test_an_interrupt_leaves_quietly(band: Path, home: Path) -> None:
    with Plain(band, home) as plain:
        plain.line()
        plain.answer("")
        plain.process.send_signal(2)
        assert plain.process.wait() == 0
        assert plain.end().err == ""
    assert numbers(follow(band, home, "")) == [2]


def test_a_file_name_that_is_not_utf8(band: Path, home: Path) -> None:
    file = Path(os.fsdecode(os.fsencode(band.parent) + b"/na\xefve.yaml"))
    band.rename(file)
    assert follow(file, home, "\n") == STEPS[:2]
    assert follow(file, home, "") == STEPS[1:2]
    assert pieces(home)[0]["file"] == str(file)
