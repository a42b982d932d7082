"""The alphabet for knotted bands, and texts charted with it."""

from collections.abc import Iterable, Sequence
from itertools import product
from unicodedata import normalize

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from benchmate.craft.colours.colour import contrast
from benchmate.craft.colours.colour_difference import difference
from benchmate.craft.thread.gauge import Gauge
from benchmate.files.safe_text import hidden_in
from benchmate.letters import rows5, rows7, rows9
from benchmate.letters.alphabet import COMPOSED, HEIGHTS, SHARED, face
from benchmate.letters.band import (
    GROUND_THREAD,
    INK_THREAD,
    Thread,
    Threads,
    border_beside,
    design_text,
    with_border,
    with_length,
)
from benchmate.letters.glyphs import Glyph, read_blocks
from benchmate.letters.setting import (
    CannotSet,
    MissingCharacter,
    NotInAlphabet,
    measures,
    set_text,
)
from tests.charts import seeded

CAPITALS, SMALL, DIGITS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ", "abcdefghijklmnopqrstuvwxyz", "0123456789"
SIGNS = ".,:;!?'\"-\u2013\u2014()&+=/*#@%€°·•…\u2019\u2018“”«»¿¡_♥★"
LATIN = "".join(map(chr, range(0xC0, 0x100)))
GREEK = "".join(chr(point) for point in range(0x391, 0x3AA) if point != 0x3A2)
CYRILLIC = "".join(map(chr, range(0x410, 0x430))) + "ЁІЇЄҐ"
PROMISED = f" {CAPITALS}{SMALL}{DIGITS}{SIGNS}{LATIN}{GREEK}{CYRILLIC}"
PLAIN_CAPITALS = CAPITALS + GREEK + "".join(each for each in CYRILLIC if each not in "ЁЙЇ")

SOURCES = {5: rows5, 7: rows7, 9: rows9}
Ink = frozenset[tuple[int, int]]
"""Knots by row and column; row 0 is the top of a plain capital."""

ALIKE = [
    *["O0", "OQ", "Il", "I1", "I|", "l1", "l|", "1|", "1!", "i!", "i¡", "S5", "B8", "Z2", "G6", "CG", "UV", "DO", "MN"],
    *["ao", "ad", "ce", "hn", "uv", "ft", "ij", "gq", "gy", "\u2019,", "\u2019'", "-\u2013", "\u2013—", ".·", ":;"],
    *["Aa", "Kk", "Ss", "Zz", "\u04173", "\u04178", "Э3", "Э\u0417", "ЄE", "ЄC", "\u042c6", "\u042cb", "\u042cБ"],
    *["Б6", "Б5", "ДA", "ЛП", "\u0423Ч", "\u0423Y", "Ч4", "ИN", "ШЩ", "ΛA", "ΔA", "ΘO", "ΞE", "ΣE", "ΠH"],
]
"""Pairs of characters that look alike."""

each_height = pytest.mark.parametrize("rows", HEIGHTS)
heights = st.sampled_from(HEIGHTS)
alphabet = sorted(face(5).glyphs)
texts = st.text(st.sampled_from(alphabet), min_size=1, max_size=12).filter(
    lambda text: text.strip(" ") and normalize("NFC", text) == text
)


def ink_of(glyph: Glyph) -> Ink:
    return ink(glyph.lines, -glyph.above)


def ink(lines: Sequence[str], first: int = 0) -> Ink:
    return frozenset((row, at) for row, line in enumerate(lines, first) for at, knot in enumerate(line) if knot == "#")


def shifted(knots: Ink, columns: int) -> Ink:
    return frozenset((row, at + columns) for row, at in knots)


def least_difference(one: Ink, other: Ink) -> int:
    """The number of knots that differ between two drawings, shifted along the line to the best match."""
    return min(len(one ^ shifted(other, by)) for by in range(-12, 13))


def parts(knots: Ink) -> int:
    """The number of pieces that do not touch, not even at a corner."""
    left, count = set(knots), 0
    while left:
        count += 1
        edge = {left.pop()}
        while edge:
            row, at = edge.pop()
            near = {(row + down, at + along) for down, along in product((-1, 0, 1), repeat=2)} & left
            left -= near
            edge |= near
    return count


def upright(chart: Iterable[str]) -> list[str]:
    """A chart turned anticlockwise, so its text reads as on paper."""
    return ["".join(column) for column in zip(*chart, strict=True)][::-1]


def side_by_side(text: str, rows: int) -> Ink:
    """The letters one after another, with the gap between them."""
    used, at, knots = face(rows), 0, set[tuple[int, int]]()
    for character in text:
        knots |= shifted(ink_of(used.glyphs[character]), at)
        at += used.glyphs[character].width + used.gap
    return frozenset(knots)


@each_height
def test_the_alphabet_is_complete(rows: int) -> None:
    assert len(GREEK) == 24
    assert len(CYRILLIC) == 37
    assert set(PROMISED) <= set(face(rows).glyphs)
    assert set(map(chr, range(0x20, 0x7F))) <= set(face(rows).glyphs)
    assert sorted(face(rows).glyphs) == alphabet


@each_height
def test_drawings_are_well_formed(rows: int) -> None:
    source = SOURCES[rows]
    for block in f"{source.DRAWINGS}{source.ACCENTS}".strip("\n").split("\n\n"):
        names, *lines = block.split("\n")
        starts = [at for at, sign in enumerate(names) if sign != " " and (not at or names[at - 1] == " ")]
        for line in lines:
            assert [at for at, sign in enumerate(line) if sign != " " and (not at or line[at - 1] == " ")] == starts
    drawings = read_blocks(source.DRAWINGS)
    assert len({name for name, _ in drawings}) == len(drawings)
    for name, drawn in drawings + read_blocks(source.ACCENTS):
        assert len({len(line) for line in drawn}) == 1, name
        assert set("".join(drawn)) <= {".", "#"}, name


@each_height
def test_every_drawing_is_unique(rows: int) -> None:
    own = {character: glyph for character, glyph in face(rows).glyphs.items() if character not in SHARED}
    assert len({ink_of(glyph) for glyph in own.values()}) == len(own)


@each_height
def test_only_greek_and_cyrillic_capitals_share_a_drawing(rows: int) -> None:
    glyphs = face(rows).glyphs
    assert set(SHARED) <= set(GREEK + CYRILLIC)
    assert set(SHARED.values()) <= {*CAPITALS, *GREEK, "Ë", "Ï"} - set(SHARED)
    for character, drawn in SHARED.items():
        assert glyphs[character] is glyphs[drawn]


@each_height
def test_every_letter_has_ink_at_its_edges(rows: int) -> None:
    for character, glyph in face(rows).glyphs.items():
        assert len({len(line) for line in glyph.lines}) == 1
        assert len(glyph.lines) == glyph.above + rows + glyph.below
        knots = ink_of(glyph)
        if character == " ":
            assert not knots
            assert glyph.width >= 2
        else:
            assert len(knots) >= 2, character
            assert {0, glyph.width - 1} <= {at for _, at in knots}, character
            assert not glyph.above or "#" in glyph.lines[0], character
            assert not glyph.below or "#" in glyph.lines[-1], character


@each_height
def test_plain_capitals_and_digits_are_exactly_full_height(rows: int) -> None:
    for character in PLAIN_CAPITALS + DIGITS:
        glyph = face(rows).glyphs[character]
        assert (glyph.above, glyph.below) == (0, 0), character
        assert "#" in glyph.lines[0], character
        assert "#" in glyph.lines[-1], character
    for character in SMALL:
        glyph = face(rows).glyphs[character]
        assert (glyph.above, glyph.below > 0) == (0, character in "gjpqy"), character


@each_height
@pytest.mark.parametrize("alike", ALIKE)
def test_look_alikes_differ(rows: int, alike: str) -> None:
    one, other = (ink_of(face(rows).glyphs[character]) for character in alike)
    assert least_difference(one, other) >= 2


@each_height
def test_two_letters_do_not_look_like_one(rows: int) -> None:
    for pair, letter in (
        ("rn", "m"),
        ("vv", "w"),
        ("VV", "W"),
        ("cl", "d"),
        ("ol", "d"),
        ("lo", "b"),
        ("\u042cI", "Ы"),
    ):
        assert least_difference(side_by_side(pair, rows), ink_of(face(rows).glyphs[letter])) >= 2, pair


@each_height
@pytest.mark.parametrize("character", COMPOSED)
def test_an_accent_never_touches_its_letter_and_a_hook_always_does(rows: int, character: str) -> None:
    glyphs = face(rows).glyphs
    letter, mark = normalize("NFD", character)[0], normalize("NFD", character)[1]
    knots, bare = ink_of(glyphs[character]), ink_of(glyphs["\u0131" if letter == "i" and mark < "\u0320" else letter])
    if mark in "\u0327\u0328":
        assert bare < knots
        assert parts(knots) == parts(bare)
        return
    top = min(row for row, _ in bare)
    lower = frozenset((row, at) for row, at in knots if row >= top)
    upper = knots - lower
    assert lower in {shifted(bare, by) for by in range(4)}
    assert upper
    assert max(row for row, _ in upper) == top - 2


@each_height
def test_no_two_neighbours_touch(rows: int) -> None:
    # Only the last column of one letter and the first of the next could touch: try all different pairs of those.
    glyphs = face(rows).glyphs
    last = {side(glyph, glyph.width - 1): character for character, glyph in glyphs.items() if character != " "}
    first = {side(glyph, 0): character for character, glyph in glyphs.items()}
    for one, other in product(last.values(), first.values()):
        knots = ink(upright(set_text(one + other, rows, edge=0, ends=0).chart))
        before = {(row, at) for row, at in knots if at < glyphs[one].width}
        around = {(row + down, at + 1) for row, at in before for down in (-1, 0, 1)}
        assert not around & (knots - before), one + other


def side(glyph: Glyph, column: int) -> frozenset[int]:
    return frozenset(row for row, at in ink_of(glyph) if at == column)


def test_a_text_runs_down_the_chart_with_tops_to_the_right() -> None:
    setting = set_text("FL", 5)
    assert setting.chart == (
        *(".......", "......."),
        *(".#####.", "...#.#.", "...#.#.", ".....#."),
        ".......",
        *(".#####.", ".#.....", ".#....."),
        *(".......", "......."),
    )
    assert (setting.wide, setting.long) == (7, 12)


def test_an_upside_down_text_reads_from_the_end_with_tops_to_the_left() -> None:
    setting = set_text("FL", 5, upside_down=True, edge=0, ends=0)
    assert setting.chart == ("....#", "....#", "#####", ".....", "#....", "#.#..", "#.#..", "#####")


@given(texts, heights, st.integers(0, 3), st.integers(0, 3), st.booleans())
@seeded
def test_a_chart_turned_anticlockwise_shows_the_text(
    text: str, rows: int, edge: int, ends: int, upside_down: bool
) -> None:
    setting = set_text(text, rows, upside_down=upside_down, edge=edge, ends=ends)
    chart = [row[::-1] for row in reversed(setting.chart)] if upside_down else setting.chart
    assert shifted(ink(upright(chart), -edge - setting.above), -ends) == side_by_side(text, rows)
    assert {len(row) for row in chart} == {setting.above + rows + setting.below + 2 * edge}
    used = face(rows)
    assert setting.long == 2 * ends + sum(used.glyphs[each].width + used.gap for each in text) - used.gap


@given(texts, heights)
@seeded
def test_accents_and_tails_add_only_the_rows_they_need(text: str, rows: int) -> None:
    setting = set_text(text, rows, edge=0)
    glyphs = [face(rows).glyphs[character] for character in text]
    assert setting.above == max(glyph.above for glyph in glyphs)
    assert setting.below == max(glyph.below for glyph in glyphs)
    assert (f"{setting.above} more for accents" in setting.words) == (setting.above > 0)
    assert (f"{setting.below} more for tails" in setting.words) == (setting.below > 0)


@given(texts, heights)
@seeded
def test_upside_down_is_a_half_turn(text: str, rows: int) -> None:
    there, back = set_text(text, rows), set_text(text, rows, upside_down=True)
    assert back.chart == tuple(row[::-1] for row in there.chart[::-1])
    assert (there.upside_down, back.upside_down) == (False, True)
    assert there.words != back.words


def test_a_letter_and_its_accent_may_be_separate_characters() -> None:
    assert set_text("e\u0301", 7) == set_text("\u00e9", 7)


def test_every_missing_character_is_named_with_its_places() -> None:
    with pytest.raises(NotInAlphabet) as caught:
        set_text("a\U0001f600b\u044f\U0001f600\u0302", 7)
    assert caught.value.missing == (
        MissingCharacter("\U0001f600", (2, 5)),
        MissingCharacter("\u044f", (4,)),
        MissingCharacter("\u0302", (6,)),
    )
    assert str(caught.value) == (
        "the alphabet has no `\U0001f600` (U+1F600, places 2 and 5), `\u044f` (U+044F, place 4) and U+0302 (place 6); "
        "use the capital for `\u044f`"
    )


def test_a_long_list_of_missing_characters_is_shortened_in_the_message() -> None:
    text = "".join(map(chr, range(0x4E00, 0x4E40))) * 5
    with pytest.raises(NotInAlphabet) as caught:
        set_text(text, 5)
    assert len(caught.value.missing) == 64
    assert caught.value.missing[0].places == (1, 65, 129, 193, 257)
    assert "(U+4E00, places 1, 65, 129 and 2 more)" in str(caught.value)
    assert str(caught.value).endswith(" and 54 more")


@given(st.text(max_size=8), heights)
@seeded
def test_any_text_is_set_or_refused_with_a_message_safe_to_show(text: str, rows: int) -> None:
    composed = normalize("NFC", text)
    if set(composed) <= set(alphabet) and composed.strip(" "):
        assert "#" in "".join(set_text(text, rows).chart)
        return
    with pytest.raises(CannotSet) as caught:
        set_text(text, rows)
    assert not hidden_in(str(caught.value))
    if isinstance(caught.value, NotInAlphabet):
        missing = dict.fromkeys(each for each in composed if each not in alphabet)
        assert [character for character, _ in caught.value.missing] == list(missing)
        for character, places in caught.value.missing:
            assert f"U+{ord(character):04X}" in str(caught.value)
            assert [*places] == [place for place, each in enumerate(composed, 1) if each == character]


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "the text is empty"),
        ("   ", "the text is only spaces"),
        ("a\nb\x1b", "the text has control or other hidden characters: U+000A at place 2 and U+001B at place 4"),
        ("\u202eA", "the text has control or other hidden characters: U+202E at place 1"),
        ("\udc80", "the text has control or other hidden characters: U+DC80 at place 1"),
    ],
)
def test_a_refused_text_says_why(text: str, why: str) -> None:
    with pytest.raises(CannotSet) as caught:
        set_text(text, 7)
    assert str(caught.value) == why


def test_limits() -> None:
    long = "|" * 50_000
    with pytest.raises(
        CannotSet, match=r"^the text would take 1100033 knots, in 100003 rows of 11; the limit is 200000$"
    ):
        set_text(long, 7)
    assert set_text("|" * 9089, 7).long * 11 == 199_991
    with pytest.raises(CannotSet, match=r"^the text would take 200013 knots"):
        set_text("|" * 9090, 7)
    assert set_text("A", 9, edge=245).wide == 499
    with pytest.raises(CannotSet, match=r"^the band would be 501 knots wide; the limit is 500$"):
        set_text("A", 9, edge=246)
    with pytest.raises(CannotSet, match=r"^letters can be 5, 7 or 9 rows tall, not 6"):
        set_text("A", 6)
    for edge, ends in ((-1, 0), (0, -1)):
        with pytest.raises(CannotSet, match=r"^a margin must be a whole number from 0"):
            set_text("A", 5, edge=edge, ends=ends)


def test_measures_in_knots_and_centimetres() -> None:
    """The default gauge: a knot 2.45 mm wide, a row 1.9 mm high (derived from the thread, an estimate)."""
    setting = set_text("AXI", 5)
    assert (setting.wide, setting.long) == (7, 19)
    found = measures(setting)
    assert (found.gauge.wide_mm, found.gauge.base_mm, found.gauge.seen) == (2.45, 1.9, 0)
    assert found.width_mm == pytest.approx(17.15)
    assert found.length_mm == pytest.approx(36.1)
    estimate = "estimated for six-strand floss; measure a swatch for your own"
    assert found.words == f"7 knots wide (1.7 cm), 19 rows long (3.6 cm), {estimate}"
    assert (
        measures(setting, Gauge(wide_mm=2.0, base_mm=2.0, seen=5)).words
        == "7 knots wide (1.4 cm), 19 rows long (3.8 cm)"
    )
    assert measures(set_text("|", 5, ends=0)).words.startswith("8 knots wide (2 cm), 1 row long (0.2 cm), ")


@given(texts, heights, st.booleans())
@seeded
def test_the_design_has_the_chart_and_two_colours(text: str, rows: int, upside_down: bool) -> None:
    setting = set_text(text, rows, upside_down=upside_down)
    design = yaml.safe_load(design_text(setting))
    assert design == {
        "benchmate": 1,
        "title": " ".join(text.split()),
        "family": "alpha",
        "colours": {"ground": GROUND_THREAD.value, "ink": INK_THREAD.value},
        "base": "ground",
        "key": {".": "ground", "#": "ink"},
        "chart": "".join(f"{row}\n" for row in setting.chart),
        "notes": setting.words,
    }


def test_the_default_colours_can_be_told_apart() -> None:
    """At least the contrast required for text (WCAG 2.2, success criterion 1.4.3)."""
    assert contrast(GROUND_THREAD.value, INK_THREAD.value) >= 4.5


@pytest.mark.parametrize("text", ["2024", "no", "It's: 'so'", "- a", "#1", "& * !", '\\"', "{a: 1}", " A  B "])
def test_a_title_is_exactly_the_text(text: str) -> None:
    assert yaml.safe_load(design_text(set_text(text, 5)))["title"] == " ".join(text.split())


def test_a_long_title_is_cut() -> None:
    assert yaml.safe_load(design_text(set_text("word " * 20, 5)))["title"] == "word " * 11 + "word…"


@given(texts, heights, st.integers(1, 600), st.booleans())
@seeded
def test_a_band_of_a_length_has_the_text_in_its_middle(text: str, rows: int, more: int, border: bool) -> None:
    setting = set_text(text, rows)
    least = setting.long + 2 * border
    length = round(least * 1.9) + more
    band = with_length(setting, length, 1.9, border=border)
    long = band.long + 2 * border
    assert abs(long * 1.9 - length) <= 0.95 + 1e-9
    above = (band.long - setting.long) // 2
    assert band.chart[above : above + setting.long] == setting.chart
    plain = band.chart[:above] + band.chart[above + setting.long :]
    assert set(plain) <= {"." * setting.wide}
    assert 0 <= len(plain) - 2 * above <= 1


def test_of_two_lengths_equally_near_it_is_the_longer() -> None:
    setting = set_text("A", 5)
    assert with_length(setting, 95, 2.0, border=False).long == 48
    assert with_length(setting, 2 * setting.long, 2.0, border=False) == setting
    with pytest.raises(CannotSet, match=r"^the text takes 11 rows, 22 mm, more than the 18 mm of --length$"):
        with_length(setting, 18, 2.0, border=True)
    with pytest.raises(
        CannotSet, match=r"^a band of 900000 mm would take more than 200000 knots; the limit is 200000$"
    ):
        with_length(setting, 900_000, 1.9, border=False)


def test_a_border_is_a_frame_of_one_knot() -> None:
    setting = with_border(set_text("I", 5, edge=0, ends=0))
    assert setting.chart == ("+++++++", "+#...#+", "+#####+", "+#...#+", "+++++++")
    with pytest.raises(CannotSet, match=r"^with a border, the band would be 501 knots wide and \d+ rows long"):
        with_border(set_text("A", 9, edge=245))


def test_the_threads_of_a_band() -> None:
    threads = Threads(Thread("deep", "#0b3c5d"), Thread("foam", "#f4f1de"), Thread("rust", "#b5523b"))
    written = yaml.safe_load(design_text(with_border(set_text("A", 5)), threads, start="a-loop", finish="a-tie"))
    assert written["colours"] == {"foam": "#f4f1de", "deep": "#0b3c5d", "rust": "#b5523b"}
    assert (written["base"], written["key"]) == ("foam", {".": "foam", "#": "deep", "+": "rust"})
    assert (written["start"], written["finish"]) == ("a-loop", "a-tie")


@given(st.tuples(*[st.integers(0, 255)] * 6))
@seeded
def test_a_border_that_is_chosen_differs_from_letters_and_ground(levels: tuple[int, ...]) -> None:
    one, other = ("#" + bytes(part).hex() for part in (levels[:3], levels[3:]))
    border = border_beside(Thread("moss", one), Thread("teal", other))
    assert border.name not in ("moss", "teal")
    assert min(difference(border.value, one), difference(border.value, other)) > 15
