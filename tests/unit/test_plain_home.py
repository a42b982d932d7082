"""The list in plain lines: everything the first screen can do, by numbers and words."""

import io
import re
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import NamedTuple

import pytest

from benchmate import piece_opening as openings
from benchmate.choosing import shipped_designs
from benchmate.choosing.preview import PreviewSources, preview_of
from benchmate.choosing.shelves import Entry
from benchmate.craft.colours.terminal_colours import TRUE_COLOUR
from benchmate.craft.effort import HOW_HARD, how_hard
from benchmate.design_files.load import load
from benchmate.design_files.shelf import lessons
from benchmate.families.registry import FAMILIES
from benchmate.help.topics import TOPICS
from benchmate.piece_opening import NO_OPTIONS, Kept
from benchmate.plain import home as plain_home
from benchmate.plain.answers import Answers, Unreadable
from benchmate.plain.choices import choose
from benchmate.plain.first_list.list_words import WORDS, all_words, opening
from benchmate.plain.lines import Lines
from benchmate.plain.pages import MOST
from benchmate.settings import DEFAULTS, write_settings
from benchmate.store import places
from benchmate.store.errors import StoreError
from benchmate.store.open_piece import OpenPiece
from tests.loaded import run
from tests.running import CHART, COMMAND, PATIENCE, environment, pieces
from tests.terminal import Terminal

LEADS_ON = ["lessons, 0 of 7 done", "designs by family", "designs by difficulty", "help"]
STEP = re.compile(r"\d+/\d+ ")


_READ = shipped_designs.shipped_designs


@cache
def _read_once() -> shipped_designs.ShippedDesigns:
    return _READ()


@pytest.fixture(autouse=True)
def designs_read_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Reads the shipped designs once for all tests, as reading them takes longer than most tests."""
    monkeypatch.setattr(shipped_designs, "shipped_designs", _read_once)


class Said(NamedTuple):
    """What plain mode said on both streams, a line each, and its exit status."""

    lines: list[str]
    notices: list[str]
    status: int

    @property
    def listed(self) -> list[str]:
        """The choices of the list said last, without their numbers."""
        last = max(at for at, line in enumerate(self.lines) if line.startswith("1: "))
        found: list[str] = []
        for line in self.lines[last:]:
            number, _, says = line.partition(": ")
            if number != str(len(found) + 1):
                break
            found.append(says)
        return found


def talk(kept: Kept, *answers: str, width: int = 0) -> Said:
    """Types answers to the list, and then ends the input."""
    out, notices = io.StringIO(), io.StringIO()
    given = io.StringIO("".join(f"{answer}\n" for answer in answers))
    status = plain_home.run(kept, Answers(given), Lines(out, notices, width))
    return Said(out.getvalue().splitlines(), notices.getvalue().splitlines(), status)


def begun(kept: Kept, file: Path, done: int = 3, name: str = "") -> OpenPiece:
    """A piece with steps done, and let go."""
    held = openings.begin(kept, load(str(file)), NO_OPTIONS, None).held
    held.hold()
    for _ in range(done):
        held.finish_step()
    held.let_go()
    if name:
        change(kept, held, name=name)
    return held


def change(kept: Kept, held: OpenPiece, **changes: str | bool) -> None:
    assert held.piece is not None
    kept.pieces.arrange(held.piece, kept.holder.token, lambda before: before._replace(**changes))  # type: ignore[arg-type]


def steps(lines: Sequence[str]) -> list[str]:
    return [line.partition(" ")[0] for line in lines if STEP.match(line)]


# What it lists


def test_it_lists_and_leaves_when_there_is_nothing_to_read(kept: Kept) -> None:
    said = talk(kept)
    assert (said.status, said.notices) == (0, [])
    assert said.lines == [opening(), "Pieces and designs:", *(f"{at}: {line}" for at, line in enumerate(LEADS_ON, 1))]


def test_unfinished_pieces_come_first_then_those_put_aside_then_all_else(kept: Kept, band: Path) -> None:
    begun(kept, band, 4, "Aside")
    change(kept, begun(kept, band, 1, "Resting"), aside=True)
    begun(kept, band, 12, "All tied")
    change(kept, begun(kept, band, 2, "Gone"), deleted=True)
    begun(kept, band, 3)
    assert talk(kept).listed == [
        "Rain on slate, 3 of 12 steps",
        "Aside, 4 of 12 steps",
        "Resting, 1 of 12 steps, put aside",
        *LEADS_ON[:-1],
        "finished pieces, 1 piece",
        "pieces put aside, 1 piece",
        "bin, 1 piece",
        "help",
    ]


@pytest.mark.parametrize(
    ("word", "listed"),
    [
        ("finished", ["All tied, finished"]),
        ("aside", ["Resting, 1 of 12 steps, put aside"]),
        ("bin", ["Gone, 2 of 12 steps, in the bin"]),
        ("find RESTi", ["Resting, 1 of 12 steps, put aside"]),
        ("find tied", ["All tied, finished"]),
        ("find sLA te", ["Rain on slate, 3 of 12 steps"]),
    ],
)
def test_each_kind_of_piece_has_its_list(kept: Kept, band: Path, word: str, listed: list[str]) -> None:
    change(kept, begun(kept, band, 1, "Resting"), aside=True)
    begun(kept, band, 12, "All tied")
    change(kept, begun(kept, band, 2, "Gone"), deleted=True)
    begun(kept, band, 3)
    assert talk(kept, word).listed == listed
    assert talk(kept, "find gone").notices == ["No title has gone in it."]


def test_lessons_say_which_are_done_and_which_is_next(kept: Kept) -> None:
    first, second, *_ = lessons()
    begun(kept, Path(first), _size(kept, first))
    listed = talk(kept, "lessons").listed
    assert listed[0].endswith(", done")
    assert listed[1] == f"{load(second).design.title}, next"
    assert not [line for line in listed[2:] if line.endswith(("next", "done"))]
    assert "lessons, 1 of 7 done" in " ".join(talk(kept).lines)


def _size(kept: Kept, path: str) -> int:
    return openings.begin(kept, load(path), NO_OPTIONS, None).held.whole.size


def test_designs_are_listed_by_family_and_by_difficulty(kept: Kept) -> None:
    by_family = talk(kept, "designs").listed
    called = [each.family.called for each in FAMILIES.values()]
    assert [line.rpartition(", ")[0] for line in by_family] == [name for name in called if name != "written steps"]
    by_difficulty = talk(kept, "order").listed
    shipped = {how_hard(effort) for _, effort in _read_once().designs}
    assert [line.rpartition(", ")[0] for line in by_difficulty] == [word for word in HOW_HARD if word in shipped]
    assert talk(kept, "order", "order").listed == by_family
    assert talk(kept, "order", "q", "designs").listed == by_difficulty
    assert talk(kept, "2").listed == by_family
    assert talk(kept, "3").listed == by_difficulty


@pytest.mark.parametrize("shelf", ["2", "3"])
def test_every_shipped_design_is_reached_by_numbers_alone(kept: Kept, shelf: str) -> None:
    found: list[str] = []
    for group in range(len(talk(kept, shelf).listed)):
        lines = talk(kept, shelf, str(group + 1), *["more"] * 3).lines
        last = max(at for at, line in enumerate(lines) if line.startswith("1: "))
        found += [line.partition(": ")[2] for line in lines[last:] if re.match(r"\d+: ", line)]
    titles = sorted(file.design.title for file, _ in _read_once().designs)
    assert [found for found, title in zip(sorted(found), titles, strict=True) if not found.startswith(title)] == []


# Pages


def test_long_lists_come_in_pages(kept: Kept, band: Path) -> None:
    for number in range(30):
        begun(kept, band, 1, f"Band {number}")
    first = talk(kept).lines[1:]
    assert len(first) == MOST
    assert first[-1] == "16 more. Type more."
    second = talk(kept, "more").lines[1 + MOST :]
    assert [line.partition(":")[0] for line in second] == [str(number) for number in range(19, 35)]
    assert steps(talk(kept, "28", "q").lines) == ["2/12"]


@pytest.mark.parametrize("width", [20, 40, 1000])
@pytest.mark.parametrize("word", ["?", "key", "help pedals", "help plain", "about 1", "list"])
def test_no_page_is_longer_and_no_line_wider(kept: Kept, band: Path, width: int, word: str) -> None:
    band.write_text(CHART + f"notes: {'A long note about the rain. ' * 60}\n", encoding="utf-8")
    begun(kept, band, 1, "A band with a name of more than twenty letters")
    before = len(talk(kept, width=width).lines)
    one = talk(kept, word, width=width)
    assert len(one.lines) - before <= MOST
    every = talk(kept, word, *["more"] * 60, width=width)
    assert max(map(len, every.lines)) <= width
    assert not [line for line in every.lines if line != line.strip()]


def test_a_page_can_be_chosen_from_in_a_question_too() -> None:
    out = io.StringIO()
    lines = Lines(out, io.StringIO())
    assert choose(lines, Answers(io.StringIO("more\n40\n")), "Which?", [f"one {at}" for at in range(40)]) == 39
    assert out.getvalue().splitlines()[MOST - 1] == "22 more. Type more."


@pytest.mark.parametrize("given", ["", "\n", "q\n", "0\n", "4\nq\n", "x\n\n", "more\n"])
def test_a_question_without_an_answer_chooses_nothing(given: str) -> None:
    notices = io.StringIO()
    assert choose(Lines(io.StringIO(), notices), Answers(io.StringIO(given)), "Which?", ["a", "b", "c"]) is None
    refused = [line for line in given.split() if line != "q"]
    assert notices.getvalue().splitlines() == ["Type a number from 1 to 3, or an empty line for none."] * len(refused)


# Words


def test_every_word_is_known_and_said(kept: Kept) -> None:
    home = plain_home._Home(kept, Answers(io.StringIO()), Lines(io.StringIO(), io.StringIO()))
    assert {each.word for each in WORDS} == {*home._words, "q"}
    for each in WORDS:
        assert re.search(rf"[ ,]{re.escape(each.word)}[,.:]", opening()), each.word
        assert [line for line in all_words() if line.startswith((f"{each.word} ", f"{each.word}:"))]


@pytest.mark.parametrize("answer", ["0", "5", "99999999", "b", "3 4", "find", "open", "undelete", "help us", "find x9"])
def test_what_cannot_be_done_is_said_and_changes_nothing(kept: Kept, answer: str) -> None:
    said = talk(kept, answer)
    assert len(said.notices) == 1
    assert said.lines == talk(kept).lines
    assert not set(said.notices) & set(said.lines)


@pytest.mark.parametrize("word", [each.word for each in WORDS if "3" in each.after])
@pytest.mark.parametrize("number", ["9", "x", "2"])
def test_a_word_for_a_piece_refuses_other_lines(kept: Kept, word: str, number: str) -> None:
    assert len(talk(kept, f"{word} {number}").notices) == 1


def test_help_lists_pages_and_says_one_without_columns(kept: Kept) -> None:
    assert [line.partition(", ")[0] for line in talk(kept, "help").listed] == list(TOPICS)[:18]
    said = talk(kept, "help keys", "more", "more")
    assert not [line for line in said.lines if "  " in line]
    assert "u: fix a wrong knot (wrong)" in said.lines
    assert talk(kept, "help", str(TOPICS.index("keys") + 1)).lines[-5:] == talk(kept, "help keys").lines[-5:]


def test_q_and_back_go_to_the_list_before_and_q_leaves_from_the_first(kept: Kept) -> None:
    for away in ("q", "back"):
        said = talk(kept, "3", "1", away, away, "q", "designs")
        headings = [line for line in said.lines if line.endswith(":")]
        assert headings == [
            f"{each}:"
            for each in (
                "Pieces and designs",
                "Designs by difficulty",
                "Easy",
                "Designs by difficulty",
                "Pieces and designs",
            )
        ]


def test_nothing_is_said_by_layout_and_nothing_twice(kept: Kept, band: Path) -> None:
    change(kept, begun(kept, band, 1, "Resting"), aside=True)
    begun(kept, band, 12, "All tied")
    begun(kept, band, 3)
    words = [
        each.word if "3" not in each.after else f"{each.word} 1" for each in WORDS if each.word not in ("q", "key")
    ]
    for word in words:
        said = talk(kept, word, "q", "nonsense", width=0)
        assert not set(said.lines) & set(said.notices), word
        for line in [*said.lines, *said.notices]:
            assert line == line.strip() != "", word
            assert "  " not in line, word
            assert any(sign.isalnum() for sign in line), word
            assert not [sign for sign in line if "\u2500" <= sign <= "\u25ff"], word


# Pieces


def test_a_piece_is_continued_and_then_the_list_is_back(kept: Kept, band: Path) -> None:
    begun(kept, band, 3)
    said = talk(kept, "1", "", "", "q", "q", "never read")
    assert steps(said.lines) == ["4/12", "5/12", "6/12"]
    assert said.listed[0] == "Rain on slate, 5 of 12 steps"
    assert (said.status, said.notices) == (0, [])
    assert [piece.holder for piece in kept.pieces.all()] == [None]


def test_the_list_is_not_said_again_when_the_answers_end_in_a_piece(kept: Kept, band: Path) -> None:
    begun(kept, band, 3)
    said = talk(kept, "1", "", "")
    assert said.lines[-1].startswith("6/12 ")
    assert said.lines.count("Pieces and designs:") == 1
    assert (said.status, kept.pieces.all()[0].done) == (0, 5)


def test_a_design_is_begun_and_finished_from_the_list(kept: Kept) -> None:
    title = load(lessons()[0]).design.title
    size = _size(kept, lessons()[0])
    said = talk(kept, "lessons", "1", *[""] * size, "list")
    assert steps(said.lines)[-1] == f"{size}/{size}"
    assert said.listed[0] == f"{title}, done"
    assert [(piece.title, piece.finished) for piece in kept.pieces.all()] == [(title, True)]


def test_a_file_is_opened_by_its_path_begun_once_and_then_continued(kept: Kept, band: Path) -> None:
    assert steps(talk(kept, f"open {band}", "", "q").lines) == ["1/12", "2/12"]
    assert steps(talk(kept, f"open {band}", "q").lines) == ["2/12"]
    assert steps(talk(kept, "open first-stripe", "q").lines)[0].startswith("1/")
    assert steps(talk(kept, "open 1", "q").lines) == ["2/12"]
    assert len(kept.pieces.all()) == 1


def test_a_file_with_a_space_or_a_tilde_is_opened(kept: Kept, band: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    other = band.with_name("two words.yaml")
    band.rename(other)
    monkeypatch.setenv("HOME", str(other.parent))
    assert steps(talk(kept, f"open {other}").lines) == steps(talk(kept, "open ~/two words.yaml").lines) == ["1/12"]


def test_a_file_that_is_none_is_said_with_its_place(kept: Kept, tmp_path: Path) -> None:
    bad = tmp_path / "bad.yaml"
    bad.write_text("benchmate: 2\n", encoding="utf-8")
    assert talk(kept, f"open {bad}").notices[0].startswith(f"{bad}:1:")
    assert talk(kept, f"open {tmp_path}/none.yaml").notices[0].startswith(f"{tmp_path}/none.yaml: ")


def test_another_piece_of_the_same_design(kept: Kept, band: Path) -> None:
    begun(kept, band, 3)
    said = talk(kept, "new 1", "", "q")
    assert steps(said.lines) == ["1/12", "2/12"]
    assert [piece.done for piece in kept.pieces.all()] == [1, 3]
    band.unlink()
    assert talk(kept, "new 1").notices[0].startswith(f"{band}: ")


def test_all_about_a_design_and_a_piece_without_a_drawing(kept: Kept, band: Path) -> None:
    band.write_text(CHART + "notes: |\n  Two notes.\n  1/2 of a page.\n", encoding="utf-8")
    held = begun(kept, band, 3)
    said = talk(kept, "about 1").lines[len(talk(kept).lines) :]
    sources = PreviewSources(kept.pieces, lambda: DEFAULTS)
    preview = preview_of(sources.wanted(Entry("", kept.pieces.get(held.piece or 0)), TRUE_COLOUR))
    assert said[:2] == ["Rain on slate", f"3 of 12 steps, last on {kept.pieces.all()[0].touched[:10]}"]
    for fact in preview.facts:
        assert (f"{fact.label}: {fact.value}" if fact.label else fact.value) in said
    assert "colours: slate, pale rain" in said
    following = "next: forward, 1 pale rain over 2 slate, then pale rain hangs at 2, slate at 1; row 3"
    assert said[-4:] == ["Two notes.", "1/2", "of a page.", following]
    assert not any(line.startswith("otherwise: ") for line in said)
    held.hold()
    held.leave({0: None}, {5: None})
    held.let_go()
    assert "otherwise: 2 knots not as in the chart" in talk(kept, "about 1").lines
    design = talk(kept, "designs", "1", "about 1").lines
    assert [line for line in design if line.startswith("how hard: ")]


def test_a_piece_is_renamed_put_aside_and_back_copied_deleted_and_taken_back(kept: Kept, band: Path) -> None:
    begun(kept, band, 3)
    said = talk(
        kept, "rename 1 Rain for Ada", "aside 1", "back 1", "copy 1", "list", "delete 2", "1", "undelete", "rename 1"
    )
    assert said.notices == []
    done = [line for line in said.lines if line.endswith(".") and line != opening() and "Delete it?" not in line]
    assert done == [
        "It is called Rain for Ada now.",
        "Rain for Ada is put aside, at the end of the list.",
        "Rain for Ada is back in the list.",
        "Rain for Ada (2) has the same progress; it is in the list.",
        "Rain for Ada is in the bin. To take it back, type undelete.",
        "Rain for Ada is back in the list.",
        "It has its design's title again.",
    ]
    assert {(piece.title, piece.done) for piece in kept.pieces.all()} == {("Rain for Ada", 3), ("Rain on slate", 3)}


def test_a_piece_is_deleted_only_when_asked(kept: Kept, band: Path) -> None:
    begun(kept, band, 3)
    for answer in ("2", "", "q"):
        assert "Rain on slate is kept." in talk(kept, "delete 1", answer).lines
        assert not kept.pieces.all()[0].arrangement.deleted
    talk(kept, "delete 1", "1")
    assert kept.pieces.all()[0].arrangement.deleted
    assert "Rain on slate stays in the bin." in talk(kept, "bin", "1", "2").lines
    assert "Rain on slate is back in the list." in talk(kept, "bin", "1", "1").lines
    talk(kept, "delete 1", "1")
    assert "Rain on slate is back in the list." in talk(kept, "bin", "undelete 1").lines


def test_numbers_stay_those_of_the_list_that_was_said(kept: Kept, band: Path) -> None:
    begun(kept, band, 1, "One")
    begun(kept, band, 2, "Two")
    said = talk(kept, "delete 1", "1", "rename 2 Uno", "list")
    assert said.listed[0] == "Uno, 1 of 12 steps"


def test_a_piece_open_in_another_window_is_taken_over_when_asked(kept: Kept, band: Path) -> None:
    held = begun(kept, band, 3)
    other = Kept()
    try:
        there = openings.resume_listed(other, other.pieces.get(held.piece or 0)).held
        there.hold()
        said = talk(kept, "1", "rename 1 No", "aside 1", "about 1")
        assert said.lines[-1].startswith("next: forward, 1 pale rain")
        assert steps(said.lines) == []
        assert [notice.split(".")[0] for notice in said.notices] == ["Rain on slate is open in another window"] * 3
        assert steps(talk(kept, "take 1", "", "q").lines) == ["4/12", "5/12"]
        assert not there.still_holds()
    finally:
        other.close()


def test_a_name_holds_nothing_hidden_and_is_never_a_step(kept: Kept, band: Path) -> None:
    begun(kept, band, 3)
    talk(kept, "rename 1 3/4 \x1b[2J\u202emoon")
    assert kept.pieces.all()[0].title == "3/4 [2Jmoon"
    said = talk(kept, "about 1", "1", "q")
    assert steps(said.lines) == ["4/12"]


def test_a_piece_that_can_no_longer_be_saved_ends_it(kept: Kept, band: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    begun(kept, band, 3)

    def lost(*_: object, offers: bool) -> int:
        raise StoreError("gone")

    monkeypatch.setattr("benchmate.plain.piece.lead_on", lost)
    with pytest.raises(StoreError, match="gone"):
        talk(kept, "1", "q")
    assert kept.pieces.all()[0].holder is None


def test_answers_that_cannot_be_read_end_it(kept: Kept) -> None:
    notices = io.StringIO()
    answers = io.TextIOWrapper(io.BytesIO(b"\xff\n"), "utf-8")
    assert plain_home.run(kept, Answers(answers), Lines(io.StringIO(), notices)) == 1
    assert "cannot be read (" in notices.getvalue()


# The command


def test_without_a_terminal_it_goes_on_in_plain_lines_and_says_so(home: Path) -> None:
    done = run(home=home, given="q\n")
    assert (done.status, done.err) == (0, "Not in a terminal, so continuing in plain lines.\n")
    assert done.out == run("--plain", home=home).out
    assert done.out.splitlines()[-1] == "4: help"


@pytest.mark.parametrize("command", [[], ["follow", "first-stripe"]])
@pytest.mark.parametrize("term", ["dumb", ""])
def test_a_terminal_without_a_screen_gets_plain_lines(home: Path, term: str, command: list[str]) -> None:
    argv = [*COMMAND, *command]
    with Terminal(argv, columns=80, rows=24, env={**environment(home), "TERM": term}) as terminal:
        terminal.wait_for("This terminal cannot show the full screen, so continuing in plain lines.")
        terminal.press("q")
        terminal.press("enter")
        assert terminal.wait(PATIENCE) == 0
        assert b"\x1b[?1049h" not in bytes(terminal.raw)


def test_a_whole_visit_through_a_pipe(home: Path, band: Path) -> None:
    given = f"open {band}\n\n\nq\naside 1\nq\n"
    done = run("--plain", "--width", "40", home=home, given=given)
    assert (done.status, done.err) == (0, "")
    assert "1/12 f, 1 slate o 2 pale rain; r1" in done.out.splitlines()
    assert max(map(len, done.out.splitlines())) <= 40
    assert [(piece["done"], piece["aside"]) for piece in pieces(home)] == [(2, True)]
    assert not set(done.out.splitlines()) & set(done.err.splitlines())


@pytest.mark.parametrize(
    "words",
    [
        ["--plain", "--width", "19"],
        ["--plain", "--width", "1001"],
        ["--plain", "--width", "x"],
        ["--width"],
        ["--plain", "pieces"],
        ["--width", "40", "follow", "first-stripe", "--plain"],
        ["--plain", "x"],
        ["follow", "first-stripe", "--plain", "--width", "0"],
    ],
)
def test_a_wrong_command_line(home: Path, words: list[str]) -> None:
    done = run(*words, home=home)
    assert (done.status, done.out) == (2, "")
    assert not home.exists()


def test_a_width_is_for_plain_lines_only(home: Path) -> None:
    for command in ([], ["follow", "first-stripe"]):
        with Terminal([*COMMAND, *command, "--width", "40"], env=environment(home)) as terminal:
            terminal.wait_for("--width is for plain lines; add --plain")
            assert terminal.wait(PATIENCE) == 2


def test_the_width_is_that_of_the_settings_unless_another_is_named(home: Path, band: Path) -> None:
    home.mkdir()
    settings = home / "settings.yaml"
    settings.write_text("width: 40\n", encoding="utf-8")
    short = "1/12 f, 1 slate o 2 pale rain; r1\n"
    assert run("follow", band, "--plain", home=home).out == short
    assert run("follow", band, "--plain", "--width", "500", home=home).out != short
    assert max(map(len, run("--plain", home=home).out.splitlines())) <= 40
    settings.write_text("width: 19\n", encoding="utf-8")
    done = run("follow", band, "--plain", home=home)
    assert done.status == 0
    assert done.err.startswith(f"{settings}:1:8: `width` must be 0 or from 20 to 1000\nThe settings are not used")


def test_a_name_that_no_file_can_have_is_one_notice(kept: Kept) -> None:
    for path in ("a\0b", "~a\0b"):
        said = talk(kept, f"open {path}", "q")
        assert said.notices == [f"{path.replace(chr(0), '?')}: no file can have this name"]
        assert said.status == 0


def test_answers_that_cannot_be_read_in_a_question_of_the_list_end_it(
    kept: Kept, band: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    given = iter(["delete 1"])

    def broken(*_: object) -> str:
        for answer in given:
            return answer
        raise Unreadable("broken")

    monkeypatch.setattr(Answers, "next", broken)
    begun(kept, band, 3)
    notices = io.StringIO()
    assert plain_home.run(kept, Answers(io.StringIO()), Lines(io.StringIO(), notices)) == 1
    assert notices.getvalue() == "Your answers on standard input cannot be read (broken); leaving.\n"


def test_an_empty_list_has_no_numbers(kept: Kept) -> None:
    assert talk(kept, "bin", "1", "about 1").notices == ["There are no lines here."] * 2


def test_a_long_text_to_find_is_said_in_part(kept: Kept) -> None:
    (notice,) = talk(kept, f"find {'x' * 5000}").notices
    assert len(notice) < 100


def test_help_in_the_list_knows_the_keys_and_guesses(kept: Kept) -> None:
    keys = {**DEFAULTS.keys, "wrong": ("f9",)}
    write_settings(places.settings_file(), DEFAULTS._replace(keys=keys))
    said = talk(kept, "help keys", "more", "more", "more", "help nots")
    assert [line for line in said.lines if line.startswith("f9: ") and "(wrong)" in line]
    assert "Did you mean help knots?" in said.notices[-1]
    assert "`" not in " ".join([*said.lines, *said.notices])
