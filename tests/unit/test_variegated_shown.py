"""Variegated threads as they are seen: on screens of few colours, at the bench, in drawings, in signs and in words."""

import re
from io import BytesIO
from pathlib import Path
from xml.etree import ElementTree

import pytest
from PIL import Image

from benchmate.bench.step.view import view_of
from benchmate.cli import main
from benchmate.craft.colours.terminal_colours import TRUE_COLOUR, ColourDepth
from benchmate.craft.design import Design
from benchmate.craft.drawing import DrawnKnot
from benchmate.craft.laying_out import aloud
from benchmate.craft.thread.variegated.along import Take, _StringAlong
from benchmate.craft.wording.prompt_parts import Level
from benchmate.design_files.load import load, parse
from benchmate.display.band_so_far import MARGIN, draw
from benchmate.display.palette import DARK
from benchmate.draw.in_terminal import in_terminal, tags_of
from benchmate.draw.layout import lay_out
from benchmate.draw.raster import PER_MM, png
from benchmate.draw.vector import svg
from benchmate.piece_opening import Kept, remade, resume_listed
from tests.screen.benches import begun, in_cells, written_to

NAVY, CREAM, TEAL, CLAY = "#000080", "#f4f1de", "#008080", "#b5533c"
FORD = """\
benchmate: 1
title: Ford at dusk
family: diagonal
colours:
  dusk: {css: [navy 150, "#f4f1de 60", teal 80], say: late sky}
  clay: "#b5533c"
strings: [dusk, clay, dusk, clay]
rows: [f f, f, f f, f]
repeats: 9
"""
ROPE = """\
benchmate: 1
title: Rope at dusk
family: braid
colours: {dusk: {css: [navy 103, teal 3]}, clay: "#b5533c"}
slots: 8
strands: {1: dusk, 4: clay, 5: dusk}
moves: [1 > 2, 4 > 6, 2 > 1, 6 > 4]
repeats: 12
"""
PICTURE = """\
benchmate: 1
title: Gate at dusk
family: alpha
colours: {dusk: {css: [navy 120, teal 45]}, clay: "#b5533c"}
base: dusk
key: {d: dusk, c: clay}
chart: |
  ddcd
  cddd
repeats: 5
"""


def design(text: str) -> Design:
    found, problems = parse(text)
    assert found is not None, problems
    return found


def values(text: str, depth: ColourDepth) -> list[str]:
    """The values of the plain threads and of all parts, as a screen shows them."""
    shown = design(text).on_screen(depth)
    return [value for name in shown.colours for value in shown.colours[name].values]


@pytest.mark.parametrize("depth", [TRUE_COLOUR, ColourDepth(256), ColourDepth(16), ColourDepth(256, True)])
def test_screens_show_every_colour_along_a_thread_apart_from_the_others(depth: ColourDepth) -> None:
    found = values(FORD, depth)
    assert len(set(found)) == 4
    assert not depth.choice or set(found) <= set(depth.choice)
    if depth == TRUE_COLOUR:
        assert found == [NAVY, CREAM, TEAL, CLAY]


def test_a_part_looks_like_a_thread_of_its_colour() -> None:
    shown = design(FORD.replace("#b5533c", "teal")).on_screen(ColourDepth(16))
    assert shown.colours["dusk"].sequence[2].value == shown.colours["clay"].value
    assert len(set(shown.colours["dusk"].values)) == 3


def test_many_colours_along_a_thread_take_none_from_the_others() -> None:
    many = ", ".join(f'"#{at:02x}{255 - at:02x}80 5"' for at in range(100))
    plain = FORD.replace('[navy 150, "#f4f1de 60", teal 80]', "[navy 150, teal 80]")
    for depth in (ColourDepth(16), ColourDepth(256), ColourDepth(16, True), TRUE_COLOUR):
        shown = design(FORD.replace('navy 150, "#f4f1de 60", teal 80', many)).on_screen(depth)
        assert shown.colours["clay"].pattern == 0
        assert not depth.choice or set(shown.colours["dusk"].values) <= set(depth.choice)
        if depth.colours == 16 and not depth.greys:
            # As if the thread of many colours were not there.
            ordinary = design(re.sub(r"\{css: .*\}", "clay", plain).replace("clay\n  clay", "teal\n  clay"))
            alone = ordinary._replace(body=ordinary.body._replace(strings=("clay",) * 4))  # type: ignore[attr-defined]
            assert shown.colours["clay"].value == alone.on_screen(depth).colours["clay"].value


def test_the_step_screen_shows_each_string_where_its_thread_is_now(kept: Kept, tmp_path: Path) -> None:
    held = begun(kept, written_to(tmp_path, FORD)).held
    layout = lay_out(held.whole.main.design)
    fields, tags = set(), set()
    grounds = set()
    for knot in layout.knots:
        view = view_of(held)
        assert view.left is not None
        assert view.right is not None
        assert view.field == layout.value_of(knot.colour, knot.part)
        makes = view.left if view.left.makes else view.right
        assert makes.colour == view.field
        # The pair hangs in the colours in which it is shown large.
        assert view.strings[view.left.position - 1].colour == view.left.colour
        assert view.strings[view.right.position - 1].colour == view.right.colour
        fields.add(view.field)
        tags |= {string.tag for string in view.strings}
        grounds.add(frozenset(value for string in view.strings for value in (string.colour, *string.along)))
        number = held.progress.next
        assert number is not None
        held.tie([number])
    assert fields == {NAVY, CREAM, TEAL, CLAY}
    # A thread keeps its letter, and the ground behind the strings stays, while it changes.
    assert len(tags) == 2
    assert grounds == {frozenset((NAVY, CREAM, TEAL, CLAY))}


def test_the_coming_knots_have_the_colours_of_their_own_places(kept: Kept, tmp_path: Path) -> None:
    held = begun(kept, written_to(tmp_path, FORD)).held
    layout = lay_out(held.whole.main.design)
    for at, knot in enumerate(layout.knots[:-1]):
        coming = view_of(held).coming
        assert coming[0].colours[0] == layout.value_of(layout.knots[at + 1].colour, layout.knots[at + 1].part)
        held.tie([at])
        assert knot.row <= layout.knots[at + 1].row


def test_the_band_so_far_is_the_finished_band(kept: Kept, tmp_path: Path) -> None:
    held = begun(kept, written_to(tmp_path, FORD)).held
    held.tie(range(held.whole.size))
    part = held.whole.main
    layout = lay_out(part.design)
    cells = in_cells(draw(part, held.progress, None, 8, 36, DARK))
    seen = {colour for row in cells for sign, *colours in row if sign == "▀" for colour in colours}
    assert {NAVY, CREAM, TEAL, CLAY} <= seen
    # Two rows to a line: the upper half of a cell is an odd row.
    for knot in layout.knots:
        shown = cells[(knot.row - 1) // 2][MARGIN + knot.place - 1]
        assert shown[1 + (knot.row - 1) % 2] == layout.value_of(knot.colour, knot.part)


def test_where_a_new_string_took_over_stays_whatever_is_undone_and_tied_again(kept: Kept, tmp_path: Path) -> None:
    held = begun(kept, written_to(tmp_path, FORD), done=24).held
    held.join(1, 410, 500)
    joined = held.whole.main.design.beginnings.joined
    assert joined == {(1, max(step for step in range(24) if 1 in held.whole.takes(step)))}

    def is_as_before() -> bool:
        assert held.piece is not None
        again = resume_listed(kept, kept.pieces.get(held.piece)).held
        return again.whole.main.design.beginnings.joined == held.whole.main.design.beginnings.joined == joined

    held.jump(10)
    assert is_as_before()
    held.jump(30)
    held.mark_wrong(20)
    out = []
    while held.wrong is not None:
        step, _ = held.current_step()
        assert step is not None
        out.append(step)
        held.finish_step()
    open_now = set(out)
    for _ in out:
        # In whatever order they can be tied.
        ready = [each for each in sorted(open_now, reverse=True) if not open_now & set(held.whole.rests_on(each))]
        held.tie(ready[:1])
        open_now -= set(ready[:1])
    assert set(held.progress.history) == {*range(30)}
    assert is_as_before()


def test_where_a_new_string_took_over_is_renumbered_with_the_design(kept: Kept, tmp_path: Path) -> None:
    held = begun(kept, written_to(tmp_path, FORD), done=24).held
    held.join(1, 410, 500)
    held.measure(2, 80)
    held.join(2, 410, 500, done=0)
    held.measure(3, 200)
    joined = held.whole.main.design.beginnings.joined
    start = (
        "benchmate: 1\ntitle: Lead in\nfamily: steps\ncolours: {a: red}\nsteps: [{do: Hang}, {do: Sort}, {do: Clip}]\n"
    )
    copy = held.copy._replace(start=start)
    held.change_design(copy, remade(held, copy))
    assert held.whole.main.first == 3
    assert held.whole.main.design.beginnings.joined == joined
    assert held.piece is not None
    again = resume_listed(kept, kept.pieces.get(held.piece)).held
    assert again.whole.main.design.beginnings.joined == joined
    assert {string: each.done for string, each in again.measured.items()} == {1: 27, 2: 3, 3: 27}
    assert [each.before and each.before.done for each in again.new_strings] == [None, 27]
    assert [each.after for each in again.new_strings] == [3 + max(step for _, step in joined), -1]


def test_a_new_string_begins_again_where_its_last_knot_is_made_by_another() -> None:
    """A mistake told later may give the knot after which it took over to other strings."""
    along = _StringAlong(0.0, 0.0, {4}, 90.0)
    found = [along.take(Take(step, 1, 5.0, row, makes=True)) for row, step in ((1, 2), (3, 6), (4, 7))]
    assert found == [0.0, 90.0, 95.0]


def test_a_new_string_begins_its_colours_again_where_it_took_over(kept: Kept, tmp_path: Path) -> None:
    held = begun(kept, written_to(tmp_path, FORD), done=20).held
    before = held.whole.main.design_now(held.progress).value_of(1)
    planned = held.order.sequence
    held.join(1, 410, 500, done=14)
    last = max(step for step in range(14) if 1 in held.whole.takes(step))
    assert held.whole.main.design.beginnings.joined == {(1, last)}
    first = next(step for step in range(14, 20) if 1 in held.whole.takes(step))
    assert held.whole.main.along.of_step(first)[1] == 0, "9 cm on, in the first colour"
    assert (
        held.whole.main.along.of_step(last)[1] == held.charted.with_new_strings(frozenset()).main.along.of_step(last)[1]
    ), "what was tied before shows what it showed"
    assert (list(held.progress.history), held.order.sequence) == ([*range(20)], planned)
    # In whatever window, after any knot, and in a drawing of it.
    held.tie([20])
    assert held.piece is not None
    again = resume_listed(kept, kept.pieces.get(held.piece)).held
    assert again.whole.main.design.beginnings == held.whole.main.design.beginnings
    assert again.whole.main.along.now(lambda step: step < 21, 21) == held.whole.main.along.now(
        lambda step: step < 21, 21
    )
    held.untie(20)
    held.take_new_string_back(1)
    assert held.whole.main.design_now(held.progress).value_of(1) == before
    assert held.whole.main.design.beginnings.joined == frozenset()


def test_ordinary_threads_have_nothing_to_begin_again(kept: Kept, tmp_path: Path) -> None:
    held = begun(
        kept,
        written_to(tmp_path, FORD.replace('{css: [navy 150, "#f4f1de 60", teal 80], say: late sky}', "navy")),
        done=9,
    ).held
    whole = held.whole
    held.join(1, 410, 500)
    assert held.whole is whole


def test_a_piece_changes_the_colours_of_strands_on_the_disk(kept: Kept, tmp_path: Path) -> None:
    held = begun(kept, written_to(tmp_path, ROPE)).held
    main_part = held.whole.main
    shown = []
    while held.progress.next is not None:
        now = main_part.design_now(held.progress)
        shown.append(now.value_of(1))
        assert now.value_of(4) == CLAY
        view = view_of(held)
        if main_part.work.step(held.progress.next).strand != 4:  # type: ignore[attr-defined]
            assert view.field == shown[-1]
        held.tie([held.progress.next])
    assert set(shown) == {NAVY, TEAL}


def _middles(found: Image.Image, layout_box: tuple[float, ...], knot: DrawnKnot) -> object:
    left, top = layout_box[:2]
    return found.getpixel((int((knot.x - left) * PER_MM), int((knot.y - top) * PER_MM)))


@pytest.mark.parametrize("text", [FORD, PICTURE])
def test_pictures_show_every_knot_in_its_colour(text: str) -> None:
    layout = lay_out(design(text))
    assert len({(knot.colour, knot.part) for knot in layout.knots}) >= 3
    found = Image.open(BytesIO(png(layout)))
    drawing = ElementTree.fromstring(svg(layout))
    space = "{http://www.w3.org/2000/svg}"
    kinds = {
        each.get("id"): {part.get("fill") for part in each} for each in drawing.iter(f"{space}g") if each.get("id")
    }
    used = [kinds[(each.get("{http://www.w3.org/1999/xlink}href") or "")[1:]] for each in drawing.iter(f"{space}use")]
    for knot, fills in zip(layout.knots, used, strict=True):
        value = layout.value_of(knot.colour, knot.part)
        assert _middles(found, layout.box, knot) == tuple(int(value[at : at + 2], 16) for at in (1, 3, 5))
        assert value in fills


def test_a_turn_at_the_edge_has_the_colour_of_the_knot_before_it() -> None:
    layout = lay_out(design(PICTURE))
    turns = [each for each in layout.strands if len(each.way) == 4]
    knots = {(knot.x, knot.y): knot for knot in layout.knots}
    assert turns
    for turn in turns:
        assert (turn.colour, turn.part) == (knots[turn.way[0]].colour, knots[turn.way[0]].part)


def test_terminals_show_it_in_squares() -> None:
    shown = design(FORD)
    lines = in_terminal(lay_out(shown), 60)
    drawn = "".join(lines)
    for value in (NAVY, CREAM, TEAL, CLAY):
        red, green, blue = (int(value[at : at + 2], 16) for at in (1, 3, 5))
        assert f"8;2;{red};{green};{blue}" in drawn
    assert any("late sky (navy, beige, teal)" in line for line in lines)


def test_signs_number_the_colours_along_a_thread() -> None:
    layout = lay_out(design(FORD))
    tags = tags_of(layout)
    assert {tags["dusk", part] for part in range(3)} == {"l1", "l2", "l3"}
    lines = in_terminal(layout, 60, depth=None)
    knots = [line for line in lines if "\\" in line and "f" not in line]
    assert {sign for line in knots for sign in re.findall(r"\\(\w\w)\\", line)} == {"l1", "l2", "l3", "cl"}
    legend = " ".join(lines[-3:])
    for words in ("l1 late sky, navy", "l2 late sky, beige", "l3 late sky, teal", "cl clay"):
        assert words in legend


def test_threads_without_colours_keep_their_letters() -> None:
    ordinary = tags_of(lay_out(design(re.sub(r"\{css: .*\}", "{css: teal, say: late sky}", FORD))))
    assert ordinary == {("dusk", 0): "la", ("clay", 0): "cl"}
    assert tags_of(lay_out(design(FORD)))["clay", 0] == "cl"


def test_a_colour_that_comes_twice_has_one_tag() -> None:
    text = FORD.replace("teal 80", "navy 9, teal 80")
    tags = tags_of(lay_out(design(text)))
    assert tags["dusk", 0] == tags["dusk", 2] == "l1"
    assert tags["dusk", 3] == "l3"


def test_a_small_terminal_reduces_it() -> None:
    text = FORD.replace("strings: [dusk, clay, dusk, clay]", f"strings: [{', '.join(['dusk', 'clay'] * 40)}]")
    text = text.replace("[f f, f, f f, f]", "[f*40, f*39]")
    for width, depth in ((20, TRUE_COLOUR), (30, None)):
        lines = in_terminal(lay_out(design(text)), width, depth=depth)
        assert "reduced to fit" in " ".join(map(str.strip, lines))


def test_the_start_point_is_in_the_cut_list_and_in_laying_out(
    kept: Kept, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = written_to(tmp_path, FORD)
    assert main(["thread", str(file)]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert [line for line in lines if line.endswith("; begin where navy begins")]
    assert "Between two lengths of late sky, up to 29 cm are left before navy begins." in lines
    assert not [line for line in lines if line.startswith("clay") and "begin" in line]
    whole = begun(kept, file).held.whole
    cutting = whole.cutting_out()
    assert cutting is not None
    for step in (*cutting.steps, *whole.laying_out().steps):
        words = ("begin where navy begins", "start at the navy end")
        assert any(each in step.line and each in step.note for each in words) == (step.colour == "dusk")
        for wordings in step.spoken.values():
            assert ("navy" in wordings[0]) == (step.colour == "dusk")


def test_a_voice_says_where_to_begin_in_few_words(kept: Kept, tmp_path: Path) -> None:
    cutting = begun(kept, written_to(tmp_path, FORD)).held.whole.cutting_out()
    assert cutting is not None
    for step in cutting.steps:
        for level in (Level.FULL, Level.SHORT):
            assert ("navy" in aloud(step, level)) == (step.colour == "dusk"), level


def test_a_folded_length_says_which_half_runs_which_way(
    kept: Kept, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = written_to(
        tmp_path, FORD.replace("strings:", "start: fold-over-a-pin\nstrings:").replace("teal 80", "teal 180")
    )
    whole = begun(kept, file).held.whole
    assert whole.to_cut is not None
    assert whole.to_cut.cuts is not None
    (one, other) = next(each.strings for each in whole.to_cut.cuts.pieces if each.colour == "dusk")
    assert main(["thread", str(file)]) == 0
    words = f"fold where navy begins: {one} on the navy side, {other} on the teal side"
    assert words in capsys.readouterr().out
    cutting = whole.cutting_out()
    assert cutting is not None
    assert any(words in step.line for step in cutting.steps)
    hung = {step.strings: step.line for step in whole.laying_out().steps if step.colour == "dusk"}
    assert hung[one,].endswith("; from the navy side")
    assert hung[other,].endswith("; from the teal side")
    # At the fold the two halves show the colours on either side of it.
    now = whole.main.design_now(begun(kept, file).held.progress)
    assert (now.value_of(one), now.value_of(other)) == (NAVY, TEAL)


def test_of_a_folded_length_the_new_string_runs_as_the_old_one_did(kept: Kept, tmp_path: Path) -> None:
    from benchmate.craft.thread.variegated.start_point import where_new_one_begins

    text = FORD.replace("strings:", "start: fold-over-a-pin\nstrings:").replace("teal 80", "teal 180")
    design = begun(kept, written_to(tmp_path, text)).held.whole.main.design
    (backwards,) = design.beginnings.backwards & {1, 3}
    words = {string: where_new_one_begins(design, string, "cm") for string in (1, 2, 3)}
    assert words == {backwards: "begin where teal ends", 4 - backwards: "begin where navy begins", 2: ""}
    text = text.replace("teal 180", "teal 90, linen 20, teal 70").replace('"#f4f1de 60", ', "")
    design = begun(kept, written_to(tmp_path, text)).held.whole.main.design
    assert where_new_one_begins(design, backwards, "cm") == "begin where 7 cm of teal end, before navy"


def test_a_start_that_stands_twice_on_the_thread_is_told_by_its_length() -> None:
    from benchmate.craft.thread.variegated.start_point import where_to_begin

    colour = design(FORD.replace("teal 80", "navy 90, teal 80")).colours["dusk"]
    assert where_to_begin(colour, [(1,)], "cm") == "begin where 15 cm of navy begin, after teal"
    assert where_to_begin(colour, [(1,)], "inches") == "begin where 5⅞ in of navy begin, after teal"
    assert where_to_begin(design(FORD).colours["clay"], [(1,)], "cm") == ""


def test_pictures_are_drawn_by_the_makers_own_gauge(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BENCHMATE_HOME", str(tmp_path / "home"))
    file = written_to(tmp_path, FORD)

    def drawn() -> bytes:
        target = tmp_path / "band.svg"
        assert main(["draw", str(file), "-o", str(target), "--force"]) == 0
        return target.read_bytes()

    before = drawn()
    assert main(["gauge", "floss", "--used", "20,20,0,0:500"]) == 0
    assert drawn() != before


def test_wherever_one_colour_stands_for_a_thread_it_is_the_average() -> None:
    colour = design(FORD).colours["dusk"]
    assert colour.value not in colour.values
    assert design(FORD).value_of(1) == colour.value
    assert load("first-stripe").design.colours["berry"].sequence == ()
