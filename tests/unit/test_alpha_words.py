"""The printed words of pictures: they say which leading string comes in hand, and all there is to do before it."""

import re

from hypothesis import given

from benchmate.craft.orders import by_rows
from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import WholePiece
from benchmate.craft.wording import step_words
from benchmate.craft.wording.prompts import again
from benchmate.families.alpha.body import alpha
from benchmate.families.alpha.work import AlphaWork
from tests.charts import picture, pictures, seeded

PICK_UP = re.compile(
    r"(begin (a new|another) (?P<new>\w+)(, leave a 9 cm tail)?"
    r"|bring (the )?(?P<float>\w+) (across the back )?from column \d+( in row \d+)? \(\d+ (knots?|rows? up)\)"
    r"|pick up (the )?(?P<near>\w+) at column \d+( in row \d+)?)"
    r"(; cut \w+ at column \d+(, leave a 9 cm tail)?)?"
)
PLACE = re.compile(r"column (?P<column>\d+)( in row (?P<row>\d+))?")


class Hands:
    """Leading strings as they hang behind a picture, worked from the words: each with its colour, row and column."""

    def __init__(self) -> None:
        self.hanging: dict[int, tuple[str, int, int]] = {}
        self.in_hand = 0
        self.begun = 0

    def take(self, words: str, row: int) -> None:
        """Begins a string or takes the one that the words name in this row, and cuts one where they say so."""
        found = PICK_UP.fullmatch(words)
        assert found, words
        cut = re.search(r"; cut (\w+) at column (\d+)", words)
        if cut:
            colour, _, column = self.hanging.pop(self.in_hand)
            assert (colour, column) == (cut[1], int(cut[2]))
        if found["new"]:
            alike = [colour for colour, _, _ in self.hanging.values() if colour == found["new"]]
            assert ("another" in words) == bool(alike)
            self.begun += 1
            self.in_hand = self.begun
        else:
            self.in_hand = self.found(found["float"] or found["near"], words, row)

    def found(self, colour: str, words: str, row: int) -> int:
        """The one string of this colour that waits where the words say."""
        alike = {string: hangs for string, hangs in self.hanging.items() if hangs[0] == colour}
        assert (" the " in words.replace(" the back", "")) == (len(alike) > 1), words
        place = PLACE.search(words)
        assert place
        # With others to take it for, no row means this one; else this one or the one below.
        rows = [int(place["row"])] if place["row"] else [row] if len(alike) > 1 else [row, row - 1]
        fitting = [string for string, hangs in alike.items() if hangs[1] in rows and hangs[2] == int(place["column"])]
        assert len(fitting) == 1, words
        return fitting[0]


@given(pictures())
@seeded
def test_the_words_name_one_leading_string_and_the_plan_agrees(whole: WholePiece) -> None:
    hands = Hands()
    work = whole.main.work
    assert isinstance(work, AlphaWork)
    for number in range(whole.size):
        words, step = step_words.pick_up(whole, number), work.step(number)
        if words:
            hands.take(words, step.row)
        hands.hanging[hands.in_hand] = (whole.main.design.say_of(step.leading), step.row, step.column)
        assert hands.in_hand == work.plan.leading(number)
    assert hands.begun == work.plan.strings
    assert len(hands.hanging) == 1, "all others were cut"


def test_a_string_is_begun_brought_across_and_cut() -> None:
    whole = picture(alpha("deep", (("foam", "foam"), ("foam", "rust"))))
    assert step_words.pick_up(whole, 1) == ""
    assert step_words.pick_up(whole, 2) == "begin a new rust, leave a 9 cm tail"
    bring, cut = "bring foam across the back from column 2 (1 knot)", "cut rust at column 2"
    assert step_words.pick_up(whole, 3) == f"{bring}; {cut}, leave a 9 cm tail"
    assert step_words.pick_up(whole, 3, tails=False) == f"bring foam from column 2 (1 knot); {cut}"
    assert step_words.pick_up_in_brief(whole, 2) == "begin a new rust"


def test_what_to_read_says_all_that_one_press_needs() -> None:
    whole = picture(alpha("deep", (("deep", "foam", "deep"), ("foam", "deep", "foam"))))
    progress = Progress.resume(whole, by_rows(whole), range(3))
    assert again(whole, progress, ahead=progress.rest_of_row(), most=None) == (
        "row 2 of 2, bring foam from column 2 (1 knot), then backward, bring deep from column 3 (1 knot), then "
        "backward, bring foam from column 3 (1 knot); cut deep at column 2, then backward"
    )
    # By ear, places are counted from the nearer edge.
    assert again(whole, progress, ahead=progress.rest_of_row()).startswith(
        "row 2 of 2, turn, bring foam across the back, the middle one, "
    )
