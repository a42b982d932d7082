"""The ears of the tests: they understand what is said as prompts are worded, and refuse all else."""

import ast
from collections.abc import Callable
from pathlib import Path

import pytest

from tests import ear
from tests.ear.braid import Disk, Moved
from tests.ear.diagonal import Band, Made
from tests.ear.phrases import LARKS_HEAD, NotUnderstood, position
from tests.ear.picture import Picture, PictureKnot
from tests.ear.steps import Instructions

GRAMMAR = sorted(Path(ear.__file__).parent.glob("*.py"))


@pytest.mark.parametrize("file", GRAMMAR, ids=lambda file: file.name)
def test_ears_share_no_code_with_what_speaks(file: Path) -> None:
    names = {"tests.ear"}
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0
            names.add(node.module or "")
    ours = {name for name in names if name.split(".")[0] in ("benchmate", "tests")}
    assert all(name.startswith("tests.ear") for name in ours)
    assert not {name.split(".")[0] for name in names} & {"importlib", "runpy", "subprocess", "sys"}


def test_positions_are_counted_from_the_nearer_edge() -> None:
    assert [position(phrase, 6) for phrase in ("first from the left", "third from the left", "second from right")] == [
        1,
        3,
        5,
    ]
    assert position("the middle one", 7) == position("middle one", 7) == 4
    assert position("22nd from the right", 50) == 29
    assert position("foam", 6) is None
    for phrase, count in (
        ("fourth from the left", 6),
        ("fourth from the left", 7),
        ("the middle one", 6),
        ("2nd from the left", 6),
        ("zeroth from the left", 6),
    ):
        with pytest.raises(NotUnderstood):
            position(phrase, count)


def band() -> Band:
    """Six strings: deep, foam, foam, rust, foam, deep."""
    return Band(["deep", "foam", "foam", "rust", "foam", "deep"])


@pytest.mark.parametrize(
    ("words", "left", "kind"),
    [
        ("row 1 of 30, deep, first from the left, for 3 knots, forward over foam", 1, "f"),
        ("row 1, deep, first from the right, backward", 5, "b"),
        ("second from right, backward-forward", 4, "bf"),
        ("start done, now the band, rust, third from the right, forward-backward over foam", 4, "fb"),
        ("start done, second from left, backward", 1, "b"),
    ],
)
def test_one_knot_of_a_band(words: str, left: int, kind: str) -> None:
    assert [(made.left, made.kind) for made in band().hears(words)] == [(left, kind)]


def test_a_run_of_a_band_knot_by_knot() -> None:
    maker = band()
    for words, left in (
        ("first from left, forward", 1),
        ("2", 2),
        ("3", 3),
        ("last", 4),
        ("row done, second from left, backward", 1),
    ):
        (made,) = maker.hears(words)
        assert made.left == left
        maker.ties(made)
    assert maker.hanging == [3, 2, 4, 5, 1, 6]
    assert maker.leads == ["row done"]


def test_several_knots_of_a_band() -> None:
    def pairs(words: str) -> list[tuple[int, str]]:
        return [(made.left, made.kind) for made in band().hears(words)]

    assert pairs("deep, first from the left, 3 forward, then forward-backward") == [
        (1, "f"),
        (2, "f"),
        (3, "f"),
        (4, "fb"),
    ]
    assert pairs("deep, first from the left, pairs to the right, 2 forward, then backward") == [
        (1, "f"),
        (3, "f"),
        (5, "b"),
    ]
    assert pairs("first from right, pairs to the left, backward, then forward, then second from left, forward") == [
        (5, "b"),
        (3, "f"),
        (2, "f"),
    ]
    assert pairs("deep, first from the left, forward, then deep, first from the right, backward") == [
        (1, "f"),
        (5, "b"),
    ]


@pytest.mark.parametrize(
    "words",
    [
        "foam, first from the left, forward",
        "deep, first from the left, forward over rust",
        "deep, first from the left, sideways",
        "deep, forward",
        "forward",
        "3",
        "last",
        "deep, fourth from the left, forward",
        "deep, first from the left, backward",
        "deep, first from the left, forward, twice",
        "deep, first from the left, 1 forward",
        "deep, first from the left, 6 forward",
        "deep, first from the left, forward, last",
        "deep, first from the left, forward backward",
        "deep, first from the left",
        "",
    ],
)
def test_what_is_wrong_for_a_band_is_not_understood(words: str) -> None:
    with pytest.raises(NotUnderstood):
        band().hears(words)


def test_a_string_that_was_put_down_is_not_in_hand() -> None:
    maker = band()
    for words in ("deep, first from the left, forward", "forward, last"):
        maker.ties(*maker.hears(words))
    with pytest.raises(NotUnderstood):
        maker.hears("forward")


def test_a_count_that_is_another_one_is_not_understood() -> None:
    maker = band()
    maker.ties(*maker.hears("deep, first from the left, for 3 knots, forward over foam"))
    with pytest.raises(NotUnderstood):
        maker.hears("3")
    with pytest.raises(NotUnderstood):
        maker.hears("forward, last")


def test_names_with_the_larks_head() -> None:
    maker = Band(["deep", "foam"], LARKS_HEAD)
    assert [made.kind for made in maker.hears("first from left, lark's head forward")] == ["fb"]
    with pytest.raises(NotUnderstood):
        maker.hears("first from left, forward-backward")


def test_undoing_in_a_band() -> None:
    maker = band()
    maker.ties(*maker.hears("deep, first from the left, forward"))
    assert maker.undoes("undo forward, deep over foam, deep back, first from the left") == ""
    assert maker.hanging == [1, 2, 3, 4, 5, 6]
    maker.ties(*maker.hears("deep, first from the left, forward"))
    assert maker.undoes("undo forward, then rust, third from the right, backward") == (
        "rust, third from the right, backward"
    )
    maker.ties(*maker.hears("deep, first from the left, forward"))
    with pytest.raises(NotUnderstood):
        maker.undoes("undo backward")


def test_taking_out_of_a_band() -> None:
    maker = band()
    for words in (
        "deep, first from the left, forward",
        "deep, first from the right, backward",
        "second from left, forward",
    ):
        maker.ties(*maker.hears(words))
    assert maker.takes_out("take out forward, deep over foam, third from the left, 1 more to take out") == (
        Made(2, "f", 1, 3),
        1,
    )
    assert maker.takes_out("take out forward, second from left, last") == (Made(1, "f", 1, 2), 0)
    with pytest.raises(NotUnderstood):
        maker.takes_out("take out forward, first from left, last")


def picture() -> Picture:
    """Five columns; deep, foam and rust lie ready."""
    return Picture(5, ["deep", "foam", "rust"])


FIRST_ROW = [
    "4 leading strings in all, up to 2 hanging at once; 8 ends to hide, begin a new deep, leave a 9 cm tail, forward",
    "begin a new foam, leave a 9 cm tail, 2 forward",
    "bring deep across the back, first from the left, 2 knots away, forward",
    "cut, begin rust, forward",
]


def after_the_first_row() -> Picture:
    """Deep made knots 1 and 4 and is cut, foam hangs behind 3, rust behind 5."""
    maker = picture()
    for words in FIRST_ROW:
        for knot in maker.hears(words):
            maker.ties(knot)
    return maker


def test_the_first_row_of_a_picture() -> None:
    maker = after_the_first_row()
    assert maker.made == [PictureKnot(1, at, "f", string) for at, string in enumerate((1, 2, 2, 1, 3), 1)]
    assert {string: colour for string, (colour, _) in maker.hanging.items()} == {2: "foam", 3: "rust"}
    assert maker.strings_in_all == 4


@pytest.mark.parametrize(
    ("words", "string"),
    [
        ("row done, turn, rust, 2 backward", 3),
        ("turn, 2", 3),
        ("turn, cut rust, begin a new deep, backward", 4),
        ("turn, begin another rust, leave a 9 cm tail, backward", 4),
        ("turn, bring foam, 5 backward", 2),
        ("turn, bring foam across the back, the middle one, 2 knots away, backward", 2),
        ("row 2, turn, rust, 2 backward", 3),
        ("turn, bring foam middle, 2", 2),
        ("turn, begin rust, 2", 4),
    ],
)
def test_the_second_row_of_a_picture(words: str, string: int) -> None:
    knots = after_the_first_row().hears(words)
    assert knots[0] == PictureKnot(2, 5, "b", string)


def test_a_row_of_a_picture_at_once() -> None:
    knots = after_the_first_row().hears(
        "turn, 2 backward, then pick up foam, the middle one, 2 backward, then bring rust, backward"
    )
    assert [(knot.column, knot.string) for knot in knots] == [(5, 3), (4, 3), (3, 2), (2, 2), (1, 3)]


@pytest.mark.parametrize(
    "words",
    [
        "rust, 2 backward",
        "turn, bring deep, 2 backward",
        "turn, bring foam across, second from the left, 2 backward",
        "turn, bring foam across the back, the middle one, 3 knots away, backward",
        "turn, pick up foam, 2 backward",
        "turn, begin a new foam, backward",
        "turn, bring earlier foam across, 2 backward",
        "turn, bring foam second from left, 2",
        "turn, begin another deep, backward",
        "turn, cut foam, begin deep, backward",
        "turn, cut rust, 2 backward",
        "turn, 2 forward",
        "turn, 6 backward",
        "turn, cut rust, bring rust, backward",
        "turn, deep, backward",
        "backward",
        "2",
        "last",
        "turn",
        "",
    ],
)
def test_what_is_wrong_for_a_picture_is_not_understood(words: str) -> None:
    with pytest.raises(NotUnderstood):
        after_the_first_row().hears(words)


def test_a_stretch_of_a_picture_knot_by_knot() -> None:
    maker = after_the_first_row()
    maker.ties(maker.hears("turn, 3 backward")[0])
    maker.ties(*maker.hears("2"))
    with pytest.raises(NotUnderstood):
        maker.hears("2")
    maker.ties(*maker.hears("backward, last"))
    with pytest.raises(NotUnderstood):
        maker.hears("backward")
    # Foam waits right of column 3, in row 1.
    maker.ties(*maker.hears("bring foam, 2 backward")[:1])


def test_undoing_in_a_picture() -> None:
    maker = after_the_first_row()
    maker.ties(maker.hears("turn, 3 backward")[0])
    assert maker.undoes("undo backward, rust, first from the right") == ""
    maker.ties(PictureKnot(2, 5, "b", 3))
    maker.ties(*maker.hears("2"))
    assert maker.undoes("undo 2, back to backward, rust, first from the right", 2) == ""
    with pytest.raises(NotUnderstood):
        maker.undoes("undo forward, foam, first from the right")


def test_taking_out_of_a_picture() -> None:
    maker = after_the_first_row()
    assert maker.takes_out("take out forward, rust, first from the right, 1 more") == (PictureKnot(1, 5, "f", 3), 1)
    assert maker.takes_out("take out forward, second from right, last") == (PictureKnot(1, 4, "f", 1), 0)
    assert maker.hears("all out, bring deep across the back, first from the left, 2 knots away, forward")
    with pytest.raises(NotUnderstood):
        maker.takes_out("take out forward, second from right, last")
    maker = after_the_first_row()
    assert maker.takes_out("take out the wrong knot, first from the right, last") == (PictureKnot(1, 5, "f", 3), 0)
    assert maker.takes_out("take out second from right, last") == (PictureKnot(1, 4, "f", 1), 0)


def test_a_braid() -> None:
    disk = Disk({1: "deep", 2: "foam", 5: "rust"})
    assert disk.hears("repeat 1 of 3, 1 to 3, deep") == [Moved(1, 3)]
    assert disk.hears("1 to 3, then 2 to 4, then 3 to 1") == [Moved(1, 3), Moved(2, 4), Moved(3, 1)]
    disk.ties(Moved(1, 3))
    assert disk.undoes("undo 1 to 3, deep") == ""
    disk.ties(Moved(1, 3))
    assert disk.takes_out("move back 3 to 1, deep, 2 more to take out") == (Moved(1, 3), 2)
    disk.ties(Moved(1, 3))
    assert disk.takes_out("take back the wrong move, in the chart 1 to 3, last") == (Moved(1, 3), 0)
    with pytest.raises(NotUnderstood):
        disk.takes_out("take back the wrong move, last")
    for words in ("1 to 2", "3 to 1", "1 to 3, foam", "1 over 3", "1 to 3, 2 to 4", ""):
        with pytest.raises(NotUnderstood):
            disk.hears(words)


def test_written_steps() -> None:
    maker = Instructions()
    assert maker.hears("step 1 of 4, Fold the string. Leave a loop").is_of("Fold the string.", 1, 1)
    assert not maker.hears("Fold the string").is_of("Twist", 1, 1)
    step = maker.hears("Twist. 1 of 3")
    assert step.is_of("Twist", 1, 3)
    maker.ties(step)
    for words in ("2 of 3, Twist", "2 of 3", "2"):
        assert maker.hears(words).is_of("Twist", 2, 3)
    for words in ("3", "last", "2 of 4"):
        with pytest.raises(NotUnderstood):
            maker.hears(words)
    assert maker.hears("Twist the left string over, more to hear").is_of("Twist the left string over the right", 1, 1)
    assert not maker.hears("Twist the left string over, more to hear").is_of("Twist the right string", 1, 1)


@pytest.mark.parametrize("hears", [lambda words: Instructions().hears(words), lambda words: picture().hears(words)])
def test_nothing_is_no_step(hears: Callable[[str], object]) -> None:
    with pytest.raises(NotUnderstood):
        hears("")
