"""The step screen in cells: everything in sight at every size, legible, and distinct by shape as well as colour."""

import re
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchmate.bench.step.view import view_of
from benchmate.bench.zones.compose import compose
from benchmate.bench.zones.room import room_for
from benchmate.bench.zones.view_values import Beat, Run, String, View
from benchmate.craft.colours.colour import contrast, is_like, luminance
from benchmate.craft.colours.terminal_colours import TRUE_COLOUR, ColourDepth, nearest
from benchmate.craft.knots import Knot
from benchmate.craft.shown_step import ComingStep, Side
from benchmate.design_files.shelf import shipped
from benchmate.display.cells import Line, Span, width_of
from benchmate.display.palette import DARK, LIGHT, Palette, on_screen
from benchmate.families.registry import zone_of
from benchmate.piece_opening import Kept, OpenedPiece
from tests.charts import seeded
from tests.screen.benches import (
    CHEVRON,
    FOUR_KNOTS,
    PICTURE,
    ROPE,
    WRITTEN,
    Large,
    begun,
    composed,
    legible,
    spans,
    text_of,
    written_to,
)
from tests.unit.test_cells import texts

SIZES = [(40, 12), (80, 24), (120, 36), (200, 60)]
WIDTHS = (40, 41, 47, 50, 56, 63, 64, 71, 80, 85, 97, 110, 132, 200, 300)
HEIGHTS = (12, 13, 15, 16, 18, 20, 24, 27, 31, 32, 40, 48, 60, 100)


def heights_at(width: int) -> Sequence[int]:
    """A quarter of the heights; neighbouring widths have others."""
    return HEIGHTS[WIDTHS.index(width) % 4 :: 4]


WINDOWS = [(width, height) for width in WIDTHS for height in heights_at(width)]


PALETTES = [DARK, LIGHT]
LEFT = "about 1 h 30 min left"
KEYS = "? keys  u wrong  q leave"
ISO_CELLS = 9.6 / 8.1
"""Cells of 8.1 mm in 22 minutes of arc at 1.5 m, 9.6 mm. Published: 20-22 minutes are the better height of characters
(ISO 9241-3 as quoted). Derived: the height from the angle, and the cells of 24 lines on a 15.6-inch screen."""

EDGES = set(" ▏▕▔▁")
"""The signs of an edge around a colour that is like the ground, and the space."""

colours = st.builds("#{:06x}".format, st.integers(1, 0xFFFFFE))
"""Any but black and white, so that an ink is never taken for a thread."""


@st.composite
def views(draw: st.DrawFn) -> View:
    """A view of any moment of any piece, with any text that a file may contain."""
    mode = draw(st.sampled_from(["tie", "undo", "done", "look", "written", "written undo"]))
    count = draw(st.sampled_from([0, 1, 2, 3, 6, 9, 12, 13, 25, 99, 100, 130, 500]))
    own = draw(st.lists(colours, min_size=1, max_size=8))
    tags = draw(st.lists(st.sampled_from(["fo", "x", "01", "梅花", "é", "[b"]), min_size=1, max_size=4))
    strings = tuple(String(own[at % len(own)], tags[at % len(tags)]) for at in range(count))
    left = right = None
    word, note = draw(texts), draw(texts)
    if count > 1 and mode in ("tie", "undo", "look"):
        knot = draw(st.sampled_from(list(Knot)))
        word = {"tie": knot.words, "undo": f"undo {knot.words}", "look": "read-only"}[mode]
        at = draw(st.integers(1, count - 1))
        ends = (at + 1, at) if knot.swaps else (at, at + 1)
        left = Side(at, draw(colours), draw(texts), knot.from_left, ends[0])
        right = Side(at + 1, draw(colours), draw(texts), not knot.from_left, ends[1])
    coming = st.builds(ComingStep, texts, texts, texts, st.tuples(colours, colours) | st.just(()))
    run = None
    if left is not None and draw(st.booleans()):
        of = draw(st.integers(1, 40))
        following = draw(texts)
        hangs = draw(st.integers(1, count)) if following else 0
        run = Run(draw(st.integers(1, of)), of, draw(texts), draw(colours) if following else "", following, hangs)
    return View(
        title=draw(texts),
        done=draw(st.integers(0, 200_000)),
        of=draw(st.integers(0, 200_000)),
        mode=mode.split()[-1].replace("written", "tie"),
        number=draw(st.none() | st.integers(0, 199_999)),
        n=draw(st.integers(0, 200_000)),
        numbered=draw(st.sampled_from(["", "knot 9", "band knot 199999, step 200000"])),
        word=word,
        note=note,
        field=draw(colours),
        left=left,
        right=right,
        strings=strings,
        coming=tuple(draw(st.lists(coming, max_size=3))),
        where=draw(st.sampled_from(["", "row 3 of 120", "row 99999 of 99999", "start: step 1 of 9"])),
        share=draw(st.integers(0, 100)),
        time_left=draw(st.sampled_from(["", "under a minute left", "about 10 h 55 min to 11 h 55 min left"])),
        out=draw(st.integers(1, 200_000)) if mode.endswith("undo") else 0,
        this_press=draw(st.sampled_from([(), ("f 1/2",), ("fb 499/500",) * 250])),
        run=run,
        notice=draw(st.just("") | texts),
        rest=draw(st.booleans()),
        quiet=draw(st.sampled_from(["", "Rest your hands for 5 to 10 minutes.", "In this row, lay in a foam. " * 4])),
        beat=draw(st.none() | st.builds(Beat, st.floats(0, 6), st.just(6.0), st.just(("space pauses", "b back", "p")))),
        before=draw(st.just("") | texts),
        told=draw(st.just("") | st.just("") | texts),
    )


@seeded
@given(views(), st.integers(1, 320), st.integers(1, 110), st.sampled_from(PALETTES))
def test_the_bench_is_exactly_as_large_as_the_screen(view: View, width: int, height: int, palette: Palette) -> None:
    lines = compose(view, width, height, palette)
    assert len(lines) == height
    assert {width_of(line) for line in lines} == {width}


@pytest.mark.parametrize("width", [1, 2, 3, 7, 12, 20, 30, 39])
def test_a_tiny_screen_works(four: OpenedPiece, width: int) -> None:
    view = view_of(four.held)
    for height in (*range(1, 12), 13, 20, 40):
        lines = compose(view, width, height, DARK)
        assert [width_of(line) for line in lines] == [width] * height


def test_the_band_stands_beside_at_any_height(chevron: OpenedPiece) -> None:
    held = chevron.held
    zone = zone_of(held.whole.main.design.family)
    assert zone is not None
    for height in range(1, 30):
        wide = zone.width_beside(held.whole.main, 120, height - 1)
        picture = zone.draw(held.whole.main, held.progress, 0, wide, height - 1, DARK)
        lines = compose(view_of(held), 120, height, DARK, picture)
        assert [width_of(line) for line in lines] == [120] * height


# What is in sight


@pytest.fixture
def chevron(kept: Kept, tmp_path: Path) -> OpenedPiece:
    """A piece with five of its thirty knots tied; the sixth is a forward knot."""
    return begun(kept, written_to(tmp_path, CHEVRON), done=5)


@pytest.fixture
def four(kept: Kept, tmp_path: Path) -> OpenedPiece:
    """A piece with each of the four knots, begun with none."""
    return begun(kept, written_to(tmp_path, FOUR_KNOTS))


def shown(view: View, width: int, height: int) -> tuple[str, list[Large]]:
    """The plain text of the screen, and its texts in large type."""
    lines, large = composed(view, width, height, DARK)
    return text_of(lines), large


def everything(view: View, width: int, height: int) -> str:
    """All text on the screen, plain or large."""
    text, large = shown(view, width, height)
    return "\n".join([text, *(each.text for each in large)])


def test_everything_is_in_sight_at_once(chevron: OpenedPiece) -> None:
    view = view_of(chevron.held)._replace(time_left=LEFT)
    assert (view.word, view.n, view.where, view.share) == ("forward", 6, "row 3 of 12", 16)
    assert view.left is not None
    assert view.right is not None
    assert len(view.coming) == 3
    for width, height in WINDOWS:
        _, large = composed(view, width, height, DARK)
        plain = "\n".join(legible(view, width, height, DARK))
        assert "forward" in [each.text for each in large]
        title = next(line for line in plain.split("\n") if "Heather on the moor" in line)
        assert re.search(r"\b5/30\b", title)
        for side in (view.left, view.right):
            assert re.search(rf"\b{side.position}\b", plain)
            assert side.say in plain
        assert re.search(r"\brow 3 of 12\b|\br3/12\b", plain)
        # A low window has the count in its title alone.
        assert re.search(r"\b16%", plain) or height < 16
        # Where the next steps leave no room for the time, it is left out, never worded another way.
        assert LEFT in plain or height < 16
        for coming in view.coming:
            assert coming.words in plain or coming.brief in plain or coming.short in plain
        for tag in {string.tag for string in view.strings}:
            assert re.search(rf"\b{tag}\b", plain)
        for position in range(1, 7):
            assert re.search(rf"\b{position}\b", plain)
        assert "knot 6" in plain or height < 16


def two_halves(view: View, width: int, height: int) -> tuple[str, str]:
    """The text of the zone of the pair: the half of the left string and the half of the right string."""
    room = room_for(height)
    rows = legible(view, width, height, DARK)[1 + room.word : 1 + room.word + room.pair]
    half = (width - 1) // 2
    return "\n".join(row[:half] for row in rows), "\n".join(row[half + 1 :] for row in rows)


MAKES, PASSIVE = r"\bmakes the knot\b|\bmakes it\b|\bknots,", r"\bis knotted over\b|\bunder\b"


@pytest.mark.parametrize("knot", list(Knot))
def test_the_maker_of_the_knot_and_where_both_strings_end(four: OpenedPiece, knot: Knot) -> None:
    for left in (1, 11):
        right = left + 1
        swaps = knot in (Knot.FORWARD, Knot.BACKWARD)
        view = with_pair(view_of(four.held), knot, left)
        for width, height in WINDOWS:
            one, other = two_halves(view, width, height)
            backwards = knot in (Knot.BACKWARD, Knot.BACKWARD_FORWARD)
            maker, passive = (other, one) if backwards else (one, other)
            assert re.search(MAKES, maker)
            assert not re.search(PASSIVE, maker)
            assert re.search(PASSIVE, passive)
            assert not re.search(MAKES, passive)
            # In large type, an arrow points the way each string goes.
            assert re.search(rf"\b(ends at|to) {right}\b|→{right}\b" if swaps else r"\bstays\b(?! at\b(?! 1?1\b))", one)
            assert re.search(rf"\b(ends at|to) {left}\b|\b{left}←" if swaps else r"\bstays\b(?! at\b(?! 1?2\b))", other)


def with_pair(view: View, knot: Knot, left: int) -> View:
    """The view as if `knot` were to be tied on the strings at `left` and beside it."""
    assert view.left is not None
    assert view.right is not None
    swaps, makes = knot in (Knot.FORWARD, Knot.BACKWARD), knot in (Knot.FORWARD, Knot.FORWARD_BACKWARD)
    strings = view.strings if left < len(view.strings) else view.strings * (left // len(view.strings) + 1)
    return view._replace(
        word=knot.words,
        strings=strings,
        left=view.left._replace(position=left, makes=makes, ends=left + swaps),
        right=view.right._replace(position=left + 1, makes=not makes, ends=left + 1 - swaps),
    )


@pytest.mark.parametrize("time", ["", LEFT])
def test_three_steps_ahead_on_a_wide_band_and_a_small_screen(four: OpenedPiece, time: str) -> None:
    ahead = tuple(ComingStep("", "", f"{knot} {at}/{at + 1}", ()) for knot, at in (("bf", 12), ("fb", 14), ("bf", 16)))
    view = view_of(four.held)._replace(coming=ahead, share=99, time_left=time)
    text = text_of(compose(view, 40, 12, DARK, keys=KEYS))
    for step in ahead:
        assert f"{step.short} " in text
    assert "? keys" in text


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("mode", ["done", "written", "undo"])
def test_done_written_and_undo_steps_show_their_texts(
    four: OpenedPiece, tmp_path: Path, mode: str, size: tuple[int, int]
) -> None:
    held = four.held
    if mode == "undo":
        held.tie([0])
        held.tie([1])
        held.tie([2])
        held.mark_wrong(0)
        text = everything(view_of(held), *size)
        assert "undo forward" in text
        assert re.search(r"\b2 to (come out|undo)\b", text)
        assert re.search(r"then undo: the wrong knot, 1 and 2|\? 1/2", text)
    elif mode == "done":
        held.jump(held.whole.size)
        text = everything(view_of(held), *size)
        assert "all done" in text
        assert f"{held.whole.size}/{held.whole.size}" in text
        assert "100%" in text or size[1] < 16
    else:
        view = view_of(held)._replace(left=None, right=None, word="Fold it over a pin", note="Leave a loop")
        text = everything(view, *size)
        assert "Fold it over a pin" in text
        assert "Leave a loop" in text


@pytest.mark.parametrize("size", SIZES)
def test_an_instruction_too_long_for_the_screen_ends_in_dots(four: OpenedPiece, size: tuple[int, int]) -> None:
    long = "pull the loop over the pin and hold it there; " * 200
    view = view_of(four.held)._replace(left=None, right=None, word=long, note=long)
    now = text_of(compose(view, *size, DARK)).split("\n")
    assert sum(line.rstrip(" ▕").endswith("..") for line in now[: size[1] - 3]) == 2


# Shape, not only colour


@pytest.mark.parametrize("knot", [Knot.FORWARD, Knot.BACKWARD])
def test_the_pair_and_its_maker_show_without_colour(four: OpenedPiece, knot: Knot) -> None:
    view = with_pair(view_of(four.held), knot, 1)
    for width, height in WINDOWS:
        maker, passive = (half.split("\n") for half in two_halves(view, width, height))
        if knot is Knot.BACKWARD:
            maker, passive = passive, maker
        if maker[0].startswith("▀"):
            assert set(maker[0]) == {"▀"}
            assert set(passive[0]) <= EDGES
        else:
            assert sum(row.startswith("▌") for row in maker) == 2
            assert not any(row.startswith("▌") for row in passive)
        numbers = zone_of_strings(view, (width, height))[0]
        marked = r"\s*>1<\s+\[2\]\s+3\s+4\s*" if knot is Knot.FORWARD else r"\s*\[1\]\s+>2<\s+3\s+4\s*"
        assert re.fullmatch(marked, numbers)


def zone_of_strings(view: View, size: tuple[int, int]) -> list[str]:
    """The text of the zone of the hanging strings."""
    room = room_for(size[1])
    first = 1 + room.word + room.pair
    return legible(view, *size, DARK)[first : first + room.strings]


@pytest.mark.parametrize("height", [20, 24, 32, 48])
def test_the_pair_hangs_longest_and_its_maker_longer_still(four: OpenedPiece, height: int) -> None:
    rows = zone_of_strings(with_pair(view_of(four.held), Knot.BACKWARD, 1), (80, height))
    columns = [[row[at : at + 9] for row in rows[2:]] for at in (1, 11, 21, 31)]
    lengths = [sum(2 * cell.count("█") + cell.count("▀") for cell in column) / 9 for column in columns]
    passive, maker, third, fourth = lengths
    assert maker > passive > third == fourth > 0


@pytest.mark.parametrize("tag", ["梅花", "é", "x"])
def test_the_strings_stand_in_columns_whatever_their_tags(four: OpenedPiece, tag: str) -> None:
    view = view_of(four.held)
    view = view._replace(strings=tuple(String(string.colour, tag) for string in view.strings) * 3)
    lines = compose(view, 40, 24, DARK)
    top = 1 + room_for(24).word + room_for(24).pair
    edges = [[width_of(line[:at]) for at in range(len(line) + 1)] for line in lines[top : top + 3]]
    assert {*edges[0]} >= {1, 4, 7, 10, 34} - {1}
    assert edges[1][:25] == edges[0][:25]


@pytest.mark.parametrize("count", [2, 13, 99, 100, 130, 500])
@pytest.mark.parametrize("size", [*SIZES, (300, 100), (420, 100)])
def test_the_pair_is_among_the_strings_shown(four: OpenedPiece, count: int, size: tuple[int, int]) -> None:
    strings = tuple(String("#336699", f"{at % 100:02}") for at in range(count))
    for left in {1, 2, count // 2, count - 1} - {0, count}:
        view = with_pair(view_of(four.held)._replace(strings=strings), Knot.FORWARD, left)
        numbers, tags = [row for row in zone_of_strings(view, size) if re.search(r"\d", row)]
        shown = [int(number) for number in re.findall(r"\d+", numbers.split("> of")[0])]
        assert shown == list(range(shown[0], shown[0] + len(shown)))
        assert {left, left + 1} <= {*shown}
        assert len(re.findall(r"\d\d", tags)) == len(shown)
        assert ("> of" in numbers) == (shown[-1] < count)
        assert numbers.startswith("<") == (shown[0] > 1)


# Large type


@pytest.mark.parametrize("knot", list(Knot))
def test_the_knot_can_be_read_from_a_metre_and_a_half(four: OpenedPiece, knot: Knot) -> None:
    tie = with_pair(view_of(four.held), knot, 1)
    undo = tie._replace(word=f"undo {knot.words}", mode="undo", note="2 to undo, this one first", out=2)
    for width, height in WINDOWS:
        for view in (tie, undo):
            _, large = composed(view, width, height, DARK)
            assert next(each.cells for each in large if each.text == view.word) >= ISO_CELLS


@pytest.mark.parametrize(
    ("size", "cells"),
    [
        ((40, 12), {"forward": 2, "backward": 2, "forward-backward": 2, "backward-forward": 2}),
        ((80, 24), {"forward": 5, "backward": 5, "forward-backward": 4, "backward-forward": 4}),
        ((120, 36), {"forward": 10, "backward": 10, "forward-backward": 6, "backward-forward": 6}),
        ((200, 60), {"forward": 16, "backward": 16, "forward-backward": 11, "backward-forward": 11}),
    ],
)
def test_heights_reached(four: OpenedPiece, size: tuple[int, int], cells: dict[str, int]) -> None:
    for knot in Knot:
        _, large = shown(with_pair(view_of(four.held), knot, 1), *size)
        assert next(each.cells for each in large if each.text == knot.words) == cells[knot.words]


@pytest.mark.parametrize("size", SIZES[1:])
def test_positions_are_in_large_type(chevron: OpenedPiece, size: tuple[int, int]) -> None:
    view = view_of(chevron.held)
    assert view.left is not None
    _, large = shown(view, *size)
    heights = {each.text: each.cells for each in large}
    # Where there is room, each string shows where it hangs and where it ends.
    here, beside = str(view.left.position), str(view.left.position + 1)
    both = (here, beside, f"→{beside}", f"{here}←") if size[0] >= 120 else (here, beside)
    assert min(heights[figures] for figures in both) >= ISO_CELLS


# Contrast


def text_spans(lines: Sequence[Line], threads: set[str]) -> list[Span]:
    """The spans of text: all but edges, and swatches, which are blocks in a thread's colour."""
    return [
        span
        for span in spans(lines)
        if not set(span.text) <= EDGES and not (set(span.text) <= set(" █▀") and span.ink in threads)
    ]


def threads_of(view: View) -> set[str]:
    """The colours of all threads in the view."""
    found = {string.colour for string in view.strings} | {colour for step in view.coming for colour in step.colours}
    return found | ({view.run.colour} if view.run else set())


@seeded
@given(views(), st.sampled_from(SIZES), st.sampled_from(PALETTES))
def test_all_text_has_contrast(view: View, size: tuple[int, int], palette: Palette) -> None:
    # WCAG 2.2, success criterion 1.4.3: 4.5 to 1.
    for span in text_spans(compose(view, *size, palette), threads_of(view)):
        assert contrast(span.ink, span.ground) >= 4.5, span


DEPTHS = [ColourDepth(16), ColourDepth(256), ColourDepth(0, True), ColourDepth(256, True), ColourDepth(16, True)]
"""Terminals that cannot or must not show every colour."""


def on_terminal(view: View, depth: ColourDepth) -> View:
    """The view with its threads in the nearest colours that a terminal shows."""
    left, right = (
        None if side is None else side._replace(colour=nearest(side.colour, depth)) for side in (view.left, view.right)
    )
    coming = tuple(step._replace(colours=tuple(nearest(each, depth) for each in step.colours)) for step in view.coming)
    run = view.run and view.run._replace(colour=nearest(view.run.colour, depth) if view.run.colour else "")
    strings = tuple(string._replace(colour=nearest(string.colour, depth)) for string in view.strings)
    field = nearest(view.field, depth)
    return view._replace(field=field, left=left, right=right, coming=coming, run=run, strings=strings)


@pytest.mark.parametrize("depth", DEPTHS)
@settings(seeded, max_examples=50)
@given(views(), st.sampled_from(SIZES), st.sampled_from(PALETTES))
def test_all_text_has_contrast_in_few_colours(
    depth: ColourDepth, view: View, size: tuple[int, int], palette: Palette
) -> None:
    view = on_terminal(view, depth)
    lines = compose(view, *size, on_screen(palette, depth))
    for span in text_spans(lines, threads_of(view)):
        # Nothing is left for the terminal to round.
        assert (nearest(span.ink, depth), nearest(span.ground, depth)) == (span.ink, span.ground)
        assert contrast(span.ink, span.ground) >= 4.5, span


@seeded
@given(views(), st.sampled_from(SIZES), st.sampled_from(PALETTES))
def test_a_thread_like_the_ground_around_it_has_an_edge(view: View, size: tuple[int, int], palette: Palette) -> None:
    lines = compose(view, *size, palette)
    edges = [span for span in spans(lines) if set(span.text) & EDGES - {" "} and set(span.text) <= EDGES]
    # WCAG 2.2, success criterion 1.4.11: 3 to 1 for what is not text.
    assert all(contrast(span.ink, span.ground) >= 3 for span in edges)
    # An instruction shown alone hides the pair.
    sides = [side.colour for side in (view.left, view.right) if side is not None and not view.told]
    for colour in (view.field, *sides):
        # Text that fills its field to the last cell leaves no room for an edge.
        texts = ["".join(span.text for span in line if span.ground == colour) for line in lines]
        room = any(text and (text[0] in " ▏▔▁" or text[-1] in " ▕▔▁") for text in texts)
        assert any(span.ground == colour for span in edges) == (is_like(colour, palette.ground) and room)


@pytest.mark.parametrize("palette", PALETTES)
def test_three_zones_stand_on_grounds_of_their_own(chevron: OpenedPiece, palette: Palette) -> None:
    view = view_of(chevron.held)
    lines = compose(view, 80, 24, palette)
    room = room_for(24)
    zones = [range(1, 1 + room.word), range(1 + room.word + room.pair, 24 - 5), range(24 - 5, 24 - 1)]
    grounds = [most_of([lines[at] for at in zone]) for zone in zones]
    assert grounds[0] == view.field
    assert len({*grounds, palette.head}) == 4
    assert {span.ground for span in lines[-2]} == {palette.panel}


def most_of(lines: Sequence[Line]) -> str:
    """The ground of most cells."""
    cells: Counter[str] = Counter()
    for span in spans(lines):
        cells[span.ground] += len(span.text)
    return cells.most_common(1)[0][0]


def test_markup_signs_are_only_signs(four: OpenedPiece) -> None:
    say = "[b]x[/b]"
    view = view_of(four.held)._replace(title="[@click=app.exit]a[/] [/foo] \\[z]")
    assert view.left is not None
    view = view._replace(left=view.left._replace(say=say))
    text = everything(view, 80, 24)
    assert "[@click=app.exit]a[/] [/foo] \\[z]" in text
    assert say in text


@pytest.mark.parametrize("size", SIZES)
def test_a_notice_stands_out_and_the_step_stays(chevron: OpenedPiece, size: tuple[int, int]) -> None:
    view = view_of(chevron.held, notice="NOT SAVED, NOT COUNTED. The disk is full.")
    lines, large = composed(view, *size, DARK)
    assert "NOT SAVED, NOT COUNTED." in " ".join(legible(view, *size, DARK))
    assert "forward" in [each.text for each in large]
    assert any(span.ground == DARK.alarm for span in spans(lines))


def test_the_screen_says_what_a_press_counts(chevron: OpenedPiece) -> None:
    for size in SIZES:
        text = everything(view_of(chevron.held, press="row")._replace(time_left=LEFT), *size)
        assert re.search(r"press: 3|press=3", text), size
        assert "press" not in everything(view_of(chevron.held), *size)


def test_no_time_left_before_the_pace_is_known(chevron: OpenedPiece) -> None:
    for size in SIZES:
        text = everything(view_of(chevron.held)._replace(time_left=""), *size)
        assert not re.search(r"\bleft\b|\bmin\b", text.replace("left/right", ""))


def test_a_rest_is_advised(chevron: OpenedPiece) -> None:
    view = view_of(chevron.held)._replace(rest=True, quiet="Rest your hands.")
    for size in SIZES:
        assert re.search(r"\brest\b", everything(view, *size).lower()), size


@pytest.mark.parametrize(("palette", "thread"), [(DARK, "#101316"), (LIGHT, "#f7f5ee")])
def test_a_swatch_like_its_ground_has_an_edge(four: OpenedPiece, palette: Palette, thread: str) -> None:
    view = view_of(four.held)
    coming = tuple(step._replace(colours=(thread, thread)) for step in view.coming)
    swatches = [span for span in spans(compose(view._replace(coming=coming), 80, 24, palette)) if span.text == "▏▕"]
    assert len(swatches) == 2 * len(coming)
    assert all(span.ground == thread and contrast(span.ink, thread) >= 4.5 for span in swatches)
    large = spans(compose(view._replace(coming=coming), 200, 60, palette))
    wide = [span for span in large if span.text == "▏  ▕"]
    assert wide
    assert all(span.ground == thread and contrast(span.ink, thread) >= 4.5 for span in wide)
    assert not any(span.text == "████" and span.ink == thread for span in large)


def test_the_outline_of_a_string_stands_out_from_the_string(chevron: OpenedPiece) -> None:
    # On the ground that suits all three best, the second is hard to see, and so would a black outline be on it.
    strings = tuple(String(colour, "ab") for colour in ("#000001", "#006f82", "#00da4c"))
    view = view_of(chevron.held)._replace(strings=strings)
    outlines = [span for span in spans(compose(view, 80, 24, DARK)) if span.text.startswith("▏")]
    assert {span.ground for span in outlines} == {"#006f82"}
    assert min(contrast(span.ink, span.ground) for span in outlines) >= 4.5


@pytest.mark.parametrize("text", [FOUR_KNOTS, PICTURE, ROPE, WRITTEN, "lesson-2-forward"])
@pytest.mark.parametrize("depth", [TRUE_COLOUR, ColourDepth(16), ColourDepth(0, True)])
def test_light_mode_is_light_in_every_zone(kept: Kept, tmp_path: Path, text: str, depth: ColourDepth) -> None:
    lesson = next((Path(file) for file in shipped() if text in file), None)
    held = begun(kept, lesson or written_to(tmp_path, text), done=3).held
    main = held.whole.on_screen(depth).main
    zone = zone_of(main.design.family)
    palette = on_screen(LIGHT, depth)
    threads = {colour.value for colour in main.design.colours.values()}
    for notice in ("", "NOT SAVED, NOT COUNTED. The disk is full."):
        view = view_of(held, notice=notice, depth=depth)
        picture = zone.draw(main, held.progress, view.number, 36, 35, palette) if zone else None
        cells: Counter[str] = Counter()
        for span in spans(compose(view, 120, 36, palette, picture)):
            cells[span.ground] += len(span.text)
        # Marks are dark on purpose, and small.
        grounds = {ground for ground, count in cells.items() if count > 30} - threads
        assert grounds
        assert all(luminance(ground) > 0.3 for ground in grounds), grounds
