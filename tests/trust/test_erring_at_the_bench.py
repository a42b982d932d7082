"""A maker who errs, loses the place and runs short of a string, at the real screen; kills in between lose nothing.

The maker reads only what the screen says, and knows only the band in the hands and the thread that hangs from it.
"""

import re
from collections.abc import Callable, Sequence
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
KNOT_BACK = re.compile(r"^ +(?:(Last|Second-last|Third-last) knot|Knot (\d+), counting back)\?", re.MULTILINE)
BACK = {"Last": 1, "Second-last": 2, "Third-last": 3}
LAY_IN = re.compile(r"FIRST +lay in a new plum beside plum at (\d)")
ENOUGH = re.compile(r"([\d.]+) cm is enough.+An end of ([\d.]+) cm stays", re.DOTALL)
"""How long a new string has to be, and how much of it stays at the back; in cm."""
STRINGS = ("plum", "moss", "straw", "straw", "moss", "plum")
LETTERS = {"plum": "p", "straw": "s", "moss": "m"}
CHART: tuple[dict[int, Made], dict[int, Made]] = (
    {2: Knot.FORWARD, 4: Knot.BACKWARD},
    {1: Knot.FORWARD, 3: Knot.FORWARD, 5: Knot.BACKWARD},
)
"""The knots of even and of odd rows, by their pairs."""
LONG = CHEVRON.replace("repeats: 3", "repeats: 5")
KNOTS = 50
PLUM = 1
"""The number of the string that is cut too short."""
MADE_MM, PASSIVE_MM, HOLD_MM = 10.5, 1.95, 50.0
"""Thread for a knot made and for one carried, and the shortest end that can be knotted with: the values of floss."""


class Hands:
    """A band in the hands: its knots in the order they were made, each at its row and pair, and what hangs from it."""

    def __init__(self) -> None:
        self.knots: dict[tuple[int, int], Made] = {}
        self.left_mm = {PLUM: 160.0, **dict.fromkeys(range(2, 7), 700.0)}
        """What hangs of each string, by its number."""

    def make(self, row: int, left: int, made: Made) -> None:
        """Makes a knot; both strings must be long enough for that."""
        assert (row, left) not in self.knots
        self._use(self.hanging[left - 1 : left + 1], made, 1)
        self.knots[row, left] = made
        assert min(self.left_mm.values()) >= HOLD_MM, "too short to knot with"

    def take_out(self, row: int, left: int) -> None:
        """Takes a knot out. Nothing may be tied on top of it."""
        over = [knot for knot in self.knots if abs(knot[1] - left) < 2]
        assert over[-1] == (row, left), "there are knots on top of it"
        made = self.knots.pop((row, left))
        self._use(self.hanging[left - 1 : left + 1], made, -1)

    def _use(self, strings: Sequence[int], made: Made, times: int) -> None:
        knotting, passive = strings if made in (Knot.FORWARD, Knot.FORWARD_BACKWARD) else reversed(strings)
        self.left_mm[knotting] -= times * MADE_MM
        self.left_mm[passive] -= times * PASSIVE_MM

    def make_charted(self) -> None:
        """Makes the next knot of the chart."""
        row, left = next(at for at in charted_order() if at not in self.knots)
        self.make(row, left, CHART[row % 2][left])

    @property
    def hanging(self) -> list[int]:
        """The numbers of the strings, left to right."""
        return self._before(None)[0]

    @property
    def strings(self) -> list[str]:
        """The colours of the strings, left to right."""
        return [STRINGS[number - 1] for number in self.hanging]

    def shows(self, row: int, pair: int) -> str:
        """The letter of the colour that a knot shows."""
        hanging, made = self._before((row, pair))
        assert made is not None
        return LETTERS[STRINGS[hanging[pair - 1 if made.from_left else pair] - 1]]

    def _before(self, knot: tuple[int, int] | None) -> tuple[list[int], Made]:
        """How the strings hung before a knot, and how that was made; how they hang now."""
        hanging = [*range(1, 7)]
        for at, made in self.knots.items():
            if at == knot:
                return hanging, made
            if made is not None and made.swaps:
                hanging[at[1] - 1 : at[1] + 1] = reversed(hanging[at[1] - 1 : at[1] + 1])
        assert knot is None
        return hanging, None


def charted_order() -> list[tuple[int, int]]:
    """The knots of the chart in the order they are made, each at its row and pair."""
    return [(row, left) for row in range(1, 21) for left in CHART[row % 2]]


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


def find_place(terminal: Terminal, hands: Hands, *keys: str) -> None:
    """Tells how the strings hang and what the last knots look like, until one place is left; then goes there."""
    for key in (*keys, *(LETTERS[colour] for colour in hands.strings), "enter"):
        press(terminal, key)
    # In so few rows nothing is drawn in large letters.
    terminal.resize(80, 6)
    terminal.settle()
    while asked := KNOT_BACK.search(terminal.text):
        back = BACK[asked[1]] if asked[1] else int(asked[2])
        press(terminal, hands.shows(*[*hands.knots][-back]))
    terminal.resize(80, 12)
    terminal.settle()
    press(terminal, "enter")


def open_string(terminal: Terminal, place: int) -> None:
    """In the list of strings, goes to the one that hangs at a place, and opens it."""
    while (at := re.search(r"> (\d) ", terminal.text)) and int(at[1]) != place:
        press(terminal, "down" if int(at[1]) < place else "up")
    press(terminal, "enter")


def test_an_erring_maker_is_led_on_through_kills(tmp_path: Path, home: Path) -> None:
    file = written_to(tmp_path, LONG)
    hands = Hands()
    spared = 0.0
    """How much longer the new string was than what was left of the old one."""
    counted = 0
    """How many knots the piece counts: others than the hands have made where work went on away from it."""

    def sitting(work: Callable[[Terminal], None], *, away: int = 0) -> None:
        """Works at the bench, which is then killed; what was shown as done before is still there.

        After that so many knots are made, or taken out, with no bench beside.
        """
        nonlocal counted
        with bench(file, home, columns=80, rows=10) as terminal:
            terminal.wait_until(lambda now: count(now) == (counted, KNOTS), what=f"{counted} knots done")
            terminal.settle()
            work(terminal)
            assert terminal.kill() == -9
        counted = len(hands.knots)
        for _ in range(away):
            hands.make_charted()
        for _ in range(-away):
            hands.take_out(*[*hands.knots][-1])

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
        assert "2 change: 1" in terminal.text
        press(terminal, "2")
        # Killed as soon as the change is planned.

    def fourth(terminal: Terminal) -> None:
        while len(hands.knots) < 24:
            one_step(terminal, hands)

    def lost(terminal: Terminal) -> None:
        find_place(terminal, hands, "j", "w")
        terminal.wait_until(lambda now: count(now) == (len(hands.knots), KNOTS), what="the place")
        # Killed as soon as the place is set.

    def measured(terminal: Terminal) -> None:
        press(terminal, "u")
        press(terminal, "l")
        open_string(terminal, hands.hanging.index(PLUM) + 1)
        press(terminal, "enter")
        for key in f"{hands.left_mm[PLUM] / 10:.1f}":
            press(terminal, key)
        press(terminal, "enter")
        assert "GIVES OUT IN ROW" in terminal.text
        # Killed as soon as it is said where the string gives out.

    def replaced(terminal: Terminal) -> None:
        nonlocal spared
        warned = False
        while not (laid_in := LAY_IN.search(terminal.text)):
            warned |= "In this row, lay in a new plum" in terminal.text
            one_step(terminal, hands)
        assert warned
        assert int(laid_in[1]) == hands.hanging.index(PLUM) + 1
        one_step(terminal, hands)
        assert "Is the new plum in?" in terminal.text
        press(terminal, "u")
        press(terminal, "l")
        open_string(terminal, hands.hanging.index(PLUM) + 1)
        press(terminal, "end")
        assert "> a new string has taken over" in terminal.text
        press(terminal, "enter")
        # In a window so low, not all that is good to know has room.
        terminal.resize(80, 16)
        terminal.settle()
        enough = ENOUGH.search(terminal.text)
        assert enough, terminal.text
        new = 10 * (float(enough[1]) - float(enough[2]))
        spared = new - hands.left_mm[PLUM]
        hands.left_mm[PLUM] = new
        press(terminal, "enter")
        assert "certain to last" in terminal.text
        # Killed as soon as that is said.

    def on(terminal: Terminal) -> None:
        assert "give out" not in terminal.text
        while len(hands.knots) < 47:
            one_step(terminal, hands)

    def lost_again(terminal: Terminal) -> None:
        find_place(terminal, hands, "u", "w")
        terminal.wait_until(lambda now: count(now) == (44, KNOTS), what="the place")

    def last(terminal: Terminal) -> None:
        while len(hands.knots) < KNOTS:
            one_step(terminal, hands)

    sittings = (first, second, third, fourth, lost, measured, replaced, on, lost_again, last)
    for work in sittings:
        sitting(work, away={fourth: 5, on: -3}.get(work, 0))

    assert hands.left_mm[PLUM] - spared < HOLD_MM, "the string alone would have been too short"

    charted = as_charted(hands)
    assert hands.strings == charted.strings, "the strings hang as charted again"
    differs = [at for at, knot in enumerate(hands.knots) if hands.knots[knot] is not charted.knots[knot]]
    assert differs == [15, 32], "the mistake that was left, and the change that the maker chose"
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
