"""Finds the place in a piece again, from how the strings hang and the last knots."""

from collections.abc import Sequence

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.trouble.hanging_screen import HangingScreen
from benchmate.bench.screens.trouble.lost_place_picture import picture_of
from benchmate.bench.screens.trouble.question_page import answers_heard, keys_heard, question_page
from benchmate.bench.screens.trouble.search_screen import SearchingScreen
from benchmate.bench.screens.trouble.slots_screen import SlotsScreen
from benchmate.bench.terminal.judged_key import Key
from benchmate.craft.start_band_finish import WholePiece
from benchmate.craft.trouble.made_otherwise import MadeOtherwise
from benchmate.display.cells import Line, beside, width_of
from benchmate.piece_questions.trouble import lost_place_words as words
from benchmate.piece_questions.trouble.hanging_colours import NOTHING, UNKNOWN, LetteredColour, lettered
from benchmate.piece_questions.trouble.lost_place import FoundPlace, LostPlace, Searched
from benchmate.piece_questions.trouble.place_questions import Asked, Candidate
from benchmate.store.open_piece import OpenPiece

AT_ONCE = 5000
"""Up to so many steps, the search takes no longer than a press may."""
MOVES = {"up": -1, "left": -1, "down": 1, "right": 1, "pageup": -8, "pagedown": 8, "home": -(10**6), "end": 10**6}
"""How far each key moves in the list of places."""
MOST_DIGITS = 6
ROOMY = 20
"""In a window of fewer lines not everything that is said may have room."""
LISTED = 24
"""How many places are put on the page: more than it shows."""
BACK = "backspace"
LOOKING = "Looking for the place"


class LostPlaceScreen(SearchingScreen[FoundPlace]):
    """Asks how the strings hang, then about the last knots; the result is the place found, or None."""

    def __init__(self, bench: Bench, held: OpenPiece) -> None:
        """`held` is a piece in which a place can be found."""
        super().__init__(bench)
        self._held = held
        self._lost = LostPlace(held)
        self._colours = lettered(held.whole.main.design)
        self._asked: Asked | None = None
        self._at: int | None = None
        """The place that is looked at; None for the question."""
        self._digits = ""
        self._says = ""
        self._seen: Sequence[str] | None = None
        self._made: tuple[MadeOtherwise, WholePiece] | None = None

    # The strings, and the search.

    def on_mount(self) -> None:
        """Asks for the strings first, where they tell something."""
        if self._lost.strings_tell:
            self._ask_for_strings(self._lost.believed)
        else:
            self._look()

    def _ask_for_strings(self, shown: Sequence[str]) -> None:
        lost, colours = self._lost, list(self._colours)
        seen = self._held.on_screen(self.depth).whole.main.design
        values = {colour.name: seen.colours[colour.name].value for colour in colours}
        if lost.in_slots:
            values[""] = self.palette.ground
            colours.append(LetteredColour(NOTHING, "", "empty", values[""]))
        kind = SlotsScreen if lost.in_slots else HangingScreen
        screen = kind(self.bench, lost.believed, colours, values, shown)
        self.app.push_screen(screen, self._strings_seen)

    def _strings_seen(self, seen: Sequence[str] | None) -> None:
        if seen is None:
            self.dismiss(None)
            return
        self._seen = list(seen)
        self._lost.answers.clear()
        self._look()

    def _look(self) -> None:
        """Searches: at once where that is short."""
        seen = self._seen
        if len(self._lost.sequence) <= AT_ONCE:
            self._lost.take_in(self._lost.search(seen))
            self._ask()
        else:
            self.begin_search(lambda report: self._lost.search(seen, report), self._take_in)
        self.show()

    def _take_in(self, searched: Searched) -> None:
        self._lost.take_in(searched)
        self._ask()

    def _ask(self) -> None:
        self._asked = self._lost.question()
        self._at = None if self._asked is not None else 0

    def stopped(self) -> None:
        """Goes back to the strings, or leaves."""
        if self._lost.strings_tell and self._seen is not None:
            self._ask_for_strings(self._seen)
        else:
            self.dismiss(None)

    # What is shown and heard.

    def lines(self, width: int, height: int) -> list[Line]:
        """The question with its answers, the places that fit, and the band at one of them."""
        picture: list[Line] = []
        looked_at = self._looked_at
        if looked_at is not None:
            asked = self._asked if self._at is None else None
            whole = self._piece(looked_at).on_screen(self.depth)
            picture = picture_of(self._lost, looked_at, asked, whole, self._colours, width, height, self.palette)
        if picture:
            width -= width_of(picture[0])
        texts = self._texts(low=height < ROOMY)
        page = question_page(self._heading, self._answers, texts, self._keys, None, width, height, self.palette)
        return beside([page, picture]) if picture else page

    def _piece(self, place: Candidate) -> WholePiece:
        """The piece as a place has it; the last one is kept, as it is drawn again and again."""
        made = self._lost.found(place).made
        if self._made is None or self._made[0] != made:
            whole = self._held.whole
            self._made = made, whole.made_otherwise(made) if made else whole
        return self._made[1]

    @property
    def asked(self) -> object:
        """The question, the place that is looked at, and whether a number is typed."""
        return self._asked, self._at, bool(self._digits)

    @property
    def _looked_at(self) -> Candidate | None:
        places = self._places
        return places[self._at or 0][0] if places else None

    @property
    def _places(self) -> Sequence[Sequence[Candidate]]:
        """The places that fit, each with the ways in which its wrong knot can have been made."""
        return [] if self._lost.searched is None or self.search is not None else self._lost.places

    @property
    def _heading(self) -> str:
        """In large type: what is asked, or the place that is looked at."""
        place = self._looked_at
        if self.search is not None:
            return f"{LOOKING}{self.share_words}"
        if self._digits:
            return f"{words.counting(self._lost)}: {self._digits}"
        if place is None:
            return "Nothing fits"
        if self._asked is not None and self._at is None:
            return f"{words.asked_in_brief(self._lost, self._asked)}?".capitalize()
        return words.place_in_brief(self._lost, place)

    @property
    def _answers(self) -> Sequence[str]:
        if self._asked is None or self._at is not None or self._digits or not self._places:
            return []
        told = words.answers(self._lost, self._asked, self._colours)
        return [", ".join(f"{letter} {says}" for letter, says in told)]

    def _texts(self, *, low: bool) -> list[str]:
        """What fits, and the places around the one that is looked at; in a `low` window that one comes first, whole."""
        if self._lost.searched is None or self.search is not None:
            return []
        lost, places = self._lost, self._places
        first = [self._says] if self._says else []
        first.append(words.fits(lost))
        if not places:
            return [*first, words.nothing_fits(lost, BACK)]
        if self._asked is None and len(places) > 1:
            first.append(words.count_asked(lost))
        at = self._at or 0
        begin = max(0, at - 1)
        listed = [
            f"{'> ' if here == self._at else ''}{words.place(lost, places[here])}"
            for here in range(begin, min(len(places), begin + LISTED))
        ]
        if low and self._at is not None:
            first.insert(1 if self._says else 0, listed.pop(at - begin))
        return [*first, *listed]

    @property
    def _keys(self) -> Sequence[str]:
        if self.search is not None:
            return ["escape: stop the search"]
        if self._digits:
            return ["enter: take the number", "backspace: correct it"]
        keys = []
        if self._at is not None and self._places:
            keys.append("enter: set the piece here")
        if len(self._places) > 1:
            keys += ["up/down: see each", f"digits: {words.counting(self._lost)}"]
        elif self._places and self._lost.row_may_be_another:
            keys.append(f"digits: {words.not_there(self._lost)}")
        again = ["backspace: answer again"] if self._lost.answers or self._seen is not None else []
        return [*keys, *again, "escape: leave"]

    def heard(self) -> Sequence[str]:
        """How many places fit and what is asked next, or the place that is looked at; and the keys."""
        lost, place = self._lost, self._looked_at
        if self.search is not None:
            return [f"{LOOKING}, escape: stop"] if self.takes_long else []
        if lost.searched is None:
            return []
        keys = keys_heard(self._keys)
        if self._digits:
            return [self._heading, *keys]
        said = [*([self._says] if self._says else []), words.fits(lost)]
        if place is None:
            return [*said, words.nothing_fits(lost, BACK), *keys]
        if self._asked is not None and self._at is None:
            spoken = answers_heard(words.answers(lost, self._asked, self._colours))
            return [*said, words.question(lost, self._asked), *spoken, *keys]
        return [*said, words.place(lost, self._places[self._at or 0]), *keys]

    # What the keys do.

    def on_key(self, event: Key) -> None:
        """A letter answers, a number narrows, enter sets the place that is looked at."""
        event.stop()
        key = event.key
        if key == "escape":
            if not self.stop_search():
                self.dismiss(None)
            return
        if self.search is not None or self._lost.searched is None:
            return
        self._says = ""
        if key == "enter":
            self._enter()
        elif key == "backspace":
            self._back()
        elif key in MOVES and self._places:
            self._walk(MOVES[key])
        elif event.character is not None and event.character in "0123456789":
            self._digits = (self._digits + event.character)[:MOST_DIGITS]
        elif event.character is not None and self._asked is not None:
            self._answer(self._asked, event.character.casefold())
        self.show()

    def _enter(self) -> None:
        if self._digits:
            number, self._digits = int(self._digits), ""
            if self._lost.say_number(number):
                self._narrowed()
            else:
                self._says = words.no_such_number(self._lost, number)
        elif self._places and self._at is None:
            self._at = 0
        elif self._at is not None and self._places:
            place = self._lost.choose(self._at)
            if place is None:
                self._narrowed()
            else:
                self.dismiss(self._lost.found(place))

    def _back(self) -> None:
        if self._digits:
            self._digits = self._digits[:-1]
        elif self._lost.take_back():
            self._narrowed()
        elif self._seen is not None:
            self._ask_for_strings(self._seen)

    def _walk(self, by: int) -> None:
        """Looks at another place, and from the first one back at the question."""
        at = (-1 if self._at is None else self._at) + by
        self._at = None if at < 0 and self._asked is not None else min(max(0, at), len(self._places) - 1)

    def _answer(self, asked: Asked, letter: str) -> None:
        names = {colour.letter: colour.name for colour in self._colours}
        if letter == UNKNOWN:
            self._lost.cannot_tell(asked)
        elif letter in names:
            self._lost.answer(asked, names[letter])
        elif letter == NOTHING and None in asked.colours:
            self._lost.answer(asked, None)
        else:
            return
        self._narrowed()

    def _narrowed(self) -> None:
        """Goes on with the places that are left; searches again where others can fit now."""
        if self._lost.needs_search:
            self._look()
        else:
            self._ask()
