"""The drawings of the lessons: named in a file, true to the trade in every crossing, whole at every size."""

import json
import re
from itertools import pairwise
from pathlib import Path

import pytest

from benchmate.bench.zones.half_hitch import KNOTTING, PASSIVE, Point, Sketch, mirrored, rounded, sketch
from benchmate.bench.zones.half_hitch_cells import LEAST, Frame, draw, strings
from benchmate.cli import main
from benchmate.craft.colours.colour import contrast, is_like
from benchmate.craft.design import work_for
from benchmate.craft.knots import Knot
from benchmate.craft.orders import by_rows
from benchmate.craft.progress import Progress
from benchmate.craft.shown_step import KnotDrawing
from benchmate.craft.start_band_finish import whole_piece
from benchmate.craft.wording.prompt_parts import Level
from benchmate.design_files.load import load, parse
from benchmate.design_files.shelf import following
from benchmate.display import large_type
from benchmate.display.cells import width_of
from benchmate.display.palette import DARK, LIGHT, Palette
from benchmate.families.diagonal.body import DiagonalKnot
from benchmate.families.steps.body import WrittenStep
from benchmate.families.steps.reader import DRAWINGS
from tests.listening import followed
from tests.screen.benches import text_of
from tests.shelf import FILES

LESSONS = [file for name, file in FILES.items() if name.startswith("lesson-")]
SIZES = [LEAST, (21, 7), (27, 8), (33, 15), (40, 8), (44, 20), (100, 40), (30, 60)]
LEFT, RIGHT = "#e8a33d", "#8fd0e6"
BLOCKS = set(" ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█")

TRADE = {"f": ("left", "right", "right"), "b": ("right", "left", "left")} | {
    "fb": ("left", "right", "left"),
    "bf": ("right", "left", "right"),
}
"""The side of the knotting string, and the side each half hitch goes to: common practice."""


def piece(draw_line: str) -> str:
    """A design whose one step has `draw_line` on line 8."""
    head = "benchmate: 1\ntitle: T\nfamily: steps\ncolours: {a: teal}\nnotes: n\nsteps:\n"
    return f"{head}  - do: Fold\n    {draw_line}\n"


# In a file


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("draw: f 1 over", KnotDrawing(Knot.FORWARD, 1, "over")),
        ("draw: b 2 under", KnotDrawing(Knot.BACKWARD, 2, "under")),
        ("draw: 'fb  2   pull'", KnotDrawing(Knot.FORWARD_BACKWARD, 2, "pull")),
        ("draw: bf hold", KnotDrawing(Knot.BACKWARD_FORWARD, 0, "hold")),
        ("draw: f done", KnotDrawing(Knot.FORWARD, 0, "done")),
        ("times: 1", None),
    ],
)
def test_a_step_names_its_drawing(text: str, expected: KnotDrawing | None) -> None:
    design, problems = parse(piece(text))
    assert problems == []
    assert design is not None
    step = work_for(design).step(0)
    assert isinstance(step, WrittenStep)
    assert step.draw == expected


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("draw: f 1 ovr", "8:11: `draw` must be a knot (f, b, fb or bf) and a stage of it"),
        ("draw: f 1 ovr", "found `f 1 ovr`; did you mean `f 1 over`?"),
        ("draw: f 3 over", "found `f 3 over`"),
        ("draw: x 1 over", "found `x 1 over`"),
        ("draw: F 1 over", "found `F 1 over`"),
        ("draw: f 1", "`hold`, `1 over`, `1 under`, `1 pull`, the same three with 2, or `done`"),
        ("draw: f 1 done", "found `f 1 done`"),
        ("draw: ''", "8:11: `draw` must be a knot (f, b, fb or bf) and a stage of it"),
        ("draw:", "8:5: `draw` must be a knot"),
        ("draw: [f, 1, over]", "8:11: `draw` must be the name of a drawing, such as `f 1 over` (found a list)"),
        ("drew: f 1 over", "8:5: unknown key `drew`; did you mean `draw`?"),
        ('draw: "f 1 over\\e[31m"', "found `f 1 over?[31m`"),
    ],
)
def test_an_unknown_drawing_is_an_error_with_its_position(text: str, words: str) -> None:
    design, problems = parse(piece(text))
    assert design is None
    (problem,) = problems
    assert words in f"{problem.line}:{problem.column}: {problem.message}"


def test_every_stage_of_every_knot_has_a_drawing() -> None:
    assert len(DRAWINGS) == 4 * 8
    assert {name.split()[0] for name in DRAWINGS} == {knot.value for knot in Knot}
    for name, drawing in DRAWINGS.items():
        words = [drawing.knot.value, *([str(drawing.half)] if drawing.half else []), drawing.phase]
        assert name.split() == words


def test_a_start_and_a_finish_keep_their_drawings(tmp_path: Path) -> None:
    (tmp_path / "loop.yaml").write_text(piece("draw: fb 2 pull"))
    band = "benchmate: 1\ntitle: B\nfamily: diagonal\ncolours: {a: teal}\nstrings: [a, a]\nrows: [f]\n"
    (tmp_path / "band.yaml").write_text(f"{band}start: loop\nfinish: loop\n")
    file = load(str(tmp_path / "band.yaml"))
    assert file.start is not None
    assert file.finish is not None
    whole = whole_piece(file.design, file.start.design, file.finish.design)
    ends = [whole.step(0), whole.step(whole.size - 1)]
    assert [step.draw for step in ends if isinstance(step, WrittenStep)] == [DRAWINGS["fb 2 pull"]] * 2


def test_drawings_do_not_change_the_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "drawn.yaml"
    file.write_text(piece("draw: f 1 over"))
    assert main(["order", str(file), "--json"]) == 0
    (step,) = json.loads(capsys.readouterr().out)["steps"]
    assert step == {"n": 1, "row": 1, "do": "Fold", "hint": None, "time": 1, "of": 1}


# The crossings


def by_the_trade(phase: str) -> list[tuple[str, bool]]:
    """What the knotting string crosses, from the work to its end, and whether it is over: common practice.

    It is laid over the passive string; its end goes back behind that, and out through the loop from behind, so that it
    lies over what it was laid from; and is pulled to the side, in front of all.
    """
    laid, behind = ("passive", True), ("passive", False)
    if phase == "over":
        return [laid]
    out = [("itself", True)] if phase == "under" else [("passive", True)]
    below = [("itself", False)] if phase == "under" else []
    return [*below, laid, behind, *out]


def crossed(made: Sketch) -> list[tuple[str, bool]]:
    """What the knotting string crosses in a sketch, in the order it comes to it."""
    found = []
    for crossing in made.crossings:
        ends = [(crossing.over, crossing.over_at, True), (crossing.under, crossing.under_at, False)]
        other = "itself" if crossing.over == crossing.under else "passive"
        found += [(at, other, over) for string, at, over in ends if string == KNOTTING]
    return [(other, over) for _, other, over in sorted(found)]


HALVES = [drawing for drawing in DRAWINGS.values() if drawing.half]


@pytest.mark.parametrize("drawing", HALVES)
def test_half_hitches_cross_as_in_common_practice(drawing: KnotDrawing) -> None:
    made = sketch(drawing)
    assert crossed(made) == by_the_trade(drawing.phase)
    # Over and under by turns, seen along the passive string as well.
    along = sorted((crossing.y, crossing.over) for crossing in made.crossings if crossing.over != crossing.under)
    assert all(one[1] != other[1] for one, other in pairwise(along))
    if drawing.phase != "pull":
        assert all(one[1] != other[1] for one, other in pairwise(crossed(made)))


@pytest.mark.parametrize("drawing", HALVES)
def test_every_half_hitch_goes_to_its_side(drawing: KnotDrawing) -> None:
    side = TRADE[drawing.knot.value][drawing.half]
    sign = 1 if side == "right" else -1
    way = sketch(drawing).ways[KNOTTING]
    # It comes from the other side, and is laid over the passive string towards its own.
    first = min(at for at, point in enumerate(way) if point.x * sign > 0)
    assert all(point.x * sign <= 0 for point in way[:first])
    assert way[first].z > 0
    assert (way[-1].x * sign > 0) == (drawing.phase != "under")
    if drawing.phase == "pull":
        assert way[-1].y < way[-2].y, "up"
        assert way[-1].y == min(point.y for point in way[first:])


@pytest.mark.parametrize("drawing", DRAWINGS.values())
def test_crossings_are_where_a_string_changes_sides(drawing: KnotDrawing) -> None:
    made = sketch(drawing)
    way, passive = made.ways
    if drawing.phase == "done":
        return
    assert {point.x for point in passive} == {0}, "taut"
    changes = [(one, other) for one, other in pairwise(way) if (one.x < 0) != (other.x < 0)]
    between = [crossing for crossing in made.crossings if crossing.over != crossing.under]
    assert len(changes) == len(between)
    for (one, other), crossing in zip(changes, between, strict=True):
        assert min(one.y, other.y) - 1e-9 <= crossing.y <= max(one.y, other.y) + 1e-9
        assert (crossing.over == KNOTTING) == (one.z + other.z > 0)


@pytest.mark.parametrize("knot", Knot)
def test_strings_begin_and_end_as_in_common_practice(knot: Knot) -> None:
    maker, first, second = TRADE[knot.value]
    before, after = sketch(DRAWINGS[f"{knot.value} hold"]), sketch(DRAWINGS[f"{knot.value} done"])
    for made in (before, after):
        assert (made.ways[KNOTTING][0].x < 0) == (maker == "left")
        assert made.held == (made is before)
    stays = first != second
    ends = {string: after.ways[string][-1].x for string in (KNOTTING, PASSIVE)}
    assert (ends[KNOTTING] < 0) == ((maker == "left") == stays)
    assert ends[KNOTTING] * ends[PASSIVE] < 0
    assert len(after.tied) == 2


@pytest.mark.parametrize("half", [1, 2])
def test_a_second_half_hangs_from_the_first(half: int) -> None:
    for drawing in HALVES:
        if drawing.half == half:
            assert len(sketch(drawing).tied) == half - 1


@pytest.mark.parametrize(("one", "other"), [("f", "b"), ("fb", "bf")])
def test_the_mirror_law(one: str, other: str) -> None:
    for name, drawing in DRAWINGS.items():
        knot, moment = name.split(" ", 1)
        if knot == one:
            assert sketch(DRAWINGS[f"{other} {moment}"]) == mirrored(sketch(drawing))
        assert mirrored(mirrored(sketch(drawing))) == sketch(drawing)


def test_a_half_hitch_to_one_side_is_one_drawing() -> None:
    for phase in ("over", "under", "pull"):
        for half in (1, 2):
            by_side: dict[str, set[Sketch]] = {"left": set(), "right": set()}
            for knot, sides in TRADE.items():
                by_side[sides[half]].add(sketch(DRAWINGS[f"{knot} {half} {phase}"]))
            assert {side: len(made) for side, made in by_side.items()} == {"left": 1, "right": 1}


def test_a_rounded_way_keeps_its_ends_and_stays_between_its_corners() -> None:
    corners = [Point(0, 0, 1), Point(1, 0, 1), Point(1, 1, -1)]
    way = rounded(corners)
    assert (way[0], way[-1]) == (corners[0], corners[-1])
    assert all(0 <= point.x <= 1 and 0 <= point.y <= 1 for point in way)
    assert corners[1] not in way


# In cells


@pytest.mark.parametrize("size", SIZES)
def test_every_drawing_is_whole_at_every_size(size: tuple[int, int]) -> None:
    width, height = size
    for name, drawing in DRAWINGS.items():
        lines = draw(drawing, LEFT, RIGHT, width, height, DARK)
        assert [width_of(line) for line in lines] == [width] * height, name
        signs = set(text_of(lines))
        made = sketch(drawing)
        words = {label.word.upper() for label in made.labels}
        assert signs <= BLOCKS | {"\n"} | set("".join(words)), name
        inks = {span.ink for line in lines for span in line if span.text.strip()}
        assert {LEFT, RIGHT} <= inks, name
        for way in made.ways:
            for at in Frame(width, height).along(way):
                assert 0 <= at.x <= 2 * width, name
                assert 0 <= at.y <= 2 * height, name


@pytest.mark.parametrize("size", SIZES)
def test_the_lower_string_has_a_gap_at_every_crossing(size: tuple[int, int]) -> None:
    for drawing in HALVES:
        assert_gaps(sketch(drawing), Frame(*size))


def assert_gaps(made: Sketch, frame: Frame) -> None:
    """Where two strings cross, the lower one has a gap, and the other is there."""
    hung = strings(made, frame)
    for crossing in made.crossings:
        middle = frame.place(Point(crossing.x, crossing.y, 0))
        x, y = int(middle.x), int(middle.y)
        assert not hung[crossing.over].free(x - 1, y - 1, x + 2, y + 2), "the one that is over is there"
        if crossing.over == KNOTTING and crossing.under == PASSIVE:
            left, right = x - frame.thick // 2, x + frame.thick // 2
            gap = [row for row in range(frame.high) if hung[PASSIVE].free(left, row, right, row + 1)]
            bar = [row for row in range(frame.high) if hung[KNOTTING].rows[row] >> x & 1]
            high = [row for row in bar if abs(row - y) < frame.thick]
            assert set(high) <= set(gap)
            assert len([row for row in gap if abs(row - y) <= frame.thick]) >= len(high) + 2, "on both sides"
        elif crossing.under == KNOTTING and crossing.over == PASSIVE:
            for beside in (-1, 1):
                edge = frame.middle + beside * (frame.thick / 2 + frame.gap / 2)
                assert hung[KNOTTING].free(int(edge), y, int(edge) + 1, y + 1)


@pytest.mark.parametrize("size", [(44, 20), (66, 33), (100, 40)])
def test_stripes_distinguish_the_strings_without_colour(size: tuple[int, int]) -> None:
    lines = draw(DRAWINGS["f hold"], LEFT, RIGHT, *size, DARK)
    cells = [[(sign, span.ink) for span in line for sign in span.text] for line in lines]
    for colour, striped in ((LEFT, False), (RIGHT, True)):
        rows = ["".join(sign if ink == colour else " " for sign, ink in row).strip() for row in cells[2:-3]]
        assert all(rows)
        # A solid string has no hole between its two edges.
        holes = [row for row in rows if set(row[1:-1]) - {"█"}] if striped else [row for row in rows if " " in row]
        assert bool(holes) == striped


@pytest.mark.parametrize("palette", [DARK, LIGHT])
def test_both_strings_stand_out_in_any_colours(palette: Palette) -> None:
    for left, right in ((LEFT, RIGHT), ("#101010", "#202020"), ("#fafafa", "#f0f0e0"), ("#000000", "#ffffff")):
        lines = draw(DRAWINGS["f 1 over"], left, right, 44, 20, palette)
        ground = lines[-1][0].ground
        for colour in (left, right):
            # A string that is like the ground has an edge in an ink that is like neither.
            edges = [span for line in lines for span in line if colour == span.ground and span.ink not in (left, right)]
            assert contrast(colour, ground) >= 1.25
            assert any(
                contrast(span.ink, colour) >= 3 and contrast(span.ink, ground) >= 3 for span in edges
            ) == is_like(colour, ground)


def test_words_are_large_where_there_is_room() -> None:
    lines = text_of(draw(DRAWINGS["f 1 over"], LEFT, RIGHT, 100, 40, DARK)).split("\n")
    drawn = large_type.draw("OVER", 98, 6)
    assert drawn is not None
    assert any(drawn[0].strip() in line for line in lines)
    assert "HOLD" in "".join(lines)


# The lessons that ship


def told(number: int) -> list[WrittenStep]:
    """The steps of a lesson, each once."""
    work = work_for(LESSONS[number].design)
    steps = [work.step(at) for at in range(work.size)]
    return [step for step in steps if isinstance(step, WrittenStep) and step.time == 1]


def test_the_lessons_cover_each_knot_and_two_first_bands() -> None:
    assert len(LESSONS) == 7
    assert [Path(file.given).name.split("-")[1] for file in LESSONS] == [str(number) for number in range(1, 8)]
    for number, knot in enumerate(("f", "b", "fb", "bf"), 1):
        shown = {step.draw for step in told(number) if step.draw is not None}
        assert shown == {drawing for drawing in DRAWINGS.values() if drawing.knot.value == knot}
    halves = {(step.draw.knot, step.draw.phase) for step in told(0) if step.draw is not None}
    assert halves >= {(knot, phase) for knot in (Knot.FORWARD, Knot.BACKWARD) for phase in ("over", "under", "pull")}


@pytest.mark.parametrize("number", range(7))
def test_lessons_have_short_instructions(number: int) -> None:
    for step in told(number):
        assert large_type.can_draw(step.do), step.do
        assert len(f"{step.do}. {step.hint or ''}") <= 200, step.do
    words = " ".join(f"{step.do} {step.hint or ''}" for step in told(number)).lower()
    assert "rest your hands" in words
    assert "pin" in words
    if number in (0, 5, 6):
        assert "scissors" in words


@pytest.mark.parametrize("number", range(5))
def test_words_and_drawings_agree_on_the_side(number: int) -> None:
    laid = pulled = 0
    for step in told(number):
        if step.draw is None or not step.draw.half:
            continue
        side = TRADE[step.draw.knot.value][step.draw.half]
        other = "left" if side == "right" else "right"
        for wrong in (f"to the {other}", f"back to the {other}"):
            assert wrong not in f"{step.do}. {step.hint or ''}".lower()
        if step.draw.phase == "over" and step.draw.half == 1 and step.do.startswith("Lay"):
            assert f"to the {side}" in (step.hint or "").lower()
            laid += 1
        if step.draw.phase == "pull" and step.do.startswith("Pull"):
            assert f"up and to the {side}" in step.do
            pulled += 1
    assert (laid, pulled) == (2 if number == 0 else 1, 2)


@pytest.mark.parametrize(("number", "name"), [(5, "first-stripe"), (6, "first-pointed-band")])
def test_a_last_lesson_names_the_band_to_open(number: int, name: str) -> None:
    band = FILES[name]
    assert band.design.family.name == "diagonal"
    assert 4 <= len(band.design.strings) <= 6
    assert band.design.title in told(number)[-1].do
    for colour in set(band.design.strings):
        count = ["", "one", "two", "three", "four"][band.design.strings.count(colour)]
        assert f"{count} {colour}" in told(number)[0].do
    (sort,) = (step for step in told(number) if step.do.startswith("Sort "))
    assert (sort.hint or "").startswith(f"From the left: {', '.join(band.design.strings)}.")


@pytest.mark.parametrize("number", range(7))
def test_a_lesson_is_spoken_in_full(number: int) -> None:
    whole = whole_piece(LESSONS[number].design, None, None)
    prompts = followed(whole, by_rows(whole), "knot")
    for at in range(whole.size):
        step = whole.step(at)
        assert isinstance(step, WrittenStep)
        if step.time == 1:
            said = prompts[at][Level.FULL]
            assert step.do.rstrip(".") in said
            assert (step.hint or "") in said
            assert len(said) <= 300


# A lesson as it is worked: words, drawing and hanging order together

SIDES = ("left", "right")


def drawn_strings(step: WrittenStep, number: int) -> tuple[str, str] | None:
    """The colours of the two strings of a step's drawing, left and right."""
    design = LESSONS[number].design
    drawn = design.family.step_view.drawn(design, step)
    return None if drawn is None else (drawn.left, drawn.right)


@pytest.mark.parametrize("number", range(1, 5))
def test_words_drawings_and_hanging_strings_agree_knot_after_knot(number: int) -> None:
    knot = tuple(TRADE)[number - 1]
    maker, first, second = TRADE[knot]
    work = work_for(LESSONS[number].design)
    whole = whole_piece(LESSONS[number].design, None, None)
    progress = Progress(whole, by_rows(whole))
    hanging = before = (LEFT, RIGHT)
    knots = 0
    for at in range(work.size):
        assert [LESSONS[number].design.value_of(string) for string in progress.hanging] == list(hanging)
        step = work.step(at)
        assert isinstance(step, WrittenStep)
        words = f"{step.do}. {step.hint or ''}"
        strings = drawn_strings(step, number)
        if strings is not None and step.draw is not None:
            # A knot that is done is drawn from where its strings came.
            assert strings == (before if step.draw.phase == "done" else hanging), words
        told = [side for side in SIDES if f"the {side} string" in words or f"the {side} one" in words]
        if step.draw is not None and step.draw.phase == "over" and step.draw.half == 1:
            assert f"the {maker} string" in step.do
            assert strings is not None
            # The drawing's knotting string is the one that hangs on that side.
            knotting = sketch(step.draw).ways[KNOTTING][0].x
            assert (knotting < 0) == (maker == "left")
        if step.do.startswith("Make more"):
            where = "now on the left" if maker == "left" else "now on the right"
            assert where in words if first == second else f"stays on the {maker}" in words
        if step.do.startswith("Hold the"):
            assert told, "both strings"
        if "changed places" in words and "?" not in step.do:
            assert hanging != before, words
        if "its own side" in words:
            assert hanging == before
        if "both halves touch" in words or step.do.startswith("Make more"):
            knots += 1
            before = hanging
            hanging = (hanging[1], hanging[0]) if first == second else hanging
        progress.tie(at)
    assert knots == 5
    for at in reversed(range(work.size)):
        progress.untie(at)
    assert progress.hanging == [1, 2]
    assert (hanging == (LEFT, RIGHT)) == (first != second)


def test_lesson_one_takes_each_half_hitch_out_before_the_next() -> None:
    made = False
    shown_how = False
    for step in told(0):
        words = f"{step.do}. {step.hint or ''}".lower()
        takes_out = step.do.startswith(("Take it out", "Undo"))
        if takes_out:
            assert made, step.do
            if not shown_how:
                assert "push it down" in words
                assert "loop opens" in words
        if "draw the end back" in words and "unwrap" in words:
            shown_how = True
        if step.draw is not None and step.draw.phase == "over" and not takes_out:
            # Nothing is tied when a string is laid over, so both still hang as at first.
            assert not made, step.do
        if step.draw is not None and drawn_strings(step, 0) is not None:
            assert drawn_strings(step, 0) == (LEFT, RIGHT)
        made = (made and not takes_out) or step.do.startswith(("Pull", "Make it")) or "remake it" in step.do
        if "draw the end back" in words and not takes_out:
            made = False
    assert shown_how


def test_names_are_given_once() -> None:
    words = [f"{step.do}. {step.hint or ''}" for number in range(7) for step in told(number)]
    for named in ("is the loop", "bar by HOLD", "tag: two letters"):
        assert sum(named in each for each in words) == 1, named
    assert "tag" in words[1], "under the first strings on the screen"
    first = next(at for at, each in enumerate(words) if "is the loop" in each)
    assert not any(re.search(r"\bloop\b", each) for each in words[:first])


@pytest.mark.parametrize("number", range(1, 5))
def test_the_second_half_hitch_says_that_it_comes_back_in_front(number: int) -> None:
    drawing = DRAWINGS[f"{tuple(TRADE)[number - 1]} 2 over"]
    (second,) = (step for step in told(number) if step.draw == drawing)
    assert "in front" in f"{second.do} {second.hint}".lower()
    # In the drawing the string comes out of the first half hitch in front of the passive one.
    assert sketch(drawing).ways[KNOTTING][0].z > 0


WORDS = {"one": 1, "two": 2, "three": 3, "four": 4, "five": 5}


@pytest.mark.parametrize("number", [5, 6])
def test_the_rows_of_a_lesson_are_the_first_rows_of_its_band(number: int) -> None:
    follows = following(LESSONS[number].path)
    assert follows is not None
    band = load(follows.path).design
    work = work_for(band)
    tied: list[tuple[int, str, int]] = []
    row = 0
    for step in told(number):
        row += (step.hint or "").startswith(("Row 1 ", "Row 2 "))
        if found := re.fullmatch(r"(Forward|Backward) with strings (\w+) and (\w+)", step.do):
            left, right = WORDS[found[2]], WORDS[found[3]]
            assert right == left + 1
            tied.append((row, found[1].lower(), left))
    first = [work.step(at) for at in range(work.span(follows.rows).end)]
    assert tied == [
        (knot.row, knot.knot.words, knot.left) for knot in first if isinstance(knot, DiagonalKnot) and knot.knot
    ]
    last = told(number)[-1]
    assert f"goes on from row {follows.rows + 1} when opened from here" in (last.hint or "")


def test_a_knot_of_a_step_is_read_and_a_wrong_one_refused() -> None:
    design, problems = parse(piece("ties: fb"))
    assert (design is not None, problems) == (True, [])
    for wrong in ("g", "forward", "''", ""):
        design, problems = parse(piece(f"ties: {wrong}"))
        assert design is None
        (problem,) = problems
        assert problem.line == 8
        assert "`ties` must be a knot" in problem.message


@pytest.mark.parametrize("times", [1, 2, 3])
def test_drawings_follow_the_strings_through_repeats(times: int) -> None:
    text = (
        "benchmate: 1\ntitle: T\nfamily: steps\ncolours: {a: '#e8a33d', b: '#8fd0e6'}\nstrings: [a, b]\n"
        f"steps:\n  - {{do: Tie, ties: f, times: {times}, draw: f hold}}\n  - {{do: Look, draw: f done}}\nrepeats: 3\n"
    )
    design, problems = parse(text)
    assert (design is not None, problems) == (True, [])
    assert design is not None
    whole = whole_piece(design, None, None)
    progress = Progress(whole, by_rows(whole))
    before: list[int] = []
    while progress.next is not None:
        step = whole.step(progress.next)
        assert isinstance(step, WrittenStep)
        drawn = design.family.step_view.drawn(design, step)
        assert drawn is not None
        hung = before if step.do == "Look" else list(progress.hanging)
        assert [drawn.left, drawn.right] == [design.value_of(string) for string in hung]
        if step.do == "Tie":
            before = list(progress.hanging)
        progress.tie(progress.next)
