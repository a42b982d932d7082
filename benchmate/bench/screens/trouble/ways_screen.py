"""Three ways on from a wrong knot, side by side: what each costs, in large type, and the band before and after."""

from collections.abc import Callable, Mapping, Sequence

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.page import foot_lines
from benchmate.bench.screens.trouble.lettered_band import (
    CHANGED,
    OTHERWISE,
    WRONG,
    Band,
    draw_rows,
    legend,
    titled,
    width_wanted,
)
from benchmate.bench.screens.trouble.search_screen import GoBack, SearchingScreen
from benchmate.bench.terminal.judged_key import Key
from benchmate.bench.zones.large_field import large
from benchmate.craft.start_band_finish import WholePiece
from benchmate.craft.trouble.trouble import Mending
from benchmate.display.cells import Line, beside, clipped, line, text_line
from benchmate.piece_questions.trouble.hanging_colours import LetteredColour
from benchmate.piece_questions.trouble.knot_places import place_across
from benchmate.piece_questions.trouble.ways_on import Cost, WayOn, WaysOn

LOOKING = "Looking for later knots to change."
ROOMY = 20
"""From so many lines on, all ways are as tall as each other."""
WIDE = 60
"""From so many cells on, the pictures stand beside the ways."""
SIGNS: Mapping[WayOn, Mapping[str, str]] = {
    WayOn.TAKE_OUT: {WRONG: "wrong", CHANGED: "comes out"},
    WayOn.MEND: {WRONG: "wrong", CHANGED: "changed", OTHERWISE: "another colour"},
    WayOn.LEAVE: {WRONG: "wrong", OTHERWISE: "another colour"},
}
"""What the signs mean in the pictures of each way."""


class WaysScreen(SearchingScreen[WayOn | GoBack]):
    """Shows what each way costs and what the band becomes; the result is the way that was chosen."""

    def __init__(self, bench: Bench, ways: WaysOn, colours: Sequence[LetteredColour]) -> None:
        """`ways` are asked while this is open; `colours` have the letters in the pictures."""
        super().__init__(bench)
        self._ways = ways
        self._letters: Mapping[str, str] = {colour.name: colour.letter for colour in colours}
        self._way = WayOn.TAKE_OUT
        self._moved = False
        """True once a way was looked at on purpose: an enter out of habit takes none."""
        self._alone = False
        self._scrolled = 0
        self._page = 1
        keys: dict[str, Callable[[], object]] = {
            "up left": lambda: self._walk(-1),
            "down right": lambda: self._walk(1),
            "enter": self._take_looked_at,
            "tab b": self._draw,
            "pagedown space": lambda: self._scroll(1),
            "pageup": lambda: self._scroll(-1),
            "escape": self._leave,
            "backspace": self._go_back,
            "q": self.dismiss,
        }
        self._does = {key: does for several, does in keys.items() for key in several.split()}

    def on_mount(self) -> None:
        """Begins to look for a way to change later knots."""
        self.begin_search(self._ways.look_for_mending, self._found)

    def _found(self, mending: Mending | None) -> None:
        self._ways.take_in(mending)

    # What is shown.

    def lines(self, width: int, height: int) -> list[Line]:
        """The ways with the pictures of one of them, or these alone."""
        palette = self.palette
        feet = [text_line(text, width, palette.quiet, palette.panel) for text in self._feet(width, height)]
        wrong = [
            text_line(text, width, palette.ink, palette.head, bold=True)
            for text in clipped(self._ways.wrong_words().capitalize(), width - 2, max(2, height // 3))
        ]
        room = max(3, height - len(feet) - len(wrong))
        if self._alone:
            body = self._pictures(width, room)
        elif width >= WIDE:
            beside_it = 2 * width_wanted(self._ways.held.whole, width // 4) + 1
            body = beside([self._three(width - beside_it, room), self._pictures(beside_it, room)])
        else:
            body = self._three(width, room)
        return [*wrong, *body, *feet][:height]

    def _feet(self, width: int, height: int) -> Sequence[str]:
        leaves = "escape: stop" if self.search is not None else "escape: back"
        enter = [f"enter: {self._way.key}"] if self._moved and self._ways.can_choose(self._way) else []
        drawn = ["page down: rows on"] if self._alone or width >= WIDE else []
        looks = ["up/down: look", *drawn] if width >= WIDE else [*drawn, "up/down: look"]
        keys = ["1 2 3: choose", *enter, f"tab: {'ways' if self._alone else 'band'}", leaves, *looks]
        return [text for text in foot_lines(keys, width, max(2, height // 5)) if text]

    def _three(self, width: int, height: int) -> list[Line]:
        """The three ways, one under the other, in as many lines each."""
        palette, lines = self.palette, []
        for at, way in enumerate(WayOn):
            room = (height * (at + 1)) // 3 - (height * at) // 3
            if height < ROOMY - 4:
                # The way that is looked at can be read to its end.
                room = height - 2 if way is self._way else 1
            here = way is self._way
            cost = self._cost(way)
            # As what is chosen in a list: it stands out without colours too.
            field = palette.ink if here else palette.head
            says = [
                text_line(part, width, palette.ink, palette.panel if here else palette.ground, bold=here)
                for part in clipped(("> " if here else "") + " ".join(cost.says), max(1, width - 2), room - 1)
            ]
            block = [*large(f"{way.key} {cost.briefly}", width, max(1, room - len(says)), field), *says][:room]
            lines += [*block, *[line([], width, palette.ground)] * (room - len(block))]
        return lines

    def _cost(self, way: WayOn) -> Cost:
        if way is WayOn.MEND and self.search is not None:
            return Cost(f"..{self.share_words or ' looking'}", [LOOKING])
        return self._ways.cost(way)

    def _pictures(self, width: int, height: int) -> list[Line]:
        """The band before and after by the way that is looked at, and what the signs in either mean."""
        palette, wide, says = self.palette, (width - 1) // 2, SIGNS[self._way]
        bands = self._before_and_after()
        drawn = [draw_rows(band, wide, max(1, height - 2), palette) for band in bands]
        below = legend(frozenset[str]().union(*(each.signs for each in drawn)), says, width, palette)
        self._page = max(1, height - 1 - len(below))
        columns = [
            [*titled(band.title, wide, palette)[:1], *draw_rows(band, wide, self._page, palette).lines]
            for band in bands
        ]
        blank = [line([], 1, palette.ground)] * (self._page + 1)
        filled = [line([], width - 2 * wide - 1, palette.ground)] * (self._page + 1)
        return [*beside([columns[0], blank, columns[1], filled]), *below][:height]

    def _before_and_after(self) -> Sequence[Band]:
        ways = self._ways
        wrong = dict.fromkeys(ways.wrong, WRONG)
        left, meant = ways.left_as_it_is, ways.meant
        out = {**dict.fromkeys(ways.out, CHANGED), **wrong}
        leave = self._band("Left wrong", left, {**dict.fromkeys(ways.accepted, OTHERWISE), **wrong})
        if self._way is WayOn.TAKE_OUT:
            then = self._band("As planned" if ways.planned_again else "As charted", meant, {})
            return [self._band("Now", left, out, tied=True), then]
        mended = ways.mended
        if self._way is WayOn.MEND and mended is not None:
            mend = dict.fromkeys(ways.mended_otherwise, OTHERWISE)
            mend = {**mend, **dict.fromkeys(ways.changes, CHANGED), **wrong}
            return [leave, self._band("Changed", mended, mend)]
        return [self._band("As charted", meant, {}), leave]

    def _band(self, title: str, piece: WholePiece, signs: Mapping[int, str], *, tied: bool = False) -> Band:
        held = self._ways.held
        wrong = self._ways.first
        row = held.whole.step(wrong).row
        is_there = held.progress.is_tied if tied else _always
        top = max(1, row - 2 + self._scrolled)
        across = place_across(piece, wrong)
        return Band(piece.on_screen(self.depth), self._letters, is_there, signs, row, across, top, title)

    def heard_first(self) -> Sequence[str]:
        """What is wrong, and every way with its cost."""
        wrong = f"Three ways on. {self._ways.wrong_words()}"
        return [wrong, *(self._heard(way) for way in WayOn), "Press 1, 2 or 3. Escape: back"]

    def heard(self) -> Sequence[str]:
        """The way that is looked at, and what was found to change."""
        looked_at = [f"{self._heard(self._way)}. {self._enter_heard}"] if self._moved else []
        return [*looked_at, self._heard(WayOn.MEND)]

    @property
    def _enter_heard(self) -> str:
        if self._ways.can_choose(self._way):
            return "Enter: this one"
        return "Not yet" if self.search is not None else "Not possible"

    def _heard(self, way: WayOn) -> str:
        return f"{way.key}: {' '.join(self._cost(way).says)}".rstrip(".")

    # What the keys do.

    def stopped(self) -> None:
        """The ways that are known stay."""

    def take_key(self, event: Key) -> bool:
        """A number takes a way; other keys look around, and go back."""
        if event.character and event.character in "123":
            self._take_way(WayOn(event.character))
        elif does := self._does.get(event.key):
            does()
        return True

    def _take_looked_at(self) -> None:
        """Takes the way that is looked at; none before one was looked at on purpose."""
        if self._moved:
            self._take_way(self._way)

    def _take_way(self, way: WayOn) -> None:
        """Returns a way, unless there is none such."""
        self._way = way
        if self._ways.can_choose(way):
            self.dismiss(way)
        else:
            self.show()

    def _walk(self, by: int) -> None:
        """Looks at another way."""
        ways = list(WayOn)
        self._moved = True
        self._way = ways[(ways.index(self._way) + by) % len(ways)]
        self.show()

    def _draw(self) -> None:
        """Shows the band alone, or the ways again."""
        self._alone = not self._alone
        self.show()

    def _scroll(self, by: int) -> None:
        """Moves the pictures to later or earlier rows."""
        last = self._ways.held.whole.main.work.rows - self._ways.held.whole.step(self._ways.first).row
        self._scrolled = min(max(0, self._scrolled + by * self._page), max(0, last))
        self.show()

    def _go_back(self) -> None:
        """Goes back to the last answer."""
        self.dismiss(GoBack.BACK)

    def _leave(self) -> None:
        """Stops the search; without one, goes back."""
        if not self.stop_search():
            self._go_back()


def _always(_: int) -> bool:
    return True
