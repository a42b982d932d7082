"""The lengths to cut before the first knot: their order and words, and line by line."""

import io
from pathlib import Path

import pytest

from benchmate.craft.laying_out import LayingPlace, aloud, printed
from benchmate.craft.start_band_finish import WholePiece, whole_piece
from benchmate.craft.thread.cutting_steps.length_steps import From, cutting_order
from benchmate.craft.thread.cutting_steps.to_cut import KnownThread
from benchmate.craft.thread.estimate import Estimate
from benchmate.craft.thread.length_to_cut import Length
from benchmate.craft.ways import mirrored
from benchmate.craft.wording.prompt_parts import Level
from benchmate.craft.wording.spoken_length import MOST
from benchmate.design_files.load import parse
from benchmate.families.steps.body import Steps, WrittenStep
from benchmate.families.steps.lengths import folded_lengths, how_long
from benchmate.piece_opening import Kept, resume_listed
from benchmate.piece_questions.lengths_to_cut import cuts_now, keep_cut, parts_of_laying_out, place_of
from benchmate.plain import piece as plain
from benchmate.plain.answers import Answers
from benchmate.plain.in_piece.laying_out import HOW
from benchmate.plain.in_piece.word_table import opening_line
from benchmate.plain.lines import Lines
from benchmate.store.open_piece import OpenPiece
from benchmate.store.thread.cuts import Cut, cuts_of
from tests.charts import chart, design, written
from tests.screen.benches import CHEVRON, PICTURE, ROPE, WRITTEN, begun, full, written_to
from tests.voices import Recorder, recorder

KNOWN = KnownThread(Estimate())
DOUBLED = design(Steps((), written("Cut the lengths", "Sort").steps, doubled=True))
"""A start whose strings are folded."""
STARTED = CHEVRON.replace("repeats: 3", "repeats: 3\nstart: fold-over-a-pin")


def whole_of(text: str, thread: KnownThread = KNOWN) -> WholePiece:
    """The steps of a design without a start."""
    found, problems = parse(text)
    assert found is not None, problems
    return whole_piece(found, None, None, thread=thread)


def lines_of(text: str) -> list[str]:
    """Its lengths in lines, without the count."""
    cutting = whole_of(text).cutting_out()
    assert cutting is not None
    return [line.partition("; length ")[0] for line in printed(cutting)]


def test_all_of_one_colour_together_as_the_colours_hang_and_the_longest_first() -> None:
    found = lines_of(
        "benchmate: 1\ntitle: T\nfamily: diagonal\ncolours: {a: teal, b: red}\nstrings: [a, b, b, a]\n"
        "rows: [f f, f, f f, f]\nrepeats: 9\n"
    )
    colours = [line.split(", ")[0] for line in found]
    assert colours == ["cut: a", "cut: a", "cut: b", "cut: b"]
    lengths = [int(line.split(", ")[1].removesuffix(" cm")) for line in found]
    assert lengths[0] >= lengths[1]
    assert lengths[2] >= lengths[3]


def test_a_mirrored_band_has_its_colours_the_other_way_round() -> None:
    one_way = design(chart("deep foam rust", "f"))
    cutting = whole_piece(mirrored(one_way), None, None, thread=KNOWN).cutting_out()
    assert cutting is not None
    assert [step.colour for step in cutting.steps] == ["rust", "foam", "deep"]


def test_what_each_family_cuts_its_lengths_for() -> None:
    assert lines_of(PICTURE)[:2] == [
        "cut: deep, 37 cm, for leading string 1, first used in row 1",
        "cut: deep, 27 cm, for base string 1",
    ]
    assert lines_of(ROPE)[:2] == [
        "cut: deep, 32 cm, for the strand in slot 1",
        "cut: deep, 32 cm, for the strand in slot 16",
    ]
    assert whole_of(WRITTEN).cutting_out() is None
    assert whole_piece(design(chart("a b", "f")), None, None).cutting_out() is None, "of an unknown thread"


def test_lengths_from_one_source_stand_together_and_what_is_bought_last() -> None:
    whole = whole_of(CHEVRON)
    assert whole.to_cut is not None
    cuts = whole.to_cut.cuts
    assert cuts is not None
    assert [length.colour for length in cuts.lengths] == ["plum", "moss", "straw", "straw", "moss", "plum"]
    scrap, skein = From("offcut scrap", 4, 0), From("a new skein of plum", None, 1)
    assert cutting_order(cuts, whole.strings, {0: skein, 5: scrap}) == [5, 0, 1, 4, 2, 3]
    cutting = whole.cutting_out({0: skein, 5: scrap})
    assert cutting is not None
    assert [step.thread for step in cutting.steps] == [4, None, None, None, None, None]
    assert [step.note for step in cutting.steps[:3]] == [
        "for string 6; from offcut scrap; length 1 of 6",
        "for string 1; from a new skein of plum; length 2 of 6",
        "for string 2; length 3 of 6",
    ]
    assert aloud(cutting.steps[0], Level.FULL) == (
        "plum, 33 centimetres, for string 6, from offcut scrap, length 1 of 6"
    )


def test_a_length_folded_off_its_middle_says_which_end_is_which() -> None:
    text = (
        "benchmate: 1\ntitle: T\nfamily: diagonal\ncolours: {a: teal}\nstrings: [a, a]\nrows: [fb, '']\nrepeats: 60\n"
    )
    found, _ = parse(text)
    assert found is not None
    cutting = whole_piece(found, DOUBLED, None, thread=KNOWN).cutting_out()
    assert cutting is not None
    assert printed(cutting) == [
        "cut: a, 1 m 55 cm, folded 1 m 10 cm from one end: the long end is string 1, the short one string 2; "
        "length 1 of 1"
    ]
    assert aloud(cutting.steps[0], Level.FULL) == (
        "a, 1 metre 55, folded 1 metre 10 from one end, the long end is string 1, the short one string 2, length 1 of 1"
    )


@pytest.mark.parametrize("level", Level)
@pytest.mark.parametrize("label", ["plum", "mossy green of the hills " * 3, "x" * 480, "word " * 90])
def test_how_long_is_always_said(level: Level, label: str) -> None:
    text = CHEVRON.replace("say: mossy green", f"say: {label.strip()}")
    cutting = whole_of(text).cutting_out()
    assert cutting is not None
    for step in cutting.steps:
        words = aloud(step, level, "cut the lengths")
        assert "33" in words
        assert len(words) <= MOST or label.startswith("xx"), "a single word is not broken"


def test_500_strings_and_40_leading_strings() -> None:
    strings = ", ".join("ab"[at % 2] for at in range(500))
    head = "benchmate: 1\ntitle: T\ncolours: {a: teal, b: red}\n"
    cutting = whole_of(f"{head}family: diagonal\nstrings: [{strings}]\nrows: ['f*250']\n").cutting_out()
    assert cutting is not None
    assert len(cutting.steps) == 500
    assert cutting.steps[-1].note.endswith("for string 500; length 500 of 500")
    # Single dots, each too many rows below the last for the same leading string.
    rows = "".join("  ....#....\n" + "  .........\n" * 6 for _ in range(40))
    picture = whole_of(f"{head}family: alpha\nbase: a\nkey: {{'.': a, '#': b}}\nchart: |\n{rows}").cutting_out()
    assert picture is not None
    leading = [step for step in picture.steps if "leading string" in step.note]
    assert len(leading) == 41
    assert "for leading string 41, first used in row 274" in leading[-1].note


def test_the_place_goes_on_and_back() -> None:
    whole = whole_of(CHEVRON)
    place = LayingPlace(whole.cutting_out(), whole.laying_out())

    def now() -> tuple[bool, int, bool]:
        return place.in_lengths, place.number, place.all_cut

    assert not place.back()
    for number in range(1, 7):
        assert now() == (True, number, False)
        assert place.done()
    assert now() == (False, 1, True)
    assert place.back()
    assert now() == (True, 6, False), "it is to be cut again"
    place.skip_lengths()
    assert now() == (False, 1, False)
    for _ in range(4):
        assert place.done()
    assert not place.done()
    assert now() == (False, 1, False)
    place.renew(whole.cutting_out(), whole.laying_out())
    assert now() == (False, 1, False)
    longer = whole_of(CHEVRON.replace("repeats: 3", "repeats: 9"))
    place.renew(longer.cutting_out(), longer.laying_out())
    assert now() == (True, 1, False), "other lengths are to be cut"


def test_a_doubled_start_says_how_long_its_lengths_are() -> None:
    whole = whole_piece(design(chart("deep deep foam", "fb", "fb")), DOUBLED, None, thread=KNOWN)
    step = whole.step(0)
    assert isinstance(step, WrittenStep)
    assert step.lengths == "Fold 1 length of deep (54 cm); cut 1 single length of foam (26 cm), knot it in"
    assert step.lengths_aloud == (
        "Fold 1 length of deep, 54 centimetres; cut 1 single length of foam, 26 centimetres, knot it in"
    )


def test_lengths_of_one_colour_that_differ() -> None:
    cut = [Length("a", (1, 2), 900.0), Length("a", (3, 4), 950.0), Length("b", (5, 6), 700.0), Length("b", (7,), 350.0)]
    long = how_long(cut, lambda mm: f"{mm:g}")
    assert folded_lengths(["a"] * 4 + ["b"] * 3, str, long) == (
        "Fold 2 lengths of a (900 to 950) and 1 of b (700); cut 1 single length of b (350), knot it in"
    )


# Line by line.


class AtATerminal(io.StringIO):
    """Answers that a person types."""

    def isatty(self) -> bool:
        return True


def followed(
    kept: Kept, folder: Path, *answers: str, text: str = CHEVRON, person: bool = True, lays_out: bool = False
) -> tuple[list[str], list[str]]:
    """What a piece prints on standard output and on standard error."""
    out, notices = io.StringIO(), io.StringIO()
    given = (AtATerminal if person else io.StringIO)("".join(f"{answer}\n" for answer in answers))
    opened = begun(kept, written_to(folder, text))._replace(lays_out=lays_out)
    assert plain.run(opened, Answers(given), Lines(out, notices)) == 0
    return out.getvalue().splitlines(), notices.getvalue().splitlines()


def test_a_person_is_led_through_the_lengths_one_a_line(kept: Kept, tmp_path: Path) -> None:
    lines, notices = followed(kept, tmp_path, "l", "", "", "b", *[""] * 5, "")
    assert lines[1:9] == [
        "cut: plum, 33 cm, for string 1; length 1 of 6",
        "cut: plum, 33 cm, for string 6; length 2 of 6",
        "cut: mossy green, 33 cm, for string 2; length 3 of 6",
        "cut: plum, 33 cm, for string 6; length 2 of 6",
        "cut: mossy green, 33 cm, for string 2; length 3 of 6",
        "cut: mossy green, 33 cm, for string 5; length 4 of 6",
        "cut: straw, 33 cm, for string 3; length 5 of 6",
        "cut: straw, 33 cm, for string 4; length 6 of 6",
    ]
    assert lines[9] == "All 6 lengths cut."
    assert [line.partition(":")[0] for line in lines[10:15]] == ["lay out"] * 5
    assert lines[15] == lines[0]
    assert lines[16].startswith("2/30 ")
    assert notices == ["l: cut and lay out the strings, one length a line.", opening_line(), HOW]
    (piece,) = kept.pieces.all()
    found = cuts_of(kept.pieces.database, piece.piece)
    assert found is not None
    assert len(found[1]) == 6


def test_l_skips_and_goes_on_where_it_was(kept: Kept, tmp_path: Path) -> None:
    lines, _ = followed(kept, tmp_path, "l", "", "where", "", "l", "l", "")
    cut = [line for line in lines if line.startswith("cut: ")]
    assert [line[-6:] for line in cut] == ["1 of 6", "2 of 6", "3 of 6"], "other words change nothing"
    laid = [at for at, line in enumerate(lines) if line.startswith("lay out: ")]
    assert len(laid) == 10, "skipped to, and then again"
    assert lines[-1].startswith("2/30 ")
    (piece,) = kept.pieces.all()
    assert cuts_of(kept.pieces.database, piece.piece) is None


def test_what_was_ticked_off_is_not_asked_again_after_leaving(kept: Kept, tmp_path: Path) -> None:
    def again(*answers: str) -> list[str]:
        out, err = io.StringIO(), io.StringIO()
        opened = resume_listed(kept, kept.pieces.all()[0])
        opened.held.hold()
        given = AtATerminal("".join(f"{answer}\n" for answer in answers))
        assert plain.run(opened, Answers(given), Lines(out, err)) == 0
        return [*out.getvalue().splitlines(), *err.getvalue().splitlines()]

    followed(kept, tmp_path, "l", "", "", "q")
    lines = again("", "b", "q")
    assert lines[0] == "cut: mossy green, 33 cm, for string 2; length 3 of 6", "unasked: in the middle of it"
    assert "2 of 6 lengths cut." in lines
    assert not any("this step is done" in line for line in lines), "an empty line ticks a length"
    cut = [line for line in lines if line.startswith("cut: ")]
    assert [line[-6:] for line in cut] == ["3 of 6", "4 of 6", "3 of 6"]
    lines = again("", "", "", "", "q")
    assert "All 6 lengths cut." in lines
    lines = again("l", "q")
    assert not any(line.startswith("cut: ") for line in lines)
    assert "l: lay out the strings, one colour a line." in lines


def test_a_piece_in_the_middle_of_its_cutting_is_mirrored_and_goes_on(kept: Kept, tmp_path: Path) -> None:
    lines, notices = followed(kept, tmp_path, "l", "", "", "way mirrored", "", "l", "", "way unmirrored")
    assert "Now: Heather on the moor, mirrored." in lines
    assert "2 of 6 lengths cut." in notices
    assert "Mirroring is possible only before the first step." in notices
    (piece,) = kept.pieces.all()
    assert (piece.way.mirrored, piece.done) == (True, 1)
    assert len(kept.pieces.told_of(piece.piece).ticked) == 3


def test_a_length_that_cannot_be_saved_is_not_ticked_off(
    kept: Kept, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(type(kept.pieces), "tell", full)
    lines, notices = followed(kept, tmp_path, "l", "", "")
    assert "Not saved, not counted. The disk is full." in notices
    assert any("length 2 of 6" in line for line in lines)
    assert not any("length 3 of 6" in line for line in lines)
    assert len(kept.pieces.told_of(1).ticked) == 1
    monkeypatch.setattr(type(kept.pieces), "begin", full)
    lines, notices = followed(kept, tmp_path, "l", "")
    assert "Not saved, not counted. The disk is full." in notices
    assert not any("length 2 of 6" in line for line in lines)
    assert kept.pieces.newest() == 1


def test_what_was_cut_is_kept_until_all_that_is_to_be_longer_is_cut_again(kept: Kept, tmp_path: Path) -> None:
    held = begun(kept, written_to(tmp_path, CHEVRON)).held
    to_cut = held.whole.to_cut
    assert to_cut is not None
    assert to_cut.cuts is not None
    lengths = to_cut.cuts.lengths
    was_cut = "wool", [Cut(length._replace(cut_mm=length.cut_mm - (at < 3)), 4) for at, length in enumerate(lengths)]
    held.keep_cut(was_cut)
    assert cuts_now(held)
    parts = parts_of_laying_out(held, 100.0)
    assert parts.notice == ("3 lengths are to be longer by now: cut them once more. Until then, what you cut is kept.")
    place = place_of(held, parts)
    cut_first = place.step.length
    assert cut_first is not None
    place.done()
    keep_cut(held, place)
    for each in held, reopened(kept, held):
        assert each.was_cut == was_cut
        assert sorted(cut.thread or 0 for cut in each.lengths_cut) == [0, 4, 4, 4, 4, 4]
        assert Cut(lengths[cut_first]) in each.lengths_cut
    while not place.all_cut:
        place.done()
        keep_cut(held, place)
    assert held.was_cut is not None
    assert [cut.length for cut in held.was_cut[1]] == list(lengths)
    assert (held.was_cut[0], held.ticked, cuts_now(held)) == ("floss", [], False)
    # One of them was not cut after all.
    place.back()
    keep_cut(held, place)
    assert cuts_of(kept.pieces.database, 1) is None
    assert len(held.lengths_cut) == 5
    # Nor one of those that are long enough, while others are too short.
    held.keep_cut(was_cut)
    place = place_of(held, parts)
    place.done()
    place.back()
    keep_cut(held, place)
    threads = sorted((cut.length.cut_mm, cut.thread or 0) for cut in held.lengths_cut)
    assert threads == [(329.0, 4), (329.0, 4), (330.0, 0), (330.0, 4), (330.0, 4)]
    assert cuts_of(kept.pieces.database, 1) is None


def reopened(kept: Kept, held: OpenPiece) -> OpenPiece:
    """The piece as another window has it."""
    assert held.piece is not None
    return resume_listed(kept, kept.pieces.get(held.piece)).held


def test_a_step_line_ends_the_cutting(kept: Kept, tmp_path: Path) -> None:
    lines, _ = followed(kept, tmp_path, "l", "", "press row", "", *"bbb", "l")
    # An empty line always counts what was printed last.
    assert [line.split()[0] for line in lines if "/30 " in line][:3] == ["1/30", "1/30", "4/30"]
    assert lines[-1].endswith("length 2 of 6"), "the piece is still open, and so is the place"


def test_a_new_piece_from_the_list_begins_with_the_lengths(kept: Kept, tmp_path: Path) -> None:
    lines, notices = followed(kept, tmp_path, "l", "", lays_out=True)
    assert lines[0] == "cut: plum, 33 cm, for string 1; length 1 of 6"
    assert [line.partition(":")[0] for line in lines[1:6]] == ["lay out"] * 5
    assert lines[6].startswith("1/30 ")
    assert lines[7].startswith("2/30 ")
    assert HOW in notices


def test_before_a_start_only_the_lengths(kept: Kept, tmp_path: Path) -> None:
    lines, notices = followed(kept, tmp_path, "l", *[""] * 3, "l", "", text=STARTED)
    assert notices[0] == "l: cut the lengths, one a line."
    assert lines[1] == "cut: plum, 66 cm, folded: strings 1 and 6; length 1 of 3"
    assert lines[4] == "All 3 lengths cut."
    assert lines[5] == lines[0], "hung when the start comes to it"
    assert lines[6].startswith("sort: plum at 1"), "or when it is asked for"


@pytest.mark.parametrize("text", [CHEVRON, STARTED, PICTURE, ROPE])
def test_a_script_of_empty_lines_b_and_q_reads_the_step_lines_alone(kept: Kept, tmp_path: Path, text: str) -> None:
    for person in (False, True):
        (tmp_path / str(person)).mkdir()
        lines, _ = followed(kept, tmp_path / str(person), "", "b", "", "", "q", text=text, person=person)
        assert [line.split("/")[0] for line in lines] == ["1", "2", "1", "2", "3"]


def test_a_program_that_reads_gets_all_lines_at_once(kept: Kept, tmp_path: Path) -> None:
    lines, notices = followed(kept, tmp_path, "l", "", person=False)
    assert [line.partition(":")[0] for line in lines[1:12]] == ["cut"] * 6 + ["lay out"] * 5
    assert lines[12] == lines[0]
    assert lines[13].startswith("2/30 ")
    assert notices == []


def test_the_lengths_are_spoken_in_plain_mode(kept: Kept, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    voice = recorder(monkeypatch)
    followed(kept, tmp_path, "voice", "l", "", "again", "b")
    assert isinstance(voice(), Recorder)
    assert voice().words[1:] == [
        "cut the lengths: plum, 33 centimetres, for string 1, length 1 of 6",
        "plum, 33 centimetres, for string 6, length 2 of 6",
        "plum, 33 centimetres, for string 6, length 2 of 6",
        "plum, 33 centimetres, for string 1, length 1 of 6",
    ]
