"""Chooses the wrong knot, on the band or by walking back; and begins what helps to find it, or a lost place."""

from collections.abc import Callable, Sequence
from typing import NamedTuple

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.help import HelpPageScreen
from benchmate.bench.screens.lines_screen import ARROWS_AND_BACKSPACE, LinesScreen
from benchmate.bench.screens.page import foot_lines
from benchmate.bench.screens.trouble.chosen_knot_picture import picture_of
from benchmate.bench.screens.trouble.found_screen import FoundScreen
from benchmate.bench.screens.trouble.hanging_screen import HangingScreen
from benchmate.bench.screens.trouble.knot_colour_screen import KnotColourScreen
from benchmate.bench.screens.trouble.lost_place_screen import LostPlaceScreen
from benchmate.bench.screens.trouble.pointed_screen import PointedScreen, Shows, WasMade
from benchmate.bench.screens.trouble.running_short_screen import RunningShortScreen
from benchmate.bench.screens.trouble.search_screen import GoBack
from benchmate.bench.screens.trouble.ways_screen import WaysScreen
from benchmate.bench.terminal.judged_key import Key
from benchmate.bench.zones.edges import with_edges
from benchmate.bench.zones.large_field import large
from benchmate.craft.wording import step_words
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.prompts import Happened
from benchmate.display.cells import Line, beside, clipped, text_line, width_of
from benchmate.piece_questions import knot_choices
from benchmate.piece_questions.trouble import known_mistakes, lost_place, lost_place_words
from benchmate.piece_questions.trouble.knot_places import place_across
from benchmate.piece_questions.trouble.lost_place import FoundPlace
from benchmate.piece_questions.trouble.ways_on import WayOn, WaysOn
from benchmate.piece_questions.trouble.what_went_wrong import WhatWentWrong, WrongKnots
from benchmate.store.open_piece import OpenPiece

QUESTION = "Which is wrong?"
ANOTHER_COLOUR = "Another colour? c."
NOTHING_TIED = "Nothing is tied yet."
ROOMY = 20
"""From so many lines on, every key has a line of its own."""


class Chosen(NamedTuple):
    """What to do on the step screen: a change of the piece, where there is one; and what to say after it.

    By ear that is `heard`, where it is not the same.
    """

    change: Callable[[], None] | None
    notice: str = ""
    happened: Happened = Happened.RESUMED
    heard: str | None = None


def going_to(held: OpenPiece, place: FoundPlace) -> Chosen:
    """Goes to a place; by ear it is said where that is, and not where the piece was."""
    notice, heard = lost_place_words.notice(held, place), lost_place_words.remembered(held, place)
    return Chosen(lambda: place.set_in(held), notice, Happened.JUMPED, heard)


class WrongKnotScreen(LinesScreen[Chosen]):
    """Moves over the tied knots; the result is what follows from the chosen one, or from what was found out."""

    repeats = ARROWS_AND_BACKSPACE

    def __init__(self, bench: Bench, held: OpenPiece) -> None:
        """Where no step of `held` is tied, no knot can be chosen."""
        super().__init__(bench)
        self._held = held
        self._history = list(held.progress.history)
        self._at = len(self._history) - 1
        self._aim: int | None = None
        """The position to keep to while moving by rows, so that up and then down return to the same knot."""
        self._went = WhatWentWrong(held)
        self._typed = False
        """True once the maker has said how the strings hang."""
        keys: dict[str, Callable[[], object]] = {
            "left backspace pageup": lambda: self._walk(-1),
            "right pagedown": lambda: self._walk(1),
            "up": lambda: self._walk_by_row(-1),
            "down": lambda: self._walk_by_row(1),
            "enter space": self._choose,
            "s": self._strings,
            "c": self._point,
            "k": self._known,
            "t": self._three_ways,
            "a": self._as_charted,
            "d": self._drop,
            "w": self._lost,
            "l": self._short_string,
            "h": self._help,
            "escape q u": self.dismiss,
        }
        self._does = {key: does for several, does in keys.items() for key in several.split()}

    @property
    def _number(self) -> int:
        return self._history[self._at]

    # What is shown.

    def lines(self, width: int, height: int) -> list[Line]:
        """The knot in large type, how many to undo to reach it, the keys, and the band with its place.

        In a low window the keys stand below all of it, and the band gives its room to what else has to be read.
        """
        quiet, ground = self.palette.quiet, self.palette.ground
        feet = [text_line(text, width, quiet, ground) for text in self._feet(width, height)]
        height -= len(feet)
        picture: list[Line] = []
        name, field, edges = NOTHING_TIED, self.palette.field, []
        if self._history:
            held, number = self._held.on_screen(self.depth), self._number
            part, step = held.whole.part_of(number), held.whole.step(number)
            picture = picture_of(self._went, held, number, width, height, self.palette)
            name, string = step_words.name_of(part, step), part.design.family.step_view.field(step)
            if string is not None:
                field = part.design_at(number).value_of(string)
                edges = [field]
        beside_it = width - (width_of(picture[0]) if picture else 0)
        below = self._below(beside_it, height, roomy=not feet)
        if picture and len(below) >= height:
            picture, beside_it, below = [], width, self._below(width, height, roomy=not feet)
        lines = [*large(name, beside_it, max(1, height - len(below)), field), *below][:height]
        lines = with_edges(lines, edges, ground)
        return [*(beside([lines, picture]) if picture else lines), *feet]

    def _below(self, width: int, height: int, *, roomy: bool) -> list[Line]:
        """What is said of the knot; with `roomy`, every key too, on a line of its own."""
        ink, quiet, ground = self.palette.ink, self.palette.quiet, self.palette.ground
        told = [
            text_line(part, width, ink if bold else quiet, ground, bold=bold)
            for text, bold in self._texts(roomy=roomy)
            for part in clipped(text, max(1, width - 2), max(1, height // 2))
        ]
        keys = [says or key for key, says in self._keys] if roomy else []
        return [*told, *(text_line(text, width, quiet, ground) for text in keys)]

    def _feet(self, width: int, height: int) -> Sequence[str]:
        """The keys in few words, where there is no line for each."""
        keys = [] if height >= ROOMY else [key for key, _ in self._keys if key]
        return list(filter(None, foot_lines(keys, width, max(1, height // 2))))

    def _texts(self, *, roomy: bool) -> list[tuple[str, bool]]:
        """What is said of the knot, each with whether it stands in bold letters."""
        if not self._history:
            return []
        whole = self._held.whole
        crossed = step_words.crossed(whole.part_of(self._number), whole.step(self._number))
        known = known_mistakes.left_wrong(self._held, self._number)
        place = knot_choices.tied_knot(self._held, self._number)
        to_reach = knot_choices.how_many_out(self._held, self._number, ANOTHER_COLOUR)
        told = [(f"{QUESTION} {place}", True), (crossed, False), (known, True), (to_reach, True)]
        if known and not roomy:
            del told[1]
        return [(text, bold) for text, bold in told if text or not bold]

    @property
    def _keys(self) -> list[tuple[str, str]]:
        """The keys that do something now: in few words, and, where that differs, with all that they do."""
        held = self._held
        keys = [("arrows: walk", "left/right: walk"), ("", "up/down: by row")]
        # A knot that is known to be wrong need not be called so.
        keys.append(("enter: take it out" if self._is_known else "enter: this one", ""))
        keys = [*keys, ("escape: none", "")] if self._history else []
        if self._is_known:
            keys.append(("t: three ways", "t: three ways on from it"))
        if self._history and self._number in held.mistakes:
            keys.append(("a: as charted", "a: it is as charted after all"))
        if count := len(known_mistakes.known(held)):
            keys.append((f"k: known ({count})", f"k: next knot left wrong ({count})"))
        if count := len(held.changes):
            keys.append(("d: drop change", f"d: drop the planned change ({counted(count, 'knot')})"))
        if self._went.possible:
            keys += [("s: strings", "s: type how the strings hang"), ("c: colour", "c: its colour, or how you made it")]
        elif self._colour_is_enough:
            keys.append(("c: colour", "c: it shows another colour"))
        if lost_place.can_find(held):
            keys.append(("w: where", "w: where am I"))
        if self._went.knows_strings:
            keys.append(("l: short", "l: a string runs short"))
        keys.append(("h: help", "h: small trouble"))
        return keys if self._history else [*keys, ("escape: back", "")]

    @property
    def _is_known(self) -> bool:
        return bool(self._history) and self._number in known_mistakes.known(self._held)

    @property
    def _colour_is_enough(self) -> bool:
        return bool(self._history) and self._went.colour_is_enough(self._number)

    def heard_first(self) -> Sequence[str]:
        """The question, the knot, and the keys."""
        if not self._history:
            return [NOTHING_TIED, *self._keys_heard]
        return [QUESTION, *self.heard(), *self._keys_heard]

    @property
    def _keys_heard(self) -> Sequence[str]:
        words = ", ".join(says or key for key, says in self._keys).replace("/", " or ")
        return [f"{words[0].upper()}{words[1:]}"]

    def heard(self) -> Sequence[str]:
        """The knot, and how many to undo to reach it."""
        if not self._history:
            return [NOTHING_TIED]
        whole = self._held.whole
        part, step = whole.part_of(self._number), whole.step(self._number)
        crossed = step_words.crossed(part, step)
        place = knot_choices.tied_knot(self._held, self._number)
        knot = ", ".join(filter(None, (place, step_words.name_of(part, step).rstrip("."), crossed)))
        known = known_mistakes.left_wrong(self._held, self._number)
        to_reach = knot_choices.how_many_out(self._held, self._number, ANOTHER_COLOUR)
        return [knot, *filter(None, [known, to_reach])]

    # What the keys do.

    def take_key(self, event: Key) -> bool:
        """Does what the key is for."""
        if does := self._does.get(event.key):
            does()
        return True

    def _walk(self, by: int) -> None:
        """Moves to the knot tied before or after."""
        if self._history:
            self._aim = None
            self._at = min(max(0, self._at + by), len(self._history) - 1)
            self.show()

    def _walk_by_row(self, by: int) -> None:
        """Moves to the nearest tied knot in a row before or after."""
        if not self._history:
            return
        work, progress = self._held.whole, self._held.progress
        number = self._number
        row = work.row_of(number) + by
        self._aim = aim = self._aim or place_across(work, number)
        while 1 <= row <= work.rows:
            first, end = work.span(row)
            tied = [other for other in range(first, end) if progress.is_tied(other)]
            if tied:
                nearest = min(tied, key=lambda other: abs(place_across(work, other) - aim))
                self._at = self._history.index(nearest)
                self.show()
                return
            row += by

    def _known(self) -> None:
        """Moves to the next knot before this one that was left wrong; from the first one to the last."""
        places = [self._history.index(step) for step in known_mistakes.known(self._held)]
        if places:
            self._aim = None
            self._at = max((at for at in places if at < self._at), default=max(places))
            self.show()

    # What is chosen.

    def _choose(self) -> None:
        """Returns the chosen knot."""
        if self._history:
            number = self._number
            self.dismiss(Chosen(lambda: self._held.mark_wrong(number)))

    def _as_charted(self) -> None:
        """Takes back that the knot is wrong."""
        if self._history and self._number in self._held.mistakes:
            number = self._number
            words = known_mistakes.taken_back_words(self._held, number)
            self.dismiss(Chosen(lambda: known_mistakes.take_back(self._held, number), words))

    def _drop(self) -> None:
        """Drops the planned change."""
        if self._held.changes:
            self.dismiss(Chosen(self._held.drop_changes, known_mistakes.dropped_words(self._held)))

    # What went wrong.

    def _strings(self) -> None:
        """Asks how the strings hang, and then what explains that."""
        if self._went.possible:
            values = self._held.whole.main.design.on_screen(self.depth).colours
            colours = {name: colour.value for name, colour in values.items()}
            went = self._went
            screen = HangingScreen(self.bench, went.believed, went.colours, colours, went.seen, went.believed_words)
            self.app.push_screen(screen, self._hang)

    def _hang(self, seen: Sequence[str] | None) -> None:
        if seen is None:
            self._went.forget()
            self.show()
            return
        self._typed = True
        self._went.hang(seen)
        self.app.push_screen(FoundScreen(self.bench, self._went), self._explained)

    def _point(self) -> None:
        """Asks what the knot shows, and then, where that is not enough, what explains it."""
        if self._colour_is_enough:
            step = self._number
            asked = KnotColourScreen(self.bench, self._went, step)
            self.app.push_screen(asked, lambda colour: self._in_colour(step, colour))
        elif self._went.possible and self._went.is_band(self._number):
            number = self._number
            screen = PointedScreen(self.bench, self._went, number)
            self.app.push_screen(screen, lambda told: self._pointed(number, told))

    def _in_colour(self, number: int, colour: str | None) -> None:
        """Marks the knot and what it holds in the colour it shows."""
        if colour is None:
            self.show()
        else:
            wrong = self._went.wrong_together(number, colour)
            self.dismiss(Chosen(lambda: self._held.mark_wrong(*wrong)))

    def _pointed(self, number: int, told: Shows | WasMade | None) -> None:
        if isinstance(told, WasMade):
            self._ask_way(WrongKnots({number: told.made}), self._point)
        elif told is None:
            self.show()
        else:
            self._went.point(number, told.colour)
            if self._typed:
                self._hang(self._went.seen)
            else:
                self._strings()

    def _explained(self, wrong: WrongKnots | GoBack | None) -> None:
        if wrong is None:
            # What was answered on the way may be what was wrong.
            self._went.forget()
            self.show()
        elif isinstance(wrong, GoBack):
            self._strings()
        else:
            self._ask_way(wrong, self._answer_again)

    def _answer_again(self) -> None:
        """Goes back to the last answer; one wrong answer is no reason to give all of them again."""
        went = self._went
        if went.take_back() and (went.shows or went.seen != went.believed):
            self.app.push_screen(FoundScreen(self.bench, went), self._explained)
        else:
            self._strings()

    def _three_ways(self) -> None:
        """Asks for the way on from a knot that is known to be wrong."""
        if self._is_known:
            self._ask_way(WrongKnots({self._number: self._held.whole.how_made(self._number)}), self.show)

    def _ask_way(self, wrong: WrongKnots, back: Callable[[], None]) -> None:
        """Asks for the way on; `back` goes back to what was asked before."""
        ways = WaysOn(self._held, wrong)

        def taken(way: WayOn | GoBack | None) -> None:
            if way is None:
                self._went.forget()
                self.show()
            elif isinstance(way, GoBack):
                back()
            else:
                self.dismiss(Chosen(lambda: ways.choose(way), ways.chosen_words(way)))

        self.app.push_screen(WaysScreen(self.bench, ways, self._went.colours), taken)

    # Other trouble.

    def _lost(self) -> None:
        """Finds the place again."""
        if lost_place.can_find(self._held):
            self.app.push_screen(LostPlaceScreen(self.bench, self._held), self._place_found)

    def _place_found(self, found: FoundPlace | None) -> None:
        if found is None:
            self.show()
        else:
            self.dismiss(going_to(self._held, found))

    def _short_string(self) -> None:
        """Asks about a string that runs short."""
        if self._went.knows_strings:
            self.app.push_screen(RunningShortScreen(self.bench, self._held), self._short)

    def _short(self, notice: str | None) -> None:
        if notice is None:
            self.show()
        else:
            self.dismiss(Chosen(None, notice))

    def _help(self) -> None:
        """Opens the page about small trouble."""
        self.app.push_screen(HelpPageScreen(self.bench, "trouble"), lambda _: self.show())
