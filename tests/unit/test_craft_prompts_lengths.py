"""Spoken prompts: what is said first when there is little room, how much one prompt can say, and the names of knots."""

import pytest

from benchmate.craft.colours.colour import Colour
from benchmate.craft.knots import NAMES
from benchmate.craft.orders import from_sequence
from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import WholePiece, whole_piece
from benchmate.craft.ways import Way, order_of
from benchmate.craft.wording.prompt_parts import Detail, Level, position
from benchmate.craft.wording.prompts import MOST, Happened, again, prompt, sayable
from benchmate.craft.wording.spoken_length import MORE, SECONDS, at_most, cut, is_short_enough, seconds
from benchmate.families.diagonal.body import Diagonal
from benchmate.families.steps.body import Instruction, Steps
from tests.charts import chart, design, pointed, row, written
from tests.listening import followed

FOUR = "deep foam kelp sand"


def placed(whole: WholePiece, tied: int) -> Progress:
    """A piece by rows, with its first `tied` steps tied."""
    order = order_of(whole, Way())
    return Progress.resume(whole, order, order.sequence[:tied])


@pytest.mark.parametrize(
    ("at", "of", "full", "sparse", "tightest"),
    [
        (1, 8, "first from the left", "first from left", "first left"),
        (4, 8, "fourth from the left", "fourth from left", "fourth left"),
        (5, 8, "fourth from the right", "fourth from right", "fourth right"),
        (8, 8, "first from the right", "first from right", "first right"),
        (4, 7, "the middle one", "middle one", "middle"),
        (1, 1, "the middle one", "middle one", "middle"),
        (20, 99, "twentieth from the left", "twentieth from left", "twentieth left"),
        (79, 99, "21st from the right", "21st from right", "21st right"),
        (112, 400, "112th from the left", "112th from left", "112th left"),
        (123, 400, "123rd from the left", "123rd from left", "123rd left"),
        (42, 100, "42nd from the left", "42nd from left", "42nd left"),
    ],
)
def test_a_position_is_counted_from_the_nearer_edge(at: int, of: int, full: str, sparse: str, tightest: str) -> None:
    assert [position(at, of, detail) for detail in (Detail.FULL, Detail.SPARSE, Detail.TIGHTEST)] == [
        full,
        sparse,
        tightest,
    ]


def test_a_row_that_ends_within_a_run_is_announced_at_the_next_pick_up() -> None:
    whole = whole_piece(design(pointed(8, 1)), None, None)
    said = followed(whole, from_sequence("any", [0, 2, 4, 1, 3, 5, 6]))
    # The second string completes rows 1 to 3; the highest is said once another string comes in hand.
    assert [each[Level.FULL] for each in said[3:7]] == [
        "h, first from the right, for 3 knots, backward over g",
        "backward over f",
        "backward, last with h",
        "row 3 done, a, fourth from the left, forward over h",
    ]
    assert [each[Level.SHORT].startswith("row done, ") for each in said] == [False] * 6 + [True, False]


def test_a_row_that_ends_within_a_run_is_announced_after_a_press_that_counts_several() -> None:
    # By rows: a makes the last knot of row 1 and the only one of row 2; then c comes in hand.
    whole = whole_piece(design(chart("a b c d", "- f", "- -", "f")), None, None)
    progress = placed(whole, 0)
    progress.tie(0)
    assert prompt(whole, progress, Happened.TIED, [0], Level.SHORT).startswith("row done, a, first from the left")
    whole = whole_piece(design(chart("a b c", "f", "f", "- ", "", "f")), None, None)
    progress = placed(whole, 2)
    assert prompt(whole, progress, Happened.TIED, [0, 1], Level.FULL).startswith("row 2 done, ")
    # Tied one by one: row 1 ended with the same string in hand.
    progress = placed(whole, 1)
    assert prompt(whole, progress, Happened.TIED, [0], Level.FULL) == "forward over c, last with a"


def test_the_maker_chooses_the_names_of_the_knots() -> None:
    whole = whole_piece(design(chart(FOUR, "fb bf", "f")), None, None)
    progress = placed(whole, 0)

    def said(names: str, happened: Happened = Happened.RESUMED, **numbers: list[int]) -> str:
        steps = numbers.pop("steps", [])
        return prompt(whole, progress, happened, steps, Level.SHORT, names=names, **numbers)  # type: ignore[arg-type]

    assert said("chart") == "row 1, deep, first from the left, forward-backward"
    assert said("larks-head") == "row 1, deep, first from the left, lark's head forward"
    assert said("larks-head", ahead=[0, 1]).endswith("one lark's head forward, then one lark's head backward")
    assert again(whole, progress, names="larks-head").endswith("lark's head forward over foam")
    assert said("larks-head", Happened.UNDONE, steps=[0]) == "undo lark's head forward, deep over foam"
    progress.tie(0)
    assert said("larks-head", out=[0]) == "take out lark's head forward, first from left, last"


def test_names_differ_by_ear() -> None:
    for names in NAMES.values():
        assert len(set(names.values())) == 4
    # One name begins with another; a count or `then` stands between knots, so that no two knots sound like one.
    whole = whole_piece(design(chart(FOUR, "f f", "", "fb")), None, None)
    said = prompt(whole, placed(whole, 0), Happened.RESUMED, (), Level.FULL, ahead=[0, 1])
    assert said == "row 1 of 3, deep, first from the left, pairs to the right, 2 forward"


def test_lead_ins_give_way_to_what_must_be_done() -> None:
    plan = design(chart(24, "- - - - - fb"), repeats=400)
    plan = plan._replace(colours={name: Colour(name, "#000000", "off white") for name in plan.colours})
    whole = whole_piece(plan, None, None)
    progress = placed(whole, 0)
    said = {level: prompt(whole, progress, Happened.RESUMED, (), level) for level in Level}
    assert said[Level.FULL].startswith("row 1 of 400, off white, eleventh from the left, ")
    assert said[Level.SHORT] == "row 1, off white, eleventh from the left, forward-backward"
    assert said[Level.SPARSE] == "eleventh from left, forward-backward"
    jumped = {level: prompt(whole, progress, Happened.JUMPED, (), level) for level in Level}
    assert jumped[Level.SHORT] == "row 1, off white, eleventh from the left, forward-backward"


def test_all_that_a_press_counts_can_be_said() -> None:
    rows = (row("f fb b bf f fb b bf f b f b"), row("f " * 11), row("f b " * 6))
    body = Diagonal(tuple("abcdefghijklmnopqrstuvwx"), rows)
    whole = whole_piece(design(body), None, None)
    for level in (Level.SHORT, Level.SPARSE):
        for names in NAMES:
            progress = placed(whole, 0)
            while progress.next is not None:
                ahead = progress.rest_of_row()
                count = sayable(whole, progress, ahead, level, names)
                said = prompt(whole, progress, Happened.RESUMED, (), level, ahead=ahead[:count], names=names)
                assert at_most(said) <= SECONDS[level]
                assert "more" not in said
                for number in ahead[:count]:
                    progress.tie(number)
    progress = placed(whole, 0)
    ahead = progress.rest_of_row()
    assert sayable(whole, progress, ahead, Level.FULL) == 12
    assert sayable(whole, progress, ahead[:1], Level.SPARSE) == 1
    assert sayable(whole, progress, [], Level.SPARSE) == 0
    assert sayable(whole, placed(whole, 12), list(range(12, 23)), Level.SPARSE) == 11


def test_a_long_run_of_equal_knots_is_one_press() -> None:
    whole = whole_piece(design(chart("a b", *["f", "", "b", ""] * 500)), None, None)
    progress = placed(whole, 0)
    ahead = progress.rest_of_run()
    assert len(ahead) == 1000
    assert 1 <= sayable(whole, progress, ahead, Level.SPARSE) < 10
    whole = whole_piece(design(chart("a b", *["fb", ""] * 500)), None, None)
    progress = placed(whole, 0)
    assert len(progress.rest_of_run()) == 500
    assert sayable(whole, progress, progress.rest_of_run(), Level.SHORT) == 500


def test_a_makers_own_long_text_is_cut_and_says_so() -> None:
    do = "Cut four lengths of every colour, each as long as the table and a hand more, and lay them side by side"
    steps = (
        Instruction(do, "On the left", 1, lengths="Fold 3 lengths of deep and 1 of foam"),
        Instruction("Go", "x", 1),
    )
    whole = whole_piece(design(Steps((), steps)), None, None)
    progress = placed(whole, 0)
    assert prompt(whole, progress, Happened.RESUMED, (), Level.FULL).endswith("1 of foam. On the left")
    short = prompt(whole, progress, Happened.RESUMED, (), Level.SHORT)
    assert short == "step 1, Cut four lengths of every colour, more to hear"
    assert prompt(whole, progress, Happened.RESUMED, (), Level.SPARSE) == "Cut four lengths, more to hear"
    progress.tie(0)
    assert prompt(whole, progress, Happened.RESUMED, (), Level.SHORT) == "step 2, Go. x"
    assert prompt(whole, progress, Happened.RESUMED, (), Level.SPARSE) == "step 2, Go"


def test_the_count_of_a_text_that_is_cut_stays_whole() -> None:
    whole = whole_piece(
        design(written(("Bring the outermost string on the left over the two beside it", 20))), None, None
    )
    progress = placed(whole, 0)
    assert prompt(whole, progress, Happened.RESUMED, (), Level.SPARSE) == "Bring, more to hear, 20 times"
    progress.tie(0)
    assert prompt(whole, progress, Happened.TIED, [0], Level.SPARSE) == "2"
    short = prompt(whole, progress, Happened.RESUMED, (), Level.SHORT)
    assert short == "Bring the outermost string on the left, more to hear, 2 of 20"


def test_no_prompt_is_longer_than_the_voice_speaks() -> None:
    whole = whole_piece(design(written("Twist " * 200, "y" * 900)), None, None)
    for tied in (0, 1):
        words = again(whole, placed(whole, tied))
        assert len(words) <= MOST
        assert words.endswith(MORE)
        assert len(words) > MOST - 10


def test_the_limits_of_the_levels() -> None:
    assert is_short_enough("forward " * 200, Level.FULL)
    assert is_short_enough("turn, cut, begin foam, 12", Level.SPARSE)
    assert not is_short_enough("turn, cut deep, bring foam across, second from the right, 12", Level.SPARSE)
    assert not is_short_enough("forward " * 12, Level.SHORT)


def test_numbers_take_as_long_as_their_words() -> None:
    for digits, words in [
        ("7", "seven"),
        ("17", "seventeen"),
        ("40", "forty"),
        ("42", "forty two"),
        ("300", "three hundred"),
        ("112", "one hundred and twelve"),
        ("2042", "two thousand and forty two"),
        ("1200", "one thousand two hundred"),
    ]:
        assert seconds(digits) == pytest.approx(seconds(words), abs=0.4)
    assert seconds("1" * 40) == pytest.approx(seconds("one " * 40))


def test_a_text_is_cut_at_the_end_of_a_phrase_or_of_a_word() -> None:
    text = "Fold it, then pin it down with care."
    assert cut(text, lambda words: len(words) <= 21) == "Fold it, more to hear"
    assert cut(text, lambda words: len(words) <= 36) == "Fold it, then pin it, more to hear"
    assert cut("w" * 50, lambda words: len(words) <= 20) == "w" * (20 - len(MORE)) + MORE
