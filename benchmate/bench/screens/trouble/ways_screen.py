"""Three ways on from a wrong knot, side by side: what each costs, in large type, and the band before and after."""

from collections.abc import Mapping, Sequence
from typing import ClassVar

from textual.binding import Binding, BindingType

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.page import foot_lines
from benchmate.bench.screens.trouble.lettered_band import CHANGED, OTHERWISE, WRONG, Band, draw_band, width_wanted
from benchmate.bench.screens.trouble.search_screen import GoBack, SearchingScreen
from benchmate.bench.zones.large_field import large
from benchmate.craft.start_band_finish import WholePiece
from benchmate.craft.trouble.trouble import Mending
from benchmate.display.cells import Line, beside, clipped, cut, line, text_line
from benchmate.piece_questions.trouble.hanging_colours import LetteredColour
from benchmate.piece_questions.trouble.knot_places import place_across
from benchmate.piece_questions.trouble.ways_on import Cost, Way, WaysOn

LOOKING = "Looking for later knots to change."
ROOMY = 20
"""From so many lines on, the keys may take two of them, and all ways are as tall as each other."""
WIDE = 60
"""From so many cells on, the pictures stand beside the ways."""
LEGENDS = (
    f"{WRONG} wrong  {CHANGED} out, or changed  {OTHERWISE} another colour",
    f"{WRONG} wrong {CHANGED} changed {OTHERWISE} colour",
    f"{WRONG} {CHANGED} {OTHERWISE}: marks",
)


class WaysScreen(SearchingScreen[Way | GoBack]):
    """Shows what each way costs and what the band becomes; the result is the way that was chosen."""

    BINDINGS: ClassVar[list[BindingType]] = [
        *(Binding(way.key, f"take('{way.key}')", way.key) for way in Way),
        Binding("up,left", "walk(-1)", "the way before"),
        Binding("down,right", "walk(1)", "the next way"),
        Binding("enter", "take", "this way"),
        Binding("tab,b", "draw", "the band alone, or the ways"),
        Binding("pagedown,space", "scroll(1)", "rows on"),
        Binding("pageup", "scroll(-1)", "rows back"),
        Binding("escape", "escape", "stop the search, or back to the last answer"),
        Binding("backspace", "back", "back to the last answer"),
        Binding("q", "dismiss(None)", "leave it"),
    ]

    def __init__(self, bench: Bench, ways: WaysOn, colours: Sequence[LetteredColour]) -> None:
        """`ways` are asked while this is open; `colours` have the letters in the pictures."""
        super().__init__(bench)
        self._ways = ways
        self._letters: Mapping[str, str] = {colour.name: colour.letter for colour in colours}
        self._way = Way.TAKE_OUT
        self._moved = False
        """True once a way was looked at on purpose: an enter out of habit takes none."""
        self._alone = False
        self._scrolled = 0
        self._page = 1

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
            for text in clipped(self._ways.wrong_words().capitalize(), width - 2, 2)
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
        leaves = "escape: stop" if self.search is not None else "escape: back" if width >= WIDE else "escape"
        enter = [f"enter: {self._way.key}"] if self._moved and self._ways.can_choose(self._way) else []
        keys = ["1 2 3: choose", *enter, "tab: drawn", leaves, "up/down: look", "page down: rows on"]
        return [text for text in foot_lines(keys, width, 1 if height < ROOMY else 2) if text]

    def _three(self, width: int, height: int) -> list[Line]:
        """The three ways, one under the other, in as many lines each."""
        palette, lines = self.palette, []
        for at, way in enumerate(Way):
            room = (height * (at + 1)) // 3 - (height * at) // 3
            if height < ROOMY - 4:
                # The way that is looked at can be read to its end.
                room = height - 2 if way is self._way else 1
            here = way is self._way
            cost = self._cost(way)
            field = palette.field if here else palette.head
            says = [
                text_line(part, width, palette.ink, palette.panel if here else palette.ground, bold=here)
                for part in clipped(
                    ("> " if here else "") + " ".join(cost.says),
                    max(1, width - 2),
                    max(1, room - 3 if room > 5 else room - 1),
                )
            ]
            block = [*large(f"{way.key} {cost.briefly}", width, max(1, room - len(says)), field), *says][:room]
            lines += [*block, *[line([], width, palette.ground)] * (room - len(block))]
        return lines

    def _cost(self, way: Way) -> Cost:
        if way is Way.MEND and self.search is not None:
            return Cost(f"..{self.share_words or ' looking'}", [LOOKING])
        return self._ways.cost(way)

    def _pictures(self, width: int, height: int) -> list[Line]:
        """The band before and after by the way that is looked at."""
        palette = self.palette
        blank = [line([], 1, palette.ground)] * height
        wide = (width - 1) // 2
        self._page = max(1, height - 3)
        columns: list[Sequence[Line]] = []
        for title, band in self._before_and_after():
            title = cut(title, wide - 1)
            drawn = draw_band(band, wide, height - 1, palette)
            columns += [[text_line(title, wide, palette.ink, palette.head, bold=True, indent=0), *drawn], blank]
        filled = [line([], width - 2 * wide - 1, palette.ground)] * height
        body = beside([columns[0], blank, columns[2], filled])
        legend = next((text for text in LEGENDS if len(text) <= width), "")
        return [*body[:-1], text_line(legend, width, palette.quiet, palette.ground, indent=0)]

    def _before_and_after(self) -> Sequence[tuple[str, Band]]:
        ways = self._ways
        wrong = dict.fromkeys(ways.wrong, WRONG)
        left, meant = ways.left_as_it_is, ways.meant
        out = {**dict.fromkeys(ways.out, CHANGED), **wrong}
        leave = {**dict.fromkeys(ways.accepted, OTHERWISE), **wrong}
        if self._way is Way.TAKE_OUT:
            return [
                ("now", self._band(left, out, tied=True)),
                ("as planned" if ways.planned_again else "as charted", self._band(meant, {})),
            ]
        mended = ways.mended
        if self._way is Way.MEND and mended is not None:
            mend = dict.fromkeys(ways.mended_otherwise, OTHERWISE)
            mend = {**mend, **dict.fromkeys(ways.changes, CHANGED), **wrong}
            return [("left", self._band(left, leave)), ("changed", self._band(mended, mend))]
        return [("as charted", self._band(meant, {})), ("left", self._band(left, leave))]

    def _band(self, piece: WholePiece, signs: Mapping[int, str], *, tied: bool = False) -> Band:
        held = self._ways.held
        wrong = self._ways.first
        row = held.whole.step(wrong).row
        is_there = held.progress.is_tied if tied else _always
        top = max(1, row - 2 + self._scrolled)
        across = place_across(piece, wrong)
        return Band(piece.on_screen(self.depth), self._letters, is_there, signs, row, across, top)

    def heard_first(self) -> Sequence[str]:
        """What is wrong, and every way with its cost."""
        wrong = f"Three ways on. {self._ways.wrong_words()}"
        return [wrong, *(self._heard(way) for way in Way), "Press 1, 2 or 3. Escape: back"]

    def heard(self) -> Sequence[str]:
        """The way that is looked at, and what was found to change."""
        looked_at = [f"{self._heard(self._way)}. {self._enter_heard}"] if self._moved else []
        return [*looked_at, self._heard(Way.MEND)]

    @property
    def _enter_heard(self) -> str:
        if self._ways.can_choose(self._way):
            return "Enter: this one"
        return "Not yet" if self.search is not None else "Not possible"

    def _heard(self, way: Way) -> str:
        return f"{way.key}: {' '.join(self._cost(way).says)}".rstrip(".")

    # What the keys do.

    def stopped(self) -> None:
        """The ways that are known stay."""

    def action_take(self, key: str = "") -> None:
        """Returns a way, unless there is none such; enter only one that was looked at."""
        if not key and not self._moved:
            return
        way = Way(key) if key else self._way
        self._way = way
        if self._ways.can_choose(way):
            self.dismiss(way)
        else:
            self.show()

    def action_walk(self, by: int) -> None:
        """Looks at another way."""
        ways = list(Way)
        self._moved = True
        self._way = ways[(ways.index(self._way) + by) % len(ways)]
        self.show()

    def action_draw(self) -> None:
        """Shows the band alone, or the ways again."""
        self._alone = not self._alone
        self.show()

    def action_scroll(self, by: int) -> None:
        """Moves the pictures to later or earlier rows."""
        last = self._ways.held.whole.main.work.rows - self._ways.held.whole.step(self._ways.first).row
        self._scrolled = min(max(0, self._scrolled + by * self._page), max(0, last))
        self.show()

    def action_back(self) -> None:
        """Goes back to the last answer."""
        self.dismiss(GoBack.BACK)

    def action_escape(self) -> None:
        """Stops the search; without one, goes back."""
        if not self.stop_search():
            self.action_back()


def _always(_: int) -> bool:
    return True
