"""The thread nearest to a colour, and how far off it is in words."""

import re

import pytest

from benchmate.craft.colours.colour_difference import difference
from benchmate.craft.design import Design
from benchmate.craft.thread.box_thread import BoxThread
from benchmate.craft.thread.matching import DEGREES, FURTHER, how_far, in_threads, matches, shown_in
from benchmate.design_files.load import load
from tests.running import ROOT


def thread(number: int, colour: str, kind: str = "floss") -> BoxThread:
    return BoxThread(number, f"thread {number}", colour, kind, 8000.0, True)


NAVY, TEAL, FOAM = thread(3, "#0b3c5e"), thread(1, "#008080"), thread(2, "#f4f1de")


@pytest.fixture
def chevron() -> Design:
    return load(str(ROOT / "designs" / "tidewater-chevron.yaml")).design


@pytest.mark.parametrize(
    ("off", "words"),
    [
        (0.0, "no difference to see"),
        (1.0, "no difference to see"),
        (1.01, "hardly any difference"),
        (2.3, "hardly any difference"),
        (2.31, "close"),
        (5.0, "close"),
        (5.01, "near, but another shade"),
        (10.0, "near, but another shade"),
        (10.01, "another colour"),
        (100.0, "another colour"),
    ],
)
def test_how_far_off_in_words(off: float, words: str) -> None:
    assert how_far(off) == words
    assert words in (*(each for _, each in DEGREES), FURTHER)


def test_the_help_page_says_the_same() -> None:
    text = (ROOT / "benchmate" / "help" / "pages" / "box.txt").read_text(encoding="utf-8")
    for most, words in DEGREES:
        assert re.search(rf"^  {words} +up to {most:g}(;|$)", text, re.MULTILINE)
    assert re.search(rf"^  {FURTHER} +more$", text, re.MULTILINE)


def test_the_nearest_comes_first() -> None:
    found = matches("#0b3c5d", [TEAL, FOAM, NAVY])
    assert [match.thread.number for match in found] == [3, 1, 2]
    assert [match.difference for match in found] == [difference("#0b3c5d", each.colour) for each in (NAVY, TEAL, FOAM)]
    assert [match.words for match in found] == ["no difference to see", "another colour", "another colour"]
    assert matches("#0b3c5d", []) == []


def test_of_equal_colours_the_kind_wanted_comes_first_then_the_lower_number() -> None:
    threads = [thread(1, "#008080", "wool"), thread(2, "#008080"), thread(3, "#008080")]
    assert [match.thread.number for match in matches("#008080", threads, "floss")] == [2, 3, 1]
    assert [match.thread.number for match in matches("#008080", threads)] == [1, 2, 3]


def test_a_design_is_shown_in_the_threads_there_are(chevron: Design) -> None:
    chosen = in_threads(chevron, [TEAL, FOAM, NAVY])
    assert {each.colour.name: each.match.thread.number for each in chosen if each.match} == {
        name: min((TEAL, FOAM, NAVY), key=lambda each: difference(chevron.colours[name].value, each.colour)).number
        for name in chevron.colours
    }
    shown = shown_in(chevron, chosen)
    assert shown.colours["deep"].value == NAVY.colour
    assert shown.colours["deep"].say == chevron.colours["deep"].say
    assert shown._replace(colours=chevron.colours) == chevron


def test_a_variegated_thread_is_shown_as_it_is(chevron: Design) -> None:
    from benchmate.craft.colours.colour import ColourLength

    deep = chevron.colours["deep"]._replace(sequence=(ColourLength("#000080", 20.0, "navy"),) * 2)
    design = chevron._replace(colours={**chevron.colours, "deep": deep})
    chosen = in_threads(design, [NAVY])
    assert [each.match is None for each in chosen if each.colour.name == "deep"] == [True]
    assert shown_in(design, chosen).colours["deep"] == deep
