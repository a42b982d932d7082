"""What stands where on the step screen: keys, notices, counts, and the instruction in words, at every size."""

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmate.bench.step.view import view_of
from benchmate.bench.zones.coming import next_steps
from benchmate.bench.zones.compose import compose
from benchmate.bench.zones.room import room_for
from benchmate.bench.zones.view_values import Beat, Run, View
from benchmate.craft.knots import Knot
from benchmate.display.cells import wrap
from benchmate.display.palette import DARK
from benchmate.piece_opening import Kept, OpenedPiece
from tests.charts import seeded
from tests.screen.benches import FOUR_KNOTS, PICTURE, begun, composed, legible, spans, text_of, written_to
from tests.unit.test_compose import KEYS, with_pair
from tests.unit.test_heights import BARE

SIZES = [(40, 12), (40, 24), (56, 16), (80, 24), (97, 18), (120, 36), (200, 60), (300, 100)]
NOTICE = "NOT SAVED, NOT COUNTED. The disk is full."
LONG = (
    "Benchmate cannot save here any more: the database was moved or replaced while this window was open. Your knots "
    "are kept in a file; press x to write it somewhere else."
)


@pytest.fixture
def four(kept: Kept, tmp_path: Path) -> OpenedPiece:
    """A piece with each of the four knots, begun with none."""
    return begun(kept, written_to(tmp_path, FOUR_KNOTS))


def modes(view: View) -> dict[str, View]:
    """The view in every mode of the screen."""
    run = Run(3, 7, "ink: 3 of 7", "#e5d3b3", "4 sand, now at 2", 2)
    beat = Beat(4.2, 6.0, ("space pauses", "left back", "+/- pace 6.0 s"))
    written = view._replace(left=None, right=None, word="Fold it over a pin", note="Leave a loop")
    return {
        "tie": view,
        "undo": view._replace(mode="undo", word="undo forward", note="3 to undo, this one first", out=3),
        "done": written._replace(mode="done", word="all done", note="Tie it on.", coming=()),
        "look": view._replace(mode="look", word="read-only"),
        "written": written,
        "run": view._replace(run=run),
        "pace": view._replace(beat=beat),
        "pace with notice": view._replace(beat=beat, notice=NOTICE),
        "notice": view._replace(notice=NOTICE),
        "long notice": view._replace(notice=LONG),
        "rest": view._replace(rest=True),
        "first": view._replace(before="bring foam across the back from column 11 (3 knots)", notice=NOTICE),
        "press": view._replace(this_press=("f 1/2", "b 3/4", "f 5/6")),
        "told": view._replace(told="Forward, 1 ink over 2 sand"),
        "told in pace mode": view._replace(told="Forward, 1 ink over 2 sand", beat=beat, notice=NOTICE),
        "time": view._replace(time_left="about 12 h 30 min left"),
    }


@pytest.mark.parametrize("size", SIZES)
def test_the_last_line_has_the_keys_in_every_mode(four: OpenedPiece, size: tuple[int, int]) -> None:
    for mode, view in modes(view_of(four.held)).items():
        last = legible(view, *size, DARK, KEYS)[-1]
        keys = KEYS if size[1] >= 16 else "? keys"
        assert last.rstrip().endswith(keys), mode
        assert last.rstrip() != keys or mode == "done", "something else stands there too"


def test_the_key_for_all_keys_stays_to_the_last(four: OpenedPiece) -> None:
    for width in range(8, 40):
        for height in (12, 16, 24):
            assert "? keys" in compose_last(view_of(four.held), width, height)


def compose_last(view: View, width: int, height: int) -> str:
    """The text of the last line."""
    return text_of([compose(view, width, height, DARK, keys=KEYS)[-1]])


@pytest.mark.parametrize("size", [(40, 12), (40, 16), (80, 24), (120, 36), (200, 60)])
@pytest.mark.parametrize("notice", [NOTICE, LONG])
def test_a_notice_is_never_cut_where_it_has_room(four: OpenedPiece, size: tuple[int, int], notice: str) -> None:
    for knot in Knot:
        view = with_pair(view_of(four.held), knot, 1)._replace(notice=notice)
        lines, large = composed(view, *size, DARK, keys=KEYS)
        alarm = [span.text.strip() for span in spans(lines) if span.ground == DARK.alarm]
        assert " ".join(filter(None, alarm)) == notice
        assert knot.words in [each.text for each in large] or knot.words in text_of(lines)


@pytest.mark.parametrize("height", [1, 2, 3, 5, 8, 12, 24])
@pytest.mark.parametrize("where", ["", "row 3 of 12", "start: step 1 of 9"])
def test_the_head_never_cuts_the_count(four: OpenedPiece, height: int, where: str) -> None:
    view = view_of(four.held)._replace(title="A very long title for a band", done=112, of=1300, where=where, rest=True)
    for width in range(10, 60):
        head = text_of([composed(view, width, height, DARK)[0][0]])
        assert re.search(r"(?<!\d)112/1300(?!\d)", head), width
        numbers = where.replace("row ", "r").replace(" of ", "/")
        assert numbers in head or where in head or not re.search(r"r\d|step", head), "whole, or not at all"


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("at", [1, 3])
def test_the_count_of_a_run_is_said_once(four: OpenedPiece, size: tuple[int, int], at: int) -> None:
    run = Run(at, 7, f"ink: {at} of 7", "#e5d3b3", "4 sand, now at 2", 2)
    text = "\n".join(legible(view_of(four.held)._replace(run=run), *size, DARK, KEYS))
    assert len(re.findall(rf"\b{at} of 7\b", text)) == 1
    assert len(re.findall(r"\b4 sand, now at 2\b", text)) == 1
    assert ("pick it up" in text) == (at == 1) or size[1] < 16 or size[0] < 80


@pytest.mark.parametrize("size", SIZES)
def test_the_count_of_a_pictures_run_is_said_once(kept: Kept, tmp_path: Path, size: tuple[int, int]) -> None:
    held = begun(kept, written_to(tmp_path, PICTURE), done=1).held
    text = "\n".join(legible(view_of(held), *size, DARK, KEYS))
    assert len(re.findall(r"(?<!row )\b1 of 2\b", text)) == 1
    assert "more after it" not in text


@pytest.mark.parametrize("done", [2, 12, 23])
def test_a_wide_picture_in_a_small_window_shows_the_base_string_in_hand(kept: Kept, tmp_path: Path, done: int) -> None:
    chart = f"chart: |\n  {'.' * 20}\n  {'#' * 20}\n"
    wide = PICTURE[: PICTURE.index("chart:")] + chart
    view = view_of(begun(kept, written_to(tmp_path, wide), done=done).held)
    plain = text_of(compose(view, 40, 12, DARK, keys=KEYS))
    assert view.run is not None
    assert f"knot {view.run.at} of {view.run.of}" in plain
    (base,) = (side.position for side in (view.left, view.right) if side is not None and side.position)
    assert re.search(rf"\b{base}\b", plain.split("\n")[-3])


@pytest.mark.parametrize("size", SIZES)
def test_what_one_press_counts_is_listed_in_full(four: OpenedPiece, size: tuple[int, int]) -> None:
    press = tuple(f"{count} foam" for count in range(1, 13))
    rows = legible(view_of(four.held)._replace(this_press=press), *size, DARK, KEYS)
    both = view_of(four.held)._replace(this_press=press, before="begin a new foam, leave a 9 cm tail")
    first = " ".join(" ".join(legible(both, *size, DARK, KEYS)).split())
    assert "FIRST begin a new foam, leave a 9 cm tail" in first
    if size[1] < 16:
        assert "press=12" in rows[-1]
    else:
        text = " ".join(" ".join(rows).split())
        assert f"NOW {', '.join(press)}" in text
        assert f"NOW {', '.join(press)}" in first


@pytest.mark.parametrize("size", SIZES[3:])
@pytest.mark.parametrize(
    "told",
    [
        "Forward, 3 deep over 4 foam, then deep hangs at 4, foam at 3; row 1.",
        "Row 2 of 88, cut beam behind column 8; begin a new beam, leave 9 cm tails, then backward.",
    ],
)
def test_the_instruction_in_words_stands_alone_in_large_type(
    four: OpenedPiece, told: str, size: tuple[int, int]
) -> None:
    lines, large = composed(view_of(four.held)._replace(told=told), *size, DARK, keys=KEYS)
    assert [each.text for each in large] == [told]
    assert large[0].cells >= 2
    assert "ink" not in "\n".join(legible(view_of(four.held)._replace(told=told), *size, DARK)).replace(told, "")
    assert {span.ground for line in lines[1:-1] for span in line} == {view_of(four.held).field}


@seeded
@given(st.integers(1, 60), st.sampled_from(SIZES))
def test_an_instruction_in_words_is_cut_only_where_it_has_no_room(words: int, size: tuple[int, int]) -> None:
    told = " ".join(["eleven forward"] * words)
    view = BARE._replace(told=told)
    lines = legible(view, *size, DARK, KEYS)
    text = " ".join(" ".join(lines[1:-1]).split())
    margin = 2 if size[0] >= 60 else 1
    assert (told in text) == (len(wrap(told, size[0] - 2 * margin)) <= size[1] - 2)


@pytest.mark.parametrize("extra", [0, 1, 5, 40])
def test_the_lines_of_the_screen_are_shared_out(extra: int) -> None:
    for height in range(3, 110):
        for drawn, paired, strings in ((False, True, True), (True, False, False), (False, False, True)):
            room = room_for(height, strings_known=strings, drawn=drawn, paired=paired, extra=extra)
            assert min(room) >= 0
            assert room.word >= 1
            below = room.coming if room.status else 1
            assert 1 + room.word + room.pair + room.strings + below + room.extra + room.status == height


@pytest.mark.parametrize("lines", range(0, 12))
def test_the_next_step_is_never_a_label_alone(kept: Kept, tmp_path: Path, lines: int) -> None:
    chart = f"chart: |\n  {'.' * 13}\n  {'#' * 13}\n  {'.' * 13}\n"
    wide = PICTURE[: PICTURE.index("chart:")] + chart
    view = view_of(begun(kept, written_to(tmp_path, wide), done=2).held)
    for row in next_steps(view, 150, lines, 60, DARK):
        text = "".join(span.text for span in row)
        assert "NEXT" not in text or text.replace("NEXT", "").strip()
