"""A string that runs short, line by line: asked about, told when its row comes, replaced; rests and small trouble."""

import io
from collections.abc import Callable
from pathlib import Path

import pytest

from benchmate import piece_opening as openings
from benchmate.exit_status import BAD_INPUT
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.piece_questions.trouble import small_trouble
from benchmate.plain import piece as plain
from benchmate.plain.answers import Answers
from benchmate.plain.in_piece.session import Session
from benchmate.plain.in_piece.trouble.noticed import PlainQuietLines
from benchmate.plain.lines import Lines
from benchmate.settings import DEFAULTS, write_settings
from benchmate.store import places
from benchmate.store.pieces import TakenOver
from tests.screen.benches import CHEVRON, PICTURE, begun, full, written_to
from tests.voices import Recorder, recorder

LONG = CHEVRON.replace("repeats: 3", "repeats: 30")
HERE = "Lay in a new plum in this knot, beside plum at 5, which is carried: that hides the join."
ROW = "In this row, lay in a new plum beside plum at 5, at row 29, knot 73."
IN = "Is the new plum in? short: say how long it is."
Follow = Callable[..., tuple[list[str], list[str], int]]


class AtATerminal(io.StringIO):
    """Answers that a person types."""

    def isatty(self) -> bool:
        return True


@pytest.fixture
def follow(kept: Kept, tmp_path: Path) -> Follow:
    """Answers a piece from where it was left; what it prints, its notices, and the exit status."""

    def follows(
        *answers: str, text: str = LONG, done: int = 60, person: bool = False
    ) -> tuple[list[str], list[str], int]:
        pieces = kept.pieces.all()
        opened: OpenedPiece
        if pieces:
            opened = openings.resume_listed(kept, pieces[0])
            opened.held.hold()
        else:
            opened = begun(kept, written_to(tmp_path, text), done=done)
        stream = (AtATerminal if person else io.StringIO)("".join(f"{answer}\n" for answer in answers))
        out, err = io.StringIO(), io.StringIO()
        status, _ = plain.lead_on(opened, Answers(stream), Lines(out, err))
        return out.getvalue().splitlines(), err.getvalue().splitlines(), status

    return follows


def test_a_string_is_measured_and_what_follows_is_said(follow: Follow) -> None:
    out, err, status = follow("short", "1", "1", "10", "")
    assert "1: plum: certain to last" in out
    assert any("Plum at 1 gives out at row 32, knot 80. Lay in a new one by row 29" in line for line in out)
    assert "Plum at 1: gives out at row 32, knot 80; a new one by row 29, knot 73." in out
    assert (err, status) == ([], 0)
    steps = [line for line in out if "/" in line.split(" ")[0]]
    assert steps == [out[0], out[-1]], "no line but a step's begins as one"


def test_it_is_told_when_its_row_comes_after_leaving_too(follow: Follow) -> None:
    follow("short", "1", "2", "")
    _, err, _ = follow(*[""] * 10)
    assert [line for line in err if "plum" in line.lower()][-1] == ROW
    assert HERE not in err
    out, err, _ = follow("", "", "")
    assert err == [ROW, HERE, IN], "opened again in that row"
    assert [line.split(" ")[0] for line in out] == ["71/300", "72/300", "73/300", "74/300"]


def test_a_new_string_takes_over(kept: Kept, follow: Follow) -> None:
    follow("short", "1", "2", "")
    out, _, _ = follow("short", "1", "6", "80", "1", "")
    assert "1: plum, new: certain to last" in out
    piece = openings.resume_listed(kept, kept.pieces.all()[0]).held
    assert (piece.measured[1].joined, piece.measured[1].mm) == (True, 710)
    _, err, _ = follow(*[""] * 30)
    assert err == []


def test_a_length_far_from_usual_is_asked_about_once(kept: Kept, follow: Follow) -> None:
    _, err, _ = follow("short", "1", "1", "9 m", "9 m", "")
    assert err == ["9 m? What hangs of a string is usually 2 cm to 1 m 50 cm. Type it again to take it."]
    assert openings.resume_listed(kept, kept.pieces.all()[0]).held.measured[1].mm == 9000


def test_a_string_measured_before_the_first_knot_is_kept_with_it(kept: Kept, follow: Follow) -> None:
    out, err, _ = follow("short", "1", "2", "", "", done=0)
    assert any("Plum at 1 gives out at row " in line for line in out)
    assert err[0].startswith("Plum at ")
    held = openings.resume_listed(kept, kept.pieces.all()[0]).held
    assert (held.progress.done, held.measured[1].done, held.measured[1].mm) == (1, 0, 100)


def test_other_words_leave_everything_as_it_was(kept: Kept, follow: Follow) -> None:
    out, err, _ = follow("short", "", "short", "2", "1", "back", "back", "1", "q", "again")
    assert out[-1].startswith("61/300 ")
    assert err == []
    assert openings.resume_listed(kept, kept.pieces.all()[0]).held.measured == {}


def test_an_empty_line_leaves_all_questions(kept: Kept, follow: Follow) -> None:
    """What was measured before stays, and is said; nothing else is, and the step follows."""
    for answers in (["1"], ["1", "1"], ["1", "6"]):
        out, _, _ = follow("short", *answers, "")
        assert out[-2:] == ["Nothing is changed.", out[0]]
    out, _, _ = follow("short", "1", "1", "10", "")
    assert out[-2].startswith("Plum at 1: gives out at row 32")
    assert out[-1] == out[0]
    assert openings.resume_listed(kept, kept.pieces.all()[0]).held.progress.done == 60


def test_pictures_say_so_in_a_sentence(follow: Follow) -> None:
    out, err, _ = follow("short", text=PICTURE, done=4)
    assert err == []
    assert out[1].startswith("Where a string gives out is known in diagonal bands only.")


def test_not_while_a_wrong_knot_is_undone(kept: Kept, tmp_path: Path) -> None:
    opened = begun(kept, written_to(tmp_path, LONG), done=60)
    opened.held.mark_wrong(40)
    out, err = io.StringIO(), io.StringIO()
    plain.lead_on(opened, Answers(io.StringIO("short\n")), Lines(out, err))
    assert "Undo the wrong knot first" in err.getvalue()


def test_what_cannot_be_saved_is_said(follow: Follow, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("benchmate.store.open_piece.OpenPiece.measure", full)
    out, err, status = follow("short", "1", "2", "")
    assert (err, status) == (["The disk is full."], 0)
    assert "again" not in out


def test_a_piece_taken_over_meanwhile_is_left(follow: Follow, monkeypatch: pytest.MonkeyPatch) -> None:
    def taken(*_: object, **__: object) -> None:
        raise TakenOver(1)

    monkeypatch.setattr("benchmate.store.open_piece.OpenPiece.measure", taken)
    _, err, status = follow("short", "1", "2")
    assert (err, status) == (["Another window has taken over this piece. Leaving."], BAD_INPUT)


def test_the_voice_says_it_before_the_step(follow: Follow, monkeypatch: pytest.MonkeyPatch) -> None:
    voice = recorder(monkeypatch)
    write_settings(places.settings_file(), DEFAULTS._replace(voice="on"))
    follow("short", "1", "2", "")
    follow(*[""] * 12)
    said: Recorder = voice()
    assert any(each.words.startswith("in this row, lay in a new plum, ") for each in said.said)
    assert any(each.words.startswith("lay in a new plum in this knot, ") for each in said.said)


def test_the_voice_says_small_trouble_after_the_step_at_full_detail(
    follow: Follow, monkeypatch: pytest.MonkeyPatch
) -> None:
    voice = recorder(monkeypatch)
    write_settings(places.settings_file(), DEFAULTS._replace(voice="on"))
    _, err, _ = follow("", "", "again", "", done=0, person=True)
    assert small_trouble.SHOWS in err
    tip = small_trouble.ALOUD[small_trouble.SHOWS]
    said = [words.endswith(f". {tip}") for words in voice().words]
    assert said == [False, False, True, False, False], "once, after the step in which two colours meet"
    write_settings(places.settings_file(), DEFAULTS._replace(voice="on", level="short"))
    follow("", person=True)
    assert not any(tip in words for words in voice().words)


@pytest.mark.parametrize("level", ["full", "short", "sparse"])
def test_the_voice_says_after_the_step_what_to_do_if_the_strings_hang_wrong(
    follow: Follow, monkeypatch: pytest.MonkeyPatch, level: str
) -> None:
    voice = recorder(monkeypatch)
    write_settings(places.settings_file(), DEFAULTS._replace(voice="on", level=level))
    _, err, _ = follow("wrong 2", "1", "", "again", done=2, person=True)
    assert any(line.endswith("If the strings hang wrong now: wrong strings.") for line in err), err
    assert sum(words.endswith(". If the strings hang wrong now: wrong strings") for words in voice().words) == 1


def test_pace_mode_says_nothing_of_small_trouble(kept: Kept, tmp_path: Path) -> None:
    for paced, says in ((True, False), (False, True)):
        opened = begun(kept, written_to(tmp_path, LONG), done=2)
        err = io.StringIO()
        session = Session(opened, Answers(AtATerminal("")), Lines(io.StringIO(), err))
        session.quiet.paced = paced
        beside = session.quiet.pressed(session)
        assert (small_trouble.SHOWS in err.getvalue()) == says
        assert bool(beside.tip) == says


def test_a_press_is_one_though_it_is_the_first_after_the_cutting(
    kept: Kept, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        "benchmate.piece_questions.trouble.beside_the_step.times_of_work",
        lambda *given: [given[-1] - 60.0 * minute for minute in range(51, -1, -1)],
    )
    opened = begun(kept, written_to(tmp_path, LONG), done=60)
    err = io.StringIO()
    session = Session(opened, Answers(io.StringIO("")), Lines(io.StringIO(), err))
    assert PlainQuietLines().pressed(session).first == "51 minutes: rest your hands"
    assert err.getvalue().startswith("Rest your hands")


def test_a_rest_and_small_trouble(follow: Follow, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        "benchmate.piece_questions.trouble.beside_the_step.times_of_work",
        lambda *given: [given[-1] - 60.0 * minute for minute in range(51, -1, -1)],
    )
    rest = "Rest your hands for 5 to 10 minutes: they have worked for 51. Stop when it hurts."
    _, err, _ = follow("", "", "", done=0)
    assert err == [rest], "what no person types is told of no small trouble"
    _, err, _ = follow("", "", "", person=True)
    assert [line for line in err if line in (rest, small_trouble.BREAK)] == [rest], "it was left a moment ago"
    write_settings(places.settings_file(), DEFAULTS._replace(rest=0, tips="off"))
    _, err, _ = follow("", "", person=True)
    assert not {rest, small_trouble.BREAK} & set(err)
