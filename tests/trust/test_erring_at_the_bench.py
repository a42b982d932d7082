"""A maker who errs, at the real screen: what is seen is told, a way on is chosen, and kills in between lose nothing.

The maker reads only what the screen says, and knows only the band in the hands.
"""

import re
from collections.abc import Callable
from pathlib import Path

from benchmate.craft.knots import Knot
from benchmate.craft.trouble.made_otherwise import Made
from benchmate.kept import Kept
from benchmate.piece_opening import resume_listed
from benchmate.piece_questions.trouble.knot_places import place_across
from tests.running import bench, count
from tests.screen.benches import CHEVRON, written_to
from tests.terminal import Terminal

PAIR = re.compile(r"(?:^|\W)(\d+) [a-z ]+?\s{2,}\W?(\d+) [a-z ]+?(?:\s{2,}|$)")
ENDS = re.compile(r"(knots|knotted|under), (ends|stays|goes back)")
ROW = re.compile(r" r(\d+)/")
ASKED = re.compile(r"> *(\d+) (.*)\[ \?\]")
"""The knot that is asked about, drawn in its row: two cells for each string."""
STRINGS = ("plum", "moss", "straw", "straw", "moss", "plum")
LETTERS = {"plum": "p", "straw": "s", "moss": "m"}
CHART: tuple[dict[int, Made], dict[int, Made]] = (
    {2: Knot.FORWARD, 4: Knot.BACKWARD},
    {1: Knot.FORWARD, 3: Knot.FORWARD, 5: Knot.BACKWARD},
)
"""The knots of even and of odd rows, by their pairs."""


class Hands:
    """A band in the hands: its knots in the order they were made, each at its row and pair."""

    def __init__(self) -> None:
        self.knots: dict[tuple[int, int], Made] = {}

    def make(self, row: int, left: int, made: Made) -> None:
        """Makes a knot."""
        assert (row, left) not in self.knots
        self.knots[row, left] = made

    def take_out(self, row: int, left: int) -> None:
        """Takes a knot out. Nothing may be tied on top of it."""
        over = [knot for knot in self.knots if abs(knot[1] - left) < 2]
        assert over[-1] == (row, left), "there are knots on top of it"
        del self.knots[row, left]

    @property
    def strings(self) -> list[str]:
        """How the strings hang."""
        hanging = [*STRINGS]
        for (_, left), made in self.knots.items():
            if made is not None and made.swaps:
                hanging[left - 1 : left + 1] = reversed(hanging[left - 1 : left + 1])
        return hanging

    def shows(self, row: int, pair: int) -> str:
        """The letter of the colour that a knot shows."""
        hanging = [*STRINGS]
        for (at, left), made in self.knots.items():
            if (at, left) == (row, pair):
                assert made is not None
                return LETTERS[hanging[left - 1 if made.from_left else left]]
            if made is not None and made.swaps:
                hanging[left - 1 : left + 1] = reversed(hanging[left - 1 : left + 1])
        raise AssertionError((row, pair))


def press(terminal: Terminal, key: str) -> None:
    """Presses a key as hands do, slowly enough to be neither a held key nor a flood, and waits for what it does."""
    before = terminal.text
    terminal.pump(0.15)
    terminal.press(key)
    terminal.wait_until(lambda now: now.text != before, what="another screen")
    terminal.settle(quiet=0.08)


def one_step(terminal: Terminal, hands: Hands, *, otherwise: Knot | None = None) -> None:
    """Does what the screen says, or errs; then presses space."""
    found = ROW.search(terminal.lines[0])
    # Before the first knot, another word stands in that place.
    row = int(found[1]) if found else 1
    pair = next(filter(None, map(PAIR.search, terminal.lines[1:])), None)
    told = [ENDS.findall(line) for line in terminal.lines]
    ends: list[tuple[str, str]] = next((found for found in told if len(found) == 2), [])
    assert pair, terminal.text
    assert ends, terminal.text
    left = min(int(pair[1]), int(pair[2]))
    on_the_left, goes = ends[0]
    if any(makes == "knotted" for makes, _ in ends):
        hands.take_out(row, left)
    else:
        ways = {(knot.from_left, knot.swaps): knot for knot in Knot}
        made = ways[on_the_left == "knots", goes == "ends"]
        assert otherwise is not made
        hands.make(row, left, otherwise or made)
    press(terminal, "space")


def find_out(terminal: Terminal, hands: Hands) -> None:
    """Tells how the strings hang, and answers until the three ways on are there."""
    press(terminal, "u")
    press(terminal, "s")
    for colour, expected in zip(hands.strings, as_charted(hands).strings, strict=True):
        press(terminal, "right" if colour == expected else LETTERS[colour])
    press(terminal, "enter")
    while "take out" not in terminal.text.lower():
        asked = ASKED.search(terminal.text)
        assert asked, terminal.text
        press(terminal, hands.shows(int(asked[1]), len(asked[2]) // 2 + 1))


def as_charted(hands: Hands) -> Hands:
    """The same knots, each as the chart has it."""
    found = Hands()
    found.knots = {(row, left): CHART[row % 2][left] for row, left in hands.knots}
    return found


def test_an_erring_maker_is_led_on_through_kills(tmp_path: Path, home: Path) -> None:
    file = written_to(tmp_path, CHEVRON)
    hands = Hands()

    def sitting(work: Callable[[Terminal], None]) -> None:
        """Works at the bench, which is then killed; what was shown as done before is still there."""
        with bench(file, home, columns=80, rows=10) as terminal:
            done = len(hands.knots)
            terminal.wait_until(lambda now: count(now) == (done, 30), what=f"{done} knots done")
            terminal.settle()
            work(terminal)
            assert terminal.kill() == -9

    def first(terminal: Terminal) -> None:
        for number in range(10):
            one_step(terminal, hands, otherwise=Knot.BACKWARD_FORWARD if number == 4 else None)
        find_out(terminal, hands)
        assert "> Take out " in terminal.text
        # Killed before a way is chosen.

    def second(terminal: Terminal) -> None:
        assert "undo" not in terminal.text
        find_out(terminal, hands)
        press(terminal, "1")
        one_step(terminal, hands)
        assert len(hands.knots) == 9, "the last knot had to come out"
        # Killed on the way to the wrong knot.

    def third(terminal: Terminal) -> None:
        while len(hands.knots) < 10:
            one_step(terminal, hands)
        assert hands.knots == as_charted(hands).knots
        while len(hands.knots) < 18:
            one_step(terminal, hands, otherwise=Knot.FORWARD_BACKWARD if len(hands.knots) == 15 else None)
        find_out(terminal, hands)
        assert "2 change: 2" in terminal.text
        press(terminal, "2")
        # Killed as soon as the change is planned.

    def fourth(terminal: Terminal) -> None:
        while len(hands.knots) < 22:
            one_step(terminal, hands)
        # Killed between the two changed knots.

    def last(terminal: Terminal) -> None:
        while len(hands.knots) < 30:
            one_step(terminal, hands)

    for work in (first, second, third, fourth, last):
        sitting(work)

    charted = as_charted(hands)
    assert hands.strings == charted.strings, "the strings hang as charted again"
    differs = [at for at, knot in enumerate(hands.knots) if hands.knots[knot] is not charted.knots[knot]]
    assert differs == [15, 21, 23], "the mistake that was left, and the two changes that the maker chose"
    # The piece has the very band that is in the hands.
    kept = Kept()
    held = resume_listed(kept, kept.pieces.all()[0]).held
    whole = held.whole
    made = {
        (whole.step(number).row, place_across(whole, number)): whole.how_made(number)
        for number in held.progress.history
    }
    assert list(made.items()) == list(hands.knots.items())
    assert list(held.mistakes) == [15]
    assert sorted(held.made) == differs
    kept.close()
