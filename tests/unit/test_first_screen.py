"""What the first screen shows of the line under the cursor: its facts, its colours and its band, in every size."""

import time
from pathlib import Path

import pytest

from benchmate import piece_opening as openings
from benchmate.bench.screens.first_screen.preview_lines import about, preview_lines
from benchmate.choosing.preview import MOST_ROWS, Preview, Wanted, preview_of
from benchmate.choosing.shelves import Entry, Group, found
from benchmate.craft.colours.terminal_colours import TRUE_COLOUR, ColourDepth
from benchmate.craft.effort import HOW_HARD, how_hard
from benchmate.craft.pace import Pace
from benchmate.craft.thread.estimate import Estimate
from benchmate.design_files.load import load
from benchmate.design_files.shelf import shipped
from benchmate.display.cells import DEFAULT_COLOUR, width_of
from benchmate.display.palette import DARK, LIGHT
from benchmate.families.steps.family import STEPS
from benchmate.files.top_level import top_level
from benchmate.makers_pace import pace_with
from benchmate.piece_length import Lengths
from benchmate.piece_opening import NO_OPTIONS, Kept, WorkingOptions
from benchmate.settings import DEFAULTS
from tests.screen.benches import CHEVRON, PICTURE, ROPE, WRITTEN, begun, spans, text_of, written_to

GREY = ColourDepth(greys=True)
SIZES = [(38, 9), (40, 21), (60, 33), (96, 33), (136, 57), (1, 1), (5, 3)]


def shelf_entry(folder: Path, text: str) -> Entry:
    """The line of a design."""
    file = load(str(written_to(folder, text)))
    return Entry(file.design.title, None, file, file.design.effort.number)


def of_design(folder: Path, text: str, pace: Pace | None = None) -> tuple[Entry, Preview]:
    """A design's line and its preview."""
    entry = shelf_entry(folder, text)
    return entry, preview_of(Wanted(entry, None, pace, TRUE_COLOUR, Estimate(), DEFAULTS))


def facts(preview: Preview) -> dict[str, str]:
    """The facts by their labels."""
    return dict(preview.facts)


def test_a_band_has_its_size_strings_and_difficulty(tmp_path: Path) -> None:
    text = CHEVRON + "notes: Soft and quick.\nfinish: braided-tie\n"
    entry, preview = of_design(tmp_path, text, Pace(20.0, 19.0, 21.0))
    # By hand: 12 rows of 1.3 mm and half a knot, six strings of 1.225 mm; 30 knots of 20 seconds.
    assert facts(preview) == {
        "": "6 strings, 12 rows, 30 knots",
        "size": "about 2 cm long, 7 mm wide",
        "time": "about 10 min at your pace",
        "evenings": "1 of 40 min",
        "thread": "2.0 m, up to 3 skeins of 8 m",
        "how hard": how_hard(load("tidewater-chevron").design.effort.number),
        "finish": "Braided tie",
    }
    assert preview.notes == "Soft and quick."
    assert [colour.say for colour in preview.colours] == ["plum", "straw", "mossy green"]
    words = text_of(preview_lines(entry, preview, 60, 24, DARK, TRUE_COLOUR))
    for text in ("Heather on the moor", "mossy green", "Soft and quick.", "about 10 min", "Braided tie", "▀"):
        assert text in words


def test_a_braid_says_what_it_needs_and_a_written_piece_has_nothing_drawn(tmp_path: Path) -> None:
    _, braid = of_design(tmp_path, ROPE)
    assert facts(braid)["needs"] == "a disk with 32 slots"
    assert "size" not in facts(braid)
    assert facts(braid)["time"] == "known after ten such moves"
    _, written = of_design(tmp_path, WRITTEN)
    assert written.layout is None
    assert facts(written) == {"": "4 steps"}


@pytest.mark.parametrize("text", [CHEVRON, PICTURE, ROPE, WRITTEN])
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("depth", [TRUE_COLOUR, ColourDepth(16), GREY])
def test_it_fills_its_place_exactly(tmp_path: Path, text: str, size: tuple[int, int], depth: ColourDepth) -> None:
    entry, preview = of_design(tmp_path, text)
    for palette in DARK, LIGHT:
        for made in None, preview:
            lines = preview_lines(entry, made, *size, palette, depth)
            assert [width_of(line) for line in lines] == [size[0]] * size[1]
            # The board knows no colours of the terminal's own.
            assert DEFAULT_COLOUR not in {colour for span in spans(lines) for colour in (span.ink, span.ground)}
    words = about(entry, preview, size[0], 3, DARK)
    assert len(words) <= 3
    assert {width_of(line) for line in words} == {size[0]}


@pytest.mark.parametrize("text", [CHEVRON, PICTURE, ROPE])
@pytest.mark.parametrize("size", [(40, 21), (96, 33), (136, 57)])
def test_the_band_is_drawn_where_there_is_room(tmp_path: Path, text: str, size: tuple[int, int]) -> None:
    entry, preview = of_design(tmp_path, text)
    lines = preview_lines(entry, preview, *size, DARK, TRUE_COLOUR)
    drawn = {colour for span in spans(lines) if "▀" in span.text for colour in (span.ink, span.ground)}
    assert {value for colour in preview.colours for value in colour.values} <= drawn
    # Where there are too few colours, signs tell them apart.
    assert preview.layout is not None
    shared = {name: colour._replace(pattern=1) for name, colour in preview.layout.colours.items()}
    few = preview._replace(layout=preview.layout._replace(colours=shared))
    signs = preview_lines(entry, few, *size, DARK, ColourDepth(16))
    assert not any("▀" in span.text and {span.ink, span.ground} & drawn - {DARK.panel} for span in spans(signs[-4:]))


def test_a_colour_like_the_ground_has_an_edge(tmp_path: Path) -> None:
    text = CHEVRON.replace("#5d1a4a", DARK.panel).replace("#e8d48b", LIGHT.panel)
    entry, preview = of_design(tmp_path, text)
    assert "▏▕ plum  ██ straw" in text_of(preview_lines(entry, preview, 60, 20, DARK, TRUE_COLOUR))
    assert "██ plum  ▏▕ straw" in text_of(preview_lines(entry, preview, 60, 20, LIGHT, TRUE_COLOUR))


def test_a_large_design_is_drawn_no_further_than_can_be_seen(tmp_path: Path) -> None:
    rows = "\n".join(("  - f f f f", "  - f f f")[at % 2] for at in range(4000))
    text = CHEVRON.partition("rows:")[0].replace("moss, plum]", "moss, plum, plum, moss]")
    _, preview = of_design(tmp_path, f"{text}rows:\n{rows}\nrepeats: 2\n")
    assert preview.layout is not None
    assert preview.layout.rows <= MOST_ROWS
    assert facts(preview)[""] == "8 strings, 8000 rows, 28000 knots"
    # The whole length, not the drawn one.
    assert facts(preview)["size"].startswith("about 1040 cm")


def test_a_piece_that_ends_within_a_repeat_is_drawn_to_its_last_row(kept: Kept, tmp_path: Path) -> None:
    held = openings.begin(kept, load(str(written_to(tmp_path, CHEVRON))), NO_OPTIONS, None).held
    held.hold()
    held.finish_step()
    lengths = Lengths(held)
    held.change_design(*lengths.changed(lengths.length(rows=7)))
    (piece,) = kept.pieces.all()
    preview = preview_of(
        Wanted(Entry(piece.title, piece), kept.pieces.copies_of(1)[-1][1], None, TRUE_COLOUR, Estimate(), DEFAULTS)
    )
    assert preview.layout is not None
    assert preview.layout.rows == 7
    assert facts(preview)[""].startswith("6 strings, 7 rows, ")


def test_a_piece_shows_its_own_design_and_what_is_left(kept: Kept, tmp_path: Path) -> None:
    file = written_to(tmp_path, CHEVRON)
    held = openings.begin(kept, load(str(file)), WorkingOptions(mirrored=True), None).held
    held.hold()
    for _ in range(6):
        held.finish_step()
    held.let_go()
    file.write_text(CHEVRON.replace("repeats: 3", "repeats: 90"), encoding="utf-8")
    (piece,) = kept.pieces.all()
    copy = kept.pieces.copies_of(1)[-1][1]
    preview = preview_of(
        Wanted(Entry(piece.title, piece), copy, Pace(60.0, 60.0, 60.0), TRUE_COLOUR, Estimate(), DEFAULTS)
    )
    assert facts(preview)[""] == "6 strings, 12 rows, 30 knots"
    assert facts(preview)["time"] == "about 24 min left"
    assert preview.layout is not None
    assert preview.layout.first == held.whole.main.design.strings
    broken = copy._replace(design="rows: [")
    assert facts(preview_of(Wanted(Entry(piece.title, piece), broken, None, TRUE_COLOUR, Estimate(), DEFAULTS))) == {
        "design": "it cannot be read"
    }


def test_each_word_for_how_hard_fits_many_designs_that_ship() -> None:
    designs = [design for design in (load(file).design for file in shipped()) if design.family is not STEPS]
    words = [how_hard(design.effort.number) for design in designs]
    assert all(words.count(word) >= len(words) // 5 for word in HOW_HARD)
    assert how_hard(load("garden-path-stripe").design.effort.number) == "easy"
    assert how_hard(load("two-ropes").design.effort.number) == "steady"
    assert how_hard(load("moth-at-the-window").design.effort.number) == "demanding"


@pytest.mark.parametrize(
    ("typed", "titles"),
    [
        ("tide", ["Tidewater chevron"]),
        ("WATER", ["Tidewater chevron"]),
        ("waterchev", []),
        ("tidewaterch", ["Tidewater chevron"]),
        ("eta", ["Étable"]),
        ("dusk", ["Street at dusk"]),
        ("", ["Tidewater chevron", "Étable", "Street at dusk"]),
    ],
)
def test_titles_are_found_in_words_and_over_words(typed: str, titles: list[str]) -> None:
    groups = [Group("A", [Entry("Tidewater chevron"), Entry("Étable")]), Group("B", [Entry("Street at dusk")])]
    assert [entry.title for group in found(groups, typed) for entry in group.entries] == titles


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("family: braid\nrows: [", "braid"),
        ('{benchmate: 1, "family": "alpha"}', "alpha"),
        ("notes: family\nfamily: steps", "steps"),
        ("strings: {family: x}\nfamily: diagonal", "diagonal"),
        ("? family\n: diagonal", "diagonal"),
        ("a: &a family\nfamily: *a\nx: y", None),
        ("family: [diagonal]", None),
        ("[family, diagonal]", None),
        ("- family\n- diagonal", None),
        ("rows: [\nfamily: x", None),
        ("family", None),
        ("", None),
        ("a: {b: c}\nfamily: alpha", "alpha"),
    ],
)
def test_a_value_at_the_top_level(text: str, value: str | None) -> None:
    assert top_level(text, "family") == value


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    """The clock of the store, in seconds of an hour; it goes on by the first number at every press."""
    step = [10.0]
    now = [0.0]

    def moment() -> str:
        now[0] += step[0]
        at = 1_790_000_000 + now[0]
        return time.strftime("%Y-%m-%dT%H:%M:%S.", time.gmtime(at)) + f"{int(at * 1000) % 1000:03}Z"

    monkeypatch.setattr("benchmate.store.pieces.utc_now", moment)
    monkeypatch.setattr("benchmate.store.saved_piece.utc_now", moment)
    return step


def test_the_pace_comes_from_all_pieces_of_a_family_and_from_their_knots_alone(
    kept: Kept, tmp_path: Path, clock: list[float]
) -> None:
    written_to(tmp_path, WRITTEN, "loop.yaml")
    first = written_to(tmp_path, CHEVRON + "start: loop\n", "first.yaml")
    clock[0] = 100.0
    opening = begun(kept, first, done=4)
    clock[0] = 10.0
    for number in opening.held.order.sequence[4:11]:
        opening.held.tie([number])
    opening.held.let_go()
    assert pace_with(kept.pieces, kept.pieces.all(), "diagonal") is None
    second = begun(kept, written_to(tmp_path, CHEVRON.replace("Heather", "Ling"), "second.yaml"), done=6)
    second.held.let_go()
    clock[0] = 50.0
    begun(kept, written_to(tmp_path, ROPE, "rope.yaml"), done=15).held.let_go()
    pace = pace_with(kept.pieces, kept.pieces.all(), "diagonal")
    assert pace is not None
    assert pace.seconds == pytest.approx(10.0)
    moves = pace_with(kept.pieces, kept.pieces.all(), "braid")
    assert moves is not None
    assert moves.seconds == pytest.approx(50.0)
    # A copied piece has no presses of its own yet.
    before = pace_with(kept.pieces, kept.pieces.all()[1:], "diagonal")
    number = kept.pieces.copy(2, "Ling again")
    assert pace_with(kept.pieces, [kept.pieces.get(number)], "diagonal") is None
    assert pace_with(kept.pieces, kept.pieces.all(), "diagonal") == before
