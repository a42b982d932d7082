"""The colours of the strings as they hang: a letter for each colour, few keys, and what is typed on a line."""

import pytest

from benchmate.piece_questions.trouble.hanging_colours import (
    CannotRead,
    HangingColours,
    LetteredColour,
    in_words,
    letters_of,
    read_colours,
    read_hanging,
    typed_as,
)

LETTERS = {"deep": "d", "foam": "f", "dune": "u"}
COLOURS = [
    LetteredColour("d", "deep", "deep", "#0b3c5d"),
    LetteredColour("f", "foam", "off white", "#f4f1de"),
    LetteredColour("u", "dune", "dune", "#e5d3b3"),
]
BELIEVED = ["deep", "foam", "foam", "deep"]


def test_a_letter_of_the_label_is_the_first_that_is_free() -> None:
    said = {"a": "deep", "b": "dune", "c": "deep sea", "d": "d", "e": "no 7", "f": "été", "g": "漆"}
    assert letters_of(said) == {"a": "d", "b": "u", "c": "e", "d": "a", "e": "n", "f": "é", "g": "b"}


def test_any_number_of_colours_has_letters_of_their_own() -> None:
    letters = letters_of({f"c{number}": "red" for number in range(500)})
    assert len(set(letters.values())) == 500
    assert all(len(letter) == 1 and letter == letter.casefold() for letter in letters.values())


def test_a_letter_a_string() -> None:
    hanging = HangingColours(BELIEVED, LETTERS)
    assert hanging.as_believed
    assert all(hanging.type(letter) for letter in "dFuf")
    assert hanging.colours == ["deep", "foam", "dune", "foam"]
    assert hanging.corrected == [2, 3]
    assert not hanging.type("d"), "there is no fifth string"
    assert not hanging.type("x")
    hanging.back()
    assert hanging.colours == ["deep", "foam", "dune", "deep"]
    assert hanging.at == 3
    hanging.back()
    assert hanging.as_believed
    assert hanging.at == 2


def test_the_cursor_walks_around() -> None:
    hanging = HangingColours(BELIEVED, LETTERS)
    places = []
    for by in (-1, -1, 1, 1, 1):
        hanging.walk(by)
        places.append(hanging.at)
    assert places == [3, 2, 3, 0, 1]
    hanging.move(9)
    assert hanging.at == 4, "past the last string, as after typing all"
    hanging.walk(-1)
    assert hanging.at == 3
    hanging.move(9)
    hanging.walk(1)
    assert hanging.at == 0


def test_one_string_is_corrected() -> None:
    hanging = HangingColours(BELIEVED, LETTERS)
    hanging.move(2)
    hanging.type("d")
    assert hanging.colours == ["deep", "foam", "deep", "deep"]
    hanging.move(-9)
    assert hanging.at == 0
    hanging.back()
    hanging.pick(1)
    hanging.pick(1)
    assert hanging.colours[0] == "dune"
    hanging.pick(1)
    assert hanging.colours[0] == "deep"
    hanging.move(9)
    hanging.pick(1)
    assert hanging.colours == ["deep", "foam", "deep", "deep"], "no string is at the cursor"
    hanging.restore()
    assert hanging.as_believed


@pytest.mark.parametrize(
    "typed",
    ["dffd", "d f f d", "D, F, F, D", "deep foam foam deep", "d 2f d", "d 2foam deep", "3=f", "1=deep 2=f"],
)
def test_what_is_typed_on_a_line(typed: str) -> None:
    assert read_hanging(typed, BELIEVED, COLOURS) == BELIEVED


def test_corrections_on_a_line() -> None:
    assert read_hanging("3=d, 2=dune", BELIEVED, COLOURS) == ["deep", "dune", "deep", "deep"]


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("dff", "There are 4 strings; you typed 3."),
        ("", "There are 4 strings; you typed 0."),
        ("dffx", "No colour is called dffx. d deep, f off white, u dune"),
        ("x", "No colour is called x. d deep, f off white, u dune"),
        ("d 3 f d", "No colour is called 3. d deep, f off white, u dune"),
        ("5=d", "5=d is no string and its colour: 3=d is the third string."),
        ("0=d", "0=d is no string and its colour: 3=d is the third string."),
        ("1=dd", "1=dd is no string and its colour: 3=d is the third string."),
        ("1=", "1= is no string and its colour: 3=d is the third string."),
        ("²=d", "²=d is no string and its colour: 3=d is the third string."),
    ],
)
def test_what_cannot_be_read(typed: str, why: str) -> None:
    with pytest.raises(CannotRead) as raised:
        read_hanging(typed, BELIEVED, COLOURS)
    assert str(raised.value) == why


def test_colours_in_words_and_as_typed() -> None:
    assert in_words(["deep", "deep", "foam", "dune"], COLOURS) == "2 deep, off white, dune"
    assert typed_as(BELIEVED, COLOURS) == "dffd"
    assert read_colours(typed_as(BELIEVED, COLOURS), COLOURS) == BELIEVED


def test_a_number_goes_to_its_string() -> None:
    hanging = HangingColours(["deep"] * 12, LETTERS)
    places = []
    for digit in "1112305":
        assert hanging.go_to(digit) is (digit != "0")
        places.append(hanging.at)
    # 1, 11, 1 again, as there is no string 111; 12, 3; there is no string 30; 5.
    assert places == [0, 10, 0, 11, 2, 2, 4]
    hanging.go_to("1")
    hanging.type("f")
    hanging.go_to("2")
    assert hanging.at == 1, "a letter ends the number"
    assert not hanging.go_to("x")


def test_no_letter_of_a_colour_is_a_digit() -> None:
    letters = letters_of({f"c{number}": "red" for number in range(60)})
    assert not any(letter.isdigit() for letter in letters.values())
