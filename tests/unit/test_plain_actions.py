"""Everything the step screen can do, line by line: each word of plain mode inside a piece."""

import io
import itertools
import os
import re
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from benchmate import piece_opening as openings
from benchmate.actions import ACTIONS
from benchmate.design_files.load import load
from benchmate.design_files.shelf import path_of
from benchmate.help.topics import page_in_sentences, summary
from benchmate.piece_opening import Kept, OpenedPiece, WorkingOptions
from benchmate.piece_voice import PieceVoice
from benchmate.plain import piece as plain
from benchmate.plain.answers import Answers, NoAnswer
from benchmate.plain.help_lines import help_lines
from benchmate.plain.in_piece.session import Session
from benchmate.plain.in_piece.word_table import EXACT, WORDS, does_for, opening_line
from benchmate.plain.lines import Lines
from benchmate.plain.stopped_by_word import STOP_LOOKING
from benchmate.settings import DEFAULTS, read_settings, write_settings
from benchmate.speech.text import LONGEST
from benchmate.store import places
from benchmate.store.open_piece import OpenPiece
from tests.running import CHART, WRITTEN
from tests.screen.benches import PICTURE, ROPE, begun, written_to
from tests.voices import recorder

STEP_LINE = re.compile(r"\d+/\d+ ")
TEN = """\
benchmate: 1
title: Ten at the gate
family: diagonal
colours: {deep: "#0b3c5d", foam: "#f4f1de"}
strings: [deep, foam, foam, deep, deep, deep, foam, foam, deep, foam]
rows: [f f b b f, f f b b]
repeats: 6
"""
"""Ten strings, 9 knots a repeat, 54 knots."""


class AtATerminal(io.StringIO):
    """Answers that a person types."""

    def isatty(self) -> bool:
        return True


class Told:
    """What plain mode printed: all lines of standard output, the step lines of them, the others, and the notices."""

    def __init__(self, out: str, err: str) -> None:
        self.out = out.splitlines()
        self.steps = [line for line in self.out if STEP_LINE.match(line)]
        self.others = [line for line in self.out if not STEP_LINE.match(line)]
        self.err = err.splitlines()

    @property
    def at(self) -> list[int]:
        """The numbers of the step lines."""
        return [int(line.partition("/")[0]) for line in self.steps]


Follow = Callable[..., Told]


@pytest.fixture
def follow(kept: Kept, tmp_path: Path) -> Follow:
    """Answers a piece of a design, from its first step or where it was left."""

    def follows(*answers: str, text: str = TEN, person: bool = False, done: int = 0) -> Told:
        file = tmp_path / "design.yaml"
        if not file.exists():
            file.write_text(text, encoding="utf-8")
        opened = openings.follow(kept, str(file), openings.NO_OPTIONS, new=False)
        opened.held.hold()
        if done and not opened.resumed:
            opened.held.jump(done)
        return answered(opened, *answers, person=person)

    return follows


def answered(opened: OpenedPiece, *answers: str, person: bool = False, listed: bool = True) -> Told:
    """What an open piece prints after these answers; `listed` where it was opened from the list."""
    stream = (AtATerminal if person else io.StringIO)("".join(f"{answer}\n" for answer in answers))
    out, err = io.StringIO(), io.StringIO()
    status, left = plain.lead_on(opened, Answers(stream), Lines(out, err), offers=listed)
    assert status == 0
    left.let_go()
    return Told(out.getvalue(), err.getvalue())


def piece(kept: Kept) -> int:
    """How many steps the piece touched last has done."""
    return kept.pieces.all()[0].done


# Questions that are left.

ASKED = [
    ("wrong",),
    ("wrong 5",),
    ("short",),
    ("short", "1"),
    ("lost",),
    ("lost", "same"),
    ("lost", "same", "list"),
    ("other",),
    ("length",),
    ("length 7 repeats",),
    ("length now",),
    ("way",),
    ("press",),
    ("jump 3",),
]


@pytest.mark.parametrize("asked", ASKED, ids=" ".join)
@pytest.mark.parametrize("leaves", ["", "q"])
def test_a_question_that_is_left_says_what_happened_and_the_step_again(
    asked: tuple[str, ...], leaves: str, follow: Follow
) -> None:
    told = follow(*asked, leaves, "", done=27)
    assert "Nothing is changed." in told.others
    at = told.out.index("Nothing is changed.")
    assert told.out[at + 1] == told.out[0], "the step again"
    assert told.at == [28, 28, 29]
    assert told.err == []


@pytest.mark.parametrize("asked", [("wrong",), ("short",), ("press",), ("other",)], ids=" ".join)
def test_the_voice_says_so_too(asked: tuple[str, ...], follow: Follow, monkeypatch: pytest.MonkeyPatch) -> None:
    voice = recorder(monkeypatch)
    write_settings(places.settings_file(), DEFAULTS._replace(voice="on"))
    told = follow(*asked, "", done=27)
    last = voice().said[-1].words
    assert last.startswith("Nothing is changed")
    assert told.steps[-1].partition(" ")[2].split(",")[0] in last


# The words themselves.


def test_every_action_has_a_word() -> None:
    named = {word.name for word in WORDS}
    assert {action.name for action in ACTIONS} <= named
    assert named - {action.name for action in ACTIONS} <= {"strings", "where", "lost", "short", "key", "more"}
    forms = [form for word in WORDS for form in word.words]
    assert len(forms) == len(set(forms))
    assert all(form == form.casefold() for form in forms)


def test_every_word_is_understood_with_capitals_and_spaces_but_the_old_ones_only_as_they_are() -> None:
    for word in WORDS:
        for form in word.words:
            assert does_for(form) is not None
            if form not in EXACT:
                assert does_for(f"  {form.upper()} ") is not None
            else:
                assert does_for(f" {form.upper()}") is None


def test_the_words_are_said_at_a_terminal_and_by_a_question_mark(follow: Follow) -> None:
    told = follow("?", "more", person=True)
    assert told.err[-1] == opening_line()
    for word in WORDS:
        assert word.help in told.others
        assert word.words[0] in opening_line()
    assert opening_line() not in follow("?").err


def test_nothing_is_printed_twice(follow: Follow) -> None:
    answers = ["strings", "where", "again", "lay out", "", "where", "strings", "light", "take", "way", "", "press run"]
    told = follow(*answers, person=True)
    assert not set(told.out) & set(told.err)
    assert not [line for line in (*told.out, *told.err) if line != line.strip() or "  " in line]


@pytest.mark.parametrize(
    ("answer", "guess"),
    [("wring", "wrong"), ("ondo", "undo"), ("jmp", "jump"), ("stings", "strings"), ("zzzz", None), ("voice on", None)],
)
def test_an_unknown_word_changes_nothing_and_is_guessed(
    answer: str, guess: str | None, follow: Follow, kept: Kept
) -> None:
    told = follow("", answer)
    assert (told.at, len(told.err)) == ([1, 2], 1)
    assert told.err[0].startswith("Not understood.")
    assert guess is None or f"Did you mean {guess}?" in told.err[0]
    assert piece(kept) == 1


# What the hands have done.


def test_undo_is_b(follow: Follow) -> None:
    assert follow("", "", "undo", "UNDO", "undo").at == [1, 2, 3, 2, 1, 1]


def test_a_wrong_knot_is_found_among_the_last_ones(follow: Follow, kept: Kept) -> None:
    told = follow(*[""] * 12, "wrong", "12", "more", "12", "1", *[""] * 20)
    asked = told.others.index("Which one is wrong? The last one first.")
    assert told.others[asked + 1].startswith("1: row 3, knot 12, ")
    assert told.others[asked + 11] == "2 more. Type more."
    # The second page has the two first knots.
    assert "12: row 1, knot 1, forward, 1 deep over 2 foam" in told.others
    out = [line for line in told.steps if " take out " in line]
    undo = f"Undo {len(out)} knots to reach it, last first."
    assert f"row 1, knot 1, forward, 1 deep over 2 foam. {undo}" in told.others
    assert out[-1] == "1/54 take out the wrong knot of string 1 and string 2, unless it was left out; row 1"
    again = told.steps[told.steps.index(out[-1]) + 1]
    assert again.startswith("1/54 forward, 1 deep over 2 foam")
    assert "All undone. Tie this step again. If the strings hang wrong now: wrong strings." in told.err
    assert piece(kept) == 12 - len(out) + (20 - len(out))


def test_on_the_way_to_a_wrong_knot_a_press_takes_out_one(follow: Follow) -> None:
    told = follow("wrong 1", "1", "press row", "", done=20)
    says = "An empty line undoes one step until the wrong one is out; then it counts the rest of the row."
    assert says in told.others
    assert told.steps[-1].split(" ", 1)[1].startswith("take out ")
    assert len(told.at) == 4


@pytest.mark.parametrize(
    ("given", "step"), [("wrong 7", 7), ("wrong knot 7", 7), ("wrong Knots 7", 7), ("wrong row 2", 9)]
)
def test_a_wrong_knot_is_named(given: str, step: int, follow: Follow) -> None:
    told = follow(*[""] * 9, given, "1", "1")
    if given == "wrong row 2":
        assert [line.partition(",")[0] for line in told.others[1:5]] == [f"{number}: row 2" for number in range(1, 5)]
    assert told.steps[-1].startswith(f"{step}/54 take out ")


@pytest.mark.parametrize(
    "given", ["wrong 10", "wrong 99", "wrong row 3", "wrong row 99", "wrong it", "wrong 0", "wrong -1"]
)
def test_a_knot_that_is_not_tied_cannot_be_wrong(given: str, follow: Follow) -> None:
    told = follow(*[""] * 9, given)
    assert (len(told.err), told.at) == (1, list(range(1, 11)))


def test_none_is_wrong(follow: Follow) -> None:
    assert follow("wrong").err == ["Nothing is tied yet."]
    assert follow("", "wrong", "").at == [1, 2, 2], "the step again"
    assert follow("wrong", "1", "").at == [2, 2]


def test_the_wrong_knot_is_kept(follow: Follow) -> None:
    told = follow(*[""] * 9, "wrong 1", "1", "", "wrong 2", "keep", "keep")
    assert told.others[-1] == "The wrong knot stays; 1 step undone."
    assert told.err == ["Undo the wrong knot first, or type keep to keep it.", "No knot is marked wrong."]
    assert " take out " not in told.steps[-1]
    told = follow("wrong 1", "1", "undo")
    assert told.err == ["Mark removed; the knot stays."]


def test_a_different_knot_is_counted(follow: Follow, kept: Kept) -> None:
    told = follow("other", "3", "", "")
    assert told.others[0] == "Which one did you tie?"
    assert told.others[1].endswith("1 deep over 2 foam, next in order")
    assert told.at == [1, 1, 2, 4]
    assert piece(kept) == 3


# Going elsewhere, and other ways.


def test_jumps(follow: Follow, kept: Kept) -> None:
    told = follow("jump row 5", "1", "jump knot 3", "1", "jump 2", "1")
    assert told.at == [1, 19, 3, 6]
    assert "18 knots not tied yet will be counted as tied." in told.others
    assert "Before the jump you were at knot 19." in told.others
    assert piece(kept) == 5
    assert follow("jump knot 6").others == [
        "There: knot 6, " + told.steps[-1].partition(" ")[2] + ".",
        *["That is where you are."],
    ] + [line for line in follow("jump knot 6").others if line.startswith("Strings there")]
    assert follow("jump row 5", "").at == [6, 6]


@pytest.mark.parametrize(
    "given", ["jump", "jump row", "jump row 99", "jump 0", "jump step 3", "jump row 3 4", "jump x"]
)
def test_there_is_no_such_place(given: str, follow: Follow) -> None:
    told = follow(given)
    assert (told.at, len(told.err), told.others) == ([1], 1, [])


def test_to_the_end_leaves(follow: Follow, kept: Kept) -> None:
    told = follow("jump end", "1", "")
    assert told.others[-1] == "All done (54 steps)."
    assert kept.pieces.all()[0].done == 54


def test_a_press_of_a_row(follow: Follow, kept: Kept) -> None:
    told = follow("press row", "", "", "press", "1", "")
    assert told.others[0] == "An empty line now counts the rest of the row."
    assert told.at == [1, 1, 6, 10, 10, 11]
    assert told.steps[1].startswith("1/54 5 knots: ")
    assert piece(kept) == 10
    assert follow("press knot by knot").err == ["press knot, press run or press row."]


def test_the_length(follow: Follow, kept: Kept) -> None:
    told = follow("", "length 7 repeats", "1", "length 13 rows", "1", "length", "2", "3", "1")
    assert [line for line in told.others if line.startswith("Now ")] == [
        "Now 7 repeats, 14 rows.",
        "Now 13 rows.",
        "Now 3 repeats, 6 rows.",
    ]
    assert [line.split()[0] for line in told.steps] == ["1/54", "2/54", "2/63", "2/59", "2/27"]
    told = follow("length 3 repeats", "length 0 rows", "length forever", "length 99999 repeats", "length", "")
    assert told.others[0] == "Nothing changes."
    assert len(told.err) == 3


def test_the_way(follow: Follow, kept: Kept) -> None:
    told = follow("way segments", "way", "1", "way from right", "way from the left", "way by rows from left", "way up")
    assert [line for line in told.others if line.startswith("Working ")] == [
        "Working by segments.",
        *[line for line in told.others if line.startswith("Working by segments. Pick-ups left: ")],
        "Working by rows.",
        "Working by rows, from the right.",
        "Working by rows, from the left.",
        "Working by rows, as before.",
    ]
    assert "; deep: 1 of " in told.steps[1]
    assert len(told.err) == 1
    assert kept.pieces.all() == []


def test_mirrored_before_the_first_knot_only(follow: Follow, kept: Kept) -> None:
    told = follow("length 11 rows", "1", "way mirrored", "", "way not mirrored", "q")
    assert "Now: Ten at the gate, mirrored." in told.others
    assert told.steps[2].startswith("1/50 backward, 2 deep over 1 foam")
    assert told.err == ["Mirroring is possible only before the first step."]
    (only,) = kept.pieces.all()
    assert (only.way.mirrored, only.done) == (True, 1)
    # It was let go of.
    resumed = openings.follow(kept, only.file, WorkingOptions(mirrored=True), new=False)
    resumed.held.hold()


def test_a_search_is_stopped_by_its_word(kept: Kept, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("benchmate.plain.stopped_by_word.LOOK_FOR_WORD", -1.0)
    opened = begun(kept, written_to(tmp_path, TEN.replace("repeats: 6", "repeats: 200")))
    reading, writing = os.pipe()
    with os.fdopen(writing, "w") as answers, os.fdopen(reading) as stream:
        answers.write(f"way segments\n{STOP_LOOKING}\nq\n")
        answers.flush()
        out = io.StringIO()
        assert plain.run(opened, Answers(stream), Lines(out, io.StringIO())) == 0
    assert "Search stopped; working by rows. Type way to choose again." in out.getvalue()
    assert opened.held.way.by == "rows"


def test_the_changed_design(follow: Follow, kept: Kept, tmp_path: Path) -> None:
    assert follow("design").err == ["Nothing is tied yet: the piece follows the file as it was just read."]
    assert follow("", "design").others == ["The design file has not changed since you began this piece."]
    file = tmp_path / "design.yaml"
    file.write_text(TEN.replace("repeats: 6", "repeats: 7"), encoding="utf-8")
    told = follow("design", "2")
    assert told.steps[-1].startswith("2/63 ")
    file.write_text(TEN.replace("repeats: 6", "repeats: 5"), encoding="utf-8")
    told = follow("design", "3", "", "")
    assert told.steps[-1].startswith("3/45 ")
    assert sorted(each.done for each in kept.pieces.all()) == [1, 2]


# What is told.


def test_the_strings_as_they_hang(follow: Follow) -> None:
    assert follow("strings").others == [
        "deep, first from the left",
        "foam, 2 strings, second and third from the left",
        "deep, 3 strings, fourth to sixth from the left",
        "foam, 2 strings, third and fourth from the right",
        "deep, second from the right",
        "foam, first from the right",
    ]
    assert follow("", "strings").others[0] == "foam, first from the left"


def test_the_leading_strings_and_the_strands(kept: Kept, tmp_path: Path) -> None:
    told = answered(begun(kept, written_to(tmp_path, PICTURE)), "strings", "", "strings")
    assert not any("leading" in line for line in told.others[: len(told.others) // 2])
    assert "last used" in told.others[-1]
    (tmp_path / "rope").mkdir()
    told = answered(begun(kept, written_to(tmp_path / "rope", ROPE)), "strings")
    assert told.others[0] == "slot 1: deep"


def test_where(follow: Follow) -> None:
    assert follow("", "where", "left").others == [
        *["Ten at the gate", "row 1 of 12", "knot 2", "done: 1 of 54 steps, 1 percent", "working by rows"] * 2
    ]


def test_where_in_written_steps(kept: Kept, tmp_path: Path) -> None:
    told = answered(begun(kept, written_to(tmp_path, WRITTEN)), "", "where")
    assert told.others[1:3] == ["step 2 of 3", "done: 1 of 3 steps, 33 percent"]


def test_time_left(kept: Kept, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    clock = iter(range(0, 1000, 60))
    monkeypatch.setattr("benchmate.store.opened.held_piece.time.time", lambda: float(next(clock)))
    told = answered(begun(kept, written_to(tmp_path, TEN)), *[""] * 12, "where")
    assert told.others[-1] == "about 42 min left"


def test_help(follow: Follow) -> None:
    told = follow("help knots", "help nots", "HELP Knots")
    assert told.others
    assert told.err == [line for line in told.err if "Did you mean help knots?" in line]
    assert len(told.err) == 1


def test_words_that_have_nothing_to_do(follow: Follow) -> None:
    told = follow("take", "light", "again")
    assert told.others == ["This piece is open here."]
    assert told.err == ["Plain lines have no colours: nothing to change."]
    assert told.at == [1, 1]


# At the end.


def test_at_the_end_a_person_is_offered_more(
    follow: Follow, kept: Kept, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    told = follow("", "9", "3", "2", "", "undo", "", "1", "2", "7", "1", done=53, person=True)
    at = told.out.index("All done (54 steps).")
    assert told.out[at + 1].startswith("54 knots, ")
    assert "1: go on: more rows or repeats" in told.out
    assert "2: add a finish" in told.out
    assert (tmp_path / "benchmate-piece-1.png").exists()
    assert told.steps[-1].startswith("55/63 ")
    assert not follow("q").others


def test_a_script_is_offered_nothing(follow: Follow) -> None:
    assert follow("", "1", done=53).others == ["All done (54 steps)."]


def test_a_lesson_leads_on(kept: Kept) -> None:
    file = load(path_of("lesson-2-forward"))
    opened = openings.begin(kept, file, openings.NO_OPTIONS, None)
    opened.held.hold()
    opened.held.jump(opened.held.whole.size - 1)
    told = answered(opened, "", "", "", "q", person=True)
    assert "1: Lesson 3: the backward knot" in told.others
    assert "Now: Lesson 3: the backward knot." in told.others
    assert [line.partition("/")[0] for line in told.steps[1:]] == ["1", "2"]
    assert [each.done for each in kept.pieces.all()] == [1, opened.held.whole.size]


# The voice.


@pytest.fixture
def spoken(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What the voice was asked to say; nothing is spoken."""
    said: list[str] = []

    def step(voice: PieceVoice, held: OpenPiece, *_: object) -> None:
        if voice.on:
            said.append(f"step {held.progress.done + 1}")

    monkeypatch.setattr(PieceVoice, "say_step", step)

    def other(voice: PieceVoice, words: str) -> None:
        if voice.on:
            said.append(words)

    def refused(voice: PieceVoice, _: OpenPiece, why: str, press: str) -> None:
        if voice.on:
            said.append(f"not done: {why}")

    monkeypatch.setattr(PieceVoice, "say", other)
    monkeypatch.setattr(PieceVoice, "refused", refused)
    monkeypatch.setattr(PieceVoice, "again", lambda *_: said.append("again"))
    monkeypatch.setattr(PieceVoice, "switch", lambda voice, on: setattr(voice, "on", on))
    return said


def test_the_voice_is_switched_and_says_each_step(follow: Follow, spoken: list[str]) -> None:
    told = follow("", "voice", "", "again", "undo", "voice", "", "again")
    assert spoken == ["step 2", "step 3", "again", "step 2"]
    assert told.others == ["Voice on.", "Voice off."]
    # `again` prints nothing while the voice says it.
    assert told.at == [1, 2, 3, 2, 3, 3]


def test_the_voice_says_what_is_asked_and_answered(follow: Follow, spoken: list[str]) -> None:
    told = follow("where", "voice", "where", "strings", "press", "2", "wrong", "wring", "voice", "where")
    assert spoken == [
        "step 1",
        ". ".join(told.others[6:11]),
        ". ".join(told.others[11:17]),
        "An empty line counts a knot. What should it count? 1: a knot. 2: the rest of the run. 3: the rest of the row",
        "step 1",
        "not done: Nothing is tied yet.",
        "not done: Not understood. Did you mean wrong? Empty line: done; ?: all words; q: leave.",
    ]


def test_a_long_answer_is_not_cut_in_the_middle_of_a_line(follow: Follow, spoken: list[str]) -> None:
    follow(*[""] * 30, "voice", "wrong", "")
    assert len(spoken[1]) <= LONGEST
    assert spoken[1].startswith("Which one is wrong? The last one first. 1: row ")
    assert spoken[1].endswith("foam. more on the lines") or spoken[1].endswith("deep. more on the lines")


def test_the_voice_is_on_where_the_settings_say_so(follow: Follow, spoken: list[str], kept: Kept) -> None:
    write_settings(places.settings_file(), DEFAULTS._replace(voice="on"))
    assert follow("").at == [1, 2]
    assert spoken == ["step 1", "step 2"]


def test_no_voice_is_made_while_it_is_off(follow: Follow, monkeypatch: pytest.MonkeyPatch) -> None:
    def made(*_: object) -> None:
        raise AssertionError("a voice was made")

    monkeypatch.setattr(PieceVoice, "__init__", made)
    follow("", "undo", "again", "strings")
    assert not [thread for thread in threading.enumerate() if "voice" in thread.name.lower()]


def test_faulty_settings_are_said_once_and_the_piece_goes_on(follow: Follow, kept: Kept) -> None:
    places.settings_file().parent.mkdir(parents=True, exist_ok=True)
    places.settings_file().write_text("voice: loud\n")
    told = follow("", "", "sound", "1", "2", "")
    assert told.at == [1, 2, 3, 3]
    assert "voice: loud" in places.settings_file().read_text()
    assert sum(line.startswith("The settings are not used") for line in told.err) == 1
    assert piece(kept) == 2


def test_the_sound_is_chosen(follow: Follow, kept: Kept) -> None:
    told = follow("sound", "1", "3", "2", "900", "200", "5", "2", "9", "1", "")
    settings = read_settings(places.settings_file())
    assert (settings.level, settings.rate, settings.knot_names, settings.voice) == ("sparse", 200, "larks-head", "on")
    assert "2: words a minute: 200" in told.others
    assert told.at == [1, 1]


# Pace mode.


@pytest.fixture
def pipe() -> Iterator[tuple[Answers, io.TextIOBase]]:
    """Answers from a pipe, and its other end."""
    reading, writing = os.pipe()
    with os.fdopen(reading) as stream, os.fdopen(writing, "w", buffering=1) as end:
        yield Answers(stream), end


def test_pace_mode_counts_until_an_answer(
    kept: Kept, tmp_path: Path, pipe: tuple[Answers, io.TextIOBase], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("benchmate.craft.history.timing.DEFAULT_BEAT", 0.03)
    answers, end = pipe
    opened = begun(kept, written_to(tmp_path, TEN))

    class Counts(io.StringIO):
        def write(self, text: str) -> int:
            if text.startswith("5/54 "):
                end.write("\n")
            if text.startswith("Paused"):
                end.write("q\n")
            return super().write(text)

    out = Counts()
    end.write("pace\n")
    assert plain.run(opened, answers, Lines(out, io.StringIO())) == 0
    told = Told(out.getvalue(), "")
    assert told.at[:5] == [1, 2, 3, 4, 5]
    assert told.others[-1] == "Paused, knot not counted. Type pace to continue."
    assert opened.held.progress.done == told.at[-1] - 1


def test_pace_mode_ends_with_the_piece_and_with_its_input(
    kept: Kept, tmp_path: Path, pipe: tuple[Answers, io.TextIOBase], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("benchmate.craft.history.timing.DEFAULT_BEAT", 0.01)
    answers, end = pipe
    end.write("pace\n")
    out = io.StringIO()
    assert plain.run(begun(kept, written_to(tmp_path, CHART)), answers, Lines(out, io.StringIO())) == 0
    assert out.getvalue().splitlines()[-1] == "All done (12 steps)."
    monkeypatch.setattr("benchmate.craft.history.timing.DEFAULT_BEAT", 50.0)
    end.write("pace\n")
    end.close()
    (tmp_path / "other").mkdir()
    again = begun(kept, written_to(tmp_path / "other", CHART))
    assert plain.run(again, answers, Lines(out, io.StringIO())) == 0
    assert again.held.progress.done == 0


def test_the_pace_is_changed(kept: Kept, tmp_path: Path, pipe: tuple[Answers, io.TextIOBase], follow: Follow) -> None:
    answers, end = pipe
    end.write("faster\npace\nslower\nundo\nq\n")
    out, err = io.StringIO(), io.StringIO()
    assert plain.run(begun(kept, written_to(tmp_path, CHART)), answers, Lines(out, err)) == 0
    assert Told(out.getvalue(), "").others == [
        "One knot every 5.5 seconds; type pace to start.",
        "One knot every 5.5 seconds; any answer pauses.",
        "One knot every 6.0 seconds.",
        "Paused, knot not counted. Type pace to continue.",
    ]
    assert follow("pace").err == ["Pace mode needs a terminal or a pipe."]


def test_pace_mode_waits_for_the_voice(
    kept: Kept, tmp_path: Path, pipe: tuple[Answers, io.TextIOBase], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("benchmate.craft.history.timing.DEFAULT_BEAT", 0.01)
    monkeypatch.setattr("benchmate.craft.history.timing.AFTER_WORDS", 0.01)
    answers, end = pipe
    words = iter([True] * 3)

    def speaking(_: Session) -> bool:
        if next(words, False):
            return True
        end.write("\n")
        return True

    monkeypatch.setattr(Session, "speaking", property(speaking))
    end.write("pace\n")
    opened = begun(kept, written_to(tmp_path, TEN))
    end.flush()
    out = io.StringIO()
    threading.Timer(0.3, end.close).start()
    assert plain.run(opened, answers, Lines(out, io.StringIO())) == 0
    assert opened.held.progress.done == 0


def test_a_beat_does_not_count_when_the_machine_stood_still(
    kept: Kept, tmp_path: Path, pipe: tuple[Answers, io.TextIOBase], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("benchmate.craft.history.timing.DEFAULT_BEAT", 0.01)
    monkeypatch.setattr("benchmate.plain.in_piece.hands_free.time.time", itertools.count(0, 60).__next__)
    answers, end = pipe
    end.write("pace\n")
    threading.Timer(0.2, end.close).start()
    opened = begun(kept, written_to(tmp_path, TEN))
    out = io.StringIO()
    assert plain.run(opened, answers, Lines(out, io.StringIO())) == 0
    assert "the computer slept. Knot not counted." in out.getvalue()
    assert opened.held.progress.done == 0


# Other windows, and the store.


def test_a_piece_that_is_taken_over_is_left(kept: Kept, tmp_path: Path) -> None:
    opened = begun(kept, written_to(tmp_path, TEN), done=1)
    other = openings.resume_listed(Kept(), kept.pieces.all()[0])
    other.held.hold(force=True)
    out, err = io.StringIO(), io.StringIO()
    assert plain.run(opened, Answers(io.StringIO("strings\n\n\n")), Lines(out, err)) == 1
    assert err.getvalue() == "Another window has taken over this piece. Nothing was counted; leaving.\n"
    other.kept.close()


def test_another_piece_that_is_open_elsewhere_is_not_opened(kept: Kept) -> None:
    lesson = openings.begin(kept, load(path_of("lesson-3-backward")), openings.NO_OPTIONS, None)
    lesson.held.hold()
    lesson.held.jump(1)
    lesson.held.let_go()
    elsewhere = openings.resume_listed(Kept(), kept.pieces.all()[0])
    elsewhere.held.hold()
    opened = openings.begin(kept, load(path_of("lesson-2-forward")), openings.NO_OPTIONS, None)
    opened.held.hold()
    opened.held.jump(opened.held.whole.size)
    told = answered(opened, "1", "undo", "q", person=True)
    assert "That piece is open in another window. Leave it there, then try again." in told.err
    assert told.at[-1] == opened.held.whole.size
    elsewhere.kept.close()


def test_a_new_piece_on_the_changed_design_has_its_repeats(kept: Kept, tmp_path: Path) -> None:
    file = written_to(tmp_path, CHART)
    opened = openings.follow(kept, str(file), WorkingOptions(repeats=3), new=True)
    opened.held.hold()
    opened.held.jump(1)
    file.write_text(CHART.replace("  - f\nrepeats: 4", "repeats: 1"), encoding="utf-8")
    told = answered(opened, "design", "2", "")
    assert told.err == []
    assert [line.partition(" ")[0] for line in told.steps] == ["2/9", "1/2", "2/2"]


# What is counted is what the last line says.


def knots_of_a_line(line: str) -> int:
    """How many knots a step line stands for."""
    found = re.match(r"\d+/\d+ (?:(\d+) knots: )?", line)
    assert found is not None
    return int(found[1] or 1)


@pytest.mark.parametrize("answers", [("press row", "voice", ""), ("voice", "press row", "voice", "")])
def test_an_empty_line_counts_what_the_last_line_said_when_the_voice_changes_it(
    answers: tuple[str, ...], follow: Follow, kept: Kept, spoken: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def two_at_a_time(voice: PieceVoice, held: OpenPiece, press: str) -> list[int]:
        return held.steps_of_press(press)[: 2 if voice.on else None]

    monkeypatch.setattr(PieceVoice, "steps_of_press", two_at_a_time)
    told = follow(*answers)
    assert piece(kept) == knots_of_a_line(told.steps[-2]) == (2 if answers[0] == "press row" else 5)


def test_after_pace_mode_a_line_says_how_many_a_press_of_a_row_counts(
    kept: Kept, tmp_path: Path, pipe: tuple[Answers, io.TextIOBase], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("benchmate.craft.history.timing.DEFAULT_BEAT", 0.01)
    answers, end = pipe
    end.write("press row\npace\n")
    opened = begun(kept, written_to(tmp_path, TEN))

    class Pauses(io.StringIO):
        def write(self, text: str) -> int:
            if text.startswith("3/54 ") and " knots: " not in text:
                end.write("\n\nq\n")
            return super().write(text)

    out = Pauses()
    assert plain.run(opened, answers, Lines(out, io.StringIO())) == 0
    told = Told(out.getvalue(), "")
    assert told.steps[-2].startswith("3/54 3 knots: ")
    assert opened.held.progress.done == 5


def test_sounds_that_are_turned_on_are_made_ready_at_once(
    follow: Follow, kept: Kept, monkeypatch: pytest.MonkeyPatch
) -> None:
    switched: list[bool] = []
    monkeypatch.setattr(PieceVoice, "switch", lambda _, on: switched.append(on))
    monkeypatch.setattr(PieceVoice, "say_step", lambda *_: None)
    follow("sound", "7", "1", "")
    assert read_settings(places.settings_file()).sounds == "on"
    assert switched == [False]


@pytest.fixture
def refused(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What was refused, which makes the sound of a press that changed nothing."""
    found: list[str] = []
    before = Session.refuse

    def refuse(session: Session, text: str) -> None:
        found.append(text)
        before(session, text)

    monkeypatch.setattr(Session, "refuse", refuse)
    return found


def test_a_change_is_not_refused(follow: Follow, refused: list[str]) -> None:
    told = follow("", "wrong 1", "1", "", "", "wrong 1", "1", "undo")
    assert told.err == ["All undone. Tie this step again.", "Mark removed; the knot stays."]
    assert refused == []


def test_a_length_that_is_not_possible_is_refused_at_once(follow: Follow, refused: list[str]) -> None:
    told = follow("length 0 rows")
    assert told.err == refused
    assert len(refused) == 1
    assert refused[0].startswith("Not possible: ")
    assert " Now: 6 repeats, " in refused[0]


def test_every_piece_that_is_left_is_let_go_of(kept: Kept) -> None:
    opened = openings.begin(kept, load(path_of("lesson-2-forward")), openings.NO_OPTIONS, None)
    opened.held.hold()
    opened.held.jump(opened.held.whole.size)
    answers = AtATerminal("1\n\nq\n")
    _, left = plain.lead_on(opened, Answers(answers), Lines(io.StringIO(), io.StringIO()), offers=True)
    assert left is not opened.held
    assert left.title == "Lesson 3: the backward knot"
    assert [each.holder for each in kept.pieces.all()] == [None, None]


def test_a_single_piece_is_left_after_its_last_step_by_a_person_too(follow: Follow, kept: Kept, tmp_path: Path) -> None:
    opened = begun(kept, written_to(tmp_path, TEN), done=53)
    told = answered(opened, "", "1", person=True, listed=False)
    assert told.others == ["All done (54 steps)."]


@pytest.mark.parametrize("person", [True, False])
def test_a_person_hears_how_the_strings_of_a_new_piece_hang(person: bool, kept: Kept, tmp_path: Path) -> None:
    opened = begun(kept, written_to(tmp_path, TEN))._replace(lays_out=True)
    told = answered(opened, *(["l"] if person else []), person=person)
    laid = [line for line in told.out if line.startswith("lay out: ")]
    assert len(laid) == (len(opened.held.whole.laying_out().steps) if person else 0)
    assert told.out[-1] == told.steps[0]
    # The first length to cut comes before, and l skips all lengths.
    assert [line for line in told.out if line.startswith("cut: ")] == told.out[:1] * person


def test_a_search_stops_by_its_word_in_any_case() -> None:
    reading, writing = os.pipe()
    with os.fdopen(writing, "w") as end, os.fdopen(reading) as stream:
        end.write(" Keep \nkeeper\n")
        end.flush()
        answers = Answers(stream)
        assert answers.comes_next("keep")
        assert not answers.comes_next("keep")
        assert answers.next() == "keeper"


def test_a_knot_counts_no_sooner_after_its_words_than_promised(
    kept: Kept, tmp_path: Path, pipe: tuple[Answers, io.TextIOBase], monkeypatch: pytest.MonkeyPatch
) -> None:
    clock = [0.0]
    counted: list[float] = []
    answers, end = pipe

    def nothing(timeout: float | None = None) -> str | None:
        if timeout is None:
            return "q" if counted else "pace"
        clock[0] += timeout
        if counted:
            return None
        raise NoAnswer

    monkeypatch.setattr("benchmate.plain.in_piece.hands_free.time.monotonic", lambda: clock[0])
    monkeypatch.setattr("benchmate.plain.in_piece.hands_free.time.time", lambda: clock[0])
    # The words end well before the beat does, but less than a second before it.
    monkeypatch.setattr(Session, "speaking", property(lambda _: clock[0] < 5.5))
    monkeypatch.setattr(answers, "next", nothing)
    opened = begun(kept, written_to(tmp_path, TEN))
    finish = opened.held.finish_step

    def counts() -> None:
        counted.append(clock[0])
        finish()

    monkeypatch.setattr(opened.held, "finish_step", counts)
    assert plain.run(opened, answers, Lines(io.StringIO(), io.StringIO())) == 0
    assert len(counted) == 1
    assert counted[0] >= 6.4
    end.write("")


def test_voices_that_were_not_found_are_asked_for_again(
    follow: Follow, kept: Kept, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[int] = []
    monkeypatch.setattr("benchmate.plain.in_piece.hearing.VOICES_WITHIN", 0.0)
    monkeypatch.setattr("benchmate.plain.in_piece.hearing.LOOK_EVERY", 0.001)
    monkeypatch.setattr(PieceVoice, "voices", lambda *_: asked.append(1))
    told = follow("sound", "4", "", "4", "", "")
    assert told.err == ["The voices of this machine were not found."] * 2
    assert len(asked) == 2
    assert "two taps" not in " ".join(told.out)


@pytest.mark.parametrize("topic", ["wrong", "lost", "trouble"])
def test_a_help_page_begins_with_what_it_says_of_plain_mode(topic: str, follow: Follow) -> None:
    told = follow(f"help {topic}")
    assert told.others[1] == "IN PLAIN MODE"
    assert "back" in " ".join(told.others[:14])
    wanted = help_lines(topic, {})
    assert wanted is not None
    assert sorted(set(wanted) - {"ON THE FULL SCREEN"}) == sorted({line.replace("`", "") for line in page_of(topic)})


def page_of(topic: str) -> list[str]:
    """The lines of a page as the file has them, under its name."""
    return [f"{topic}: {summary(topic)}", *page_in_sentences(topic, {})]
