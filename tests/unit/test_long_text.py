"""A text of any length takes no longer than one that fills the screen: only what can be seen is measured."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from benchmate.bench.screens.page import Item, page
from benchmate.bench.step.view import view_of
from benchmate.bench.zones.compose import compose
from benchmate.display import cells, large_type, letterforms
from benchmate.display.cells import Span, centred, clipped, cut, fits, fitted, line, wrap
from benchmate.display.palette import DARK
from benchmate.piece_opening import Kept, OpenedPiece
from tests.screen.benches import FOUR_KNOTS, begun, text_of, written_to

SIZES = [(40, 12), (80, 24), (200, 60), (300, 100)]
LONG = 40_000
TEXTS = {
    "words": "fold the string over a pin ",
    "one word": "x",
    "parts of a word": "fold-",
    "letters": "a ",
    "wide words": "梅の花 ",
    "one wide word": "梅",
    "accents": "pliée ",
    "spaces": " ",
    "marks": "\u0301",
}


def long(kind: str, times: int = 1) -> str:
    """A long text of one kind that begins with a letter."""
    unit = TEXTS[kind]
    return "e" + unit * (times * LONG // len(unit)) + "e"


class Tally:
    """How much has been measured: the characters of texts in cells, and letters in large type."""

    count = 0


@contextmanager
def measuring() -> Iterator[Tally]:
    tally = Tally()
    in_cells, in_letters = cells.cells_of, letterforms.letter_width

    def cells_of(text: str) -> int:
        tally.count += len(text)
        return in_cells(text)

    def letter_width(letter: str, w: int, v: int) -> int:
        tally.count += 1
        return in_letters(letter, w, v)

    for cached in (large_type._fit, large_type.draw):
        cached.cache_clear()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(cells, "cells_of", cells_of)
        patch.setattr(large_type, "letter_width", letter_width)
        yield tally


def measured(make: Callable[[str], object], text: str) -> int:
    """How much is measured to make something of a text."""
    with measuring() as tally:
        make(text)
    return tally.count


MADE: dict[str, Callable[[str], object]] = {
    "fits": lambda text: fits(text, 80),
    "fitted": lambda text: fitted(text, 80),
    "cut": lambda text: cut(text, 80),
    "centred": lambda text: centred(text, 80),
    "line": lambda text: line([Span("> "), Span(text), Span(" <")], 80, "#000000"),
    "wrap": lambda text: wrap(text, 80, 24),
    "clipped": lambda text: clipped(text, 80, 24),
    "large type": lambda text: large_type.draw(text, 300, 100),
    "page": lambda text: page(text, [text, text], [Item(text), Item(text, "a", True)], "q", 80, 24, DARK),
}


@pytest.mark.parametrize("kind", TEXTS)
@pytest.mark.parametrize("what", MADE)
def test_only_what_can_be_seen_is_measured(what: str, kind: str) -> None:
    make = MADE[what]
    assert make(long(kind)) == make(long(kind, 8))
    assert measured(make, long(kind, 8)) == measured(make, long(kind))


@pytest.fixture
def four(kept: Kept, tmp_path: Path) -> OpenedPiece:
    """A piece with each of the four knots, begun with none."""
    return begun(kept, written_to(tmp_path, FOUR_KNOTS))


@pytest.mark.parametrize(
    ("kind", "size"),
    # A large screen full of marks would show all of the shorter text.
    [(kind, size) for kind in TEXTS for size in SIZES if kind != "marks" or size[0] <= 80],
)
def test_the_bench_measures_only_what_can_be_seen(kind: str, size: tuple[int, int], four: OpenedPiece) -> None:
    def bench(text: str) -> str:
        view = view_of(four.held)._replace(title=text, word=text, note=text, notice=text, left=None, right=None)
        coming = tuple(step._replace(words=text, brief=text, short=text) for step in view.coming)
        return text_of(compose(view._replace(coming=coming, before=text), *size, DARK))

    bench(long(kind, 4))  # What stands beside the text is made once, and kept.
    assert measured(bench, long(kind, 8)) == measured(bench, long(kind))


@pytest.mark.parametrize("text", ["fold the pin " * 38, "x" * 500, "a-" * 250, "a " * 250])
@pytest.mark.parametrize("size", SIZES)
def test_the_longest_line_allowed_is_fitted_without_measuring_it_at_every_size(
    text: str, size: tuple[int, int]
) -> None:
    sizes_tried = 2 * size[1]
    assert measured(lambda text: large_type.draw(text, *size), text) <= 30 * sizes_tried


def test_a_text_is_cut_the_same_wherever_its_rest_lies() -> None:
    assert cut("over " * LONG, 12) == "over over.."
    assert cut("梅" * LONG, 7) == "梅梅.."
    assert wrap("over " * LONG, 9, 2) == ["over over"] * 3
    assert clipped("over " * LONG, 9, 2) == ["over over", "over ov.."]
    assert clipped("over" + " " * LONG + "under", 9, 2) == ["over", "under"]
    assert fitted("e" + "\u0301" * 3 + "x", 1) == "e" + "\u0301" * 3


def test_an_item_leaves_room_for_the_others() -> None:
    text = text_of(page("LIST", [], [Item("over " * LONG), Item("under", "b", True)], "q", 40, 12, DARK))
    assert "b  under" in text
    assert ".." in text


def test_a_long_list_is_laid_out_only_around_the_chosen_line() -> None:
    listed = [Item("over " * 20, chosen=at == 4_000) for at in range(5_000)]

    def laid_out(count: int) -> int:
        return measured(lambda _: page("LIST", ["Which?"], listed[-count:], "q", 40, 12, DARK), "")

    assert laid_out(5_000) == laid_out(1_500)
