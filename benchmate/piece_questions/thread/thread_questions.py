"""Thread, from the first screen or the list: the gauges, a swatch, a thread of the maker's own, the measurements."""

from collections.abc import Callable

from benchmate.craft.thread.kinds import thickness_of_tex
from benchmate.craft.wording.gauge_words import rests_on
from benchmate.files.safe_text import shown
from benchmate.piece_questions.thread import gauge_pages
from benchmate.piece_questions.thread.dialogue import Choose, Dialogue, Name, Number, OpenBox, Say, choose, name, number
from benchmate.piece_questions.thread.swatch import HEADING, KNOTS, NOTHING_KEPT, ORDER, SWATCHES, Measuring, Swatch
from benchmate.piece_questions.typed_numbers import Asked, Wish
from benchmate.store.database import Database
from benchmate.store.errors import StoreError
from benchmate.store.thread import gauges
from benchmate.store.thread.box import Box
from benchmate.thread_gauges import estimate_named

OWN = "OWN THREAD"
SLIPS = ("no, knots hold in it", "yes, knots slip")


class ThreadQuestions:
    """All there is to ask about thread, whichever front asks it."""

    def __init__(self, database: Database, units: str) -> None:
        self._database = database
        self._home = database.home
        self._units = units

    def lead(self) -> Dialogue[None]:
        """Asks what to do, and does it, until nothing is chosen."""
        does: list[tuple[str, Callable[[], Dialogue[None]]]] = [
            ("gauges: what knots take of each thread", self._list_gauges),
            ("measure a swatch, for better cut lists", self._measure_one),
            ("your measurements, and taking them back", self._list_measurements),
            ("your box: skeins and offcuts", self._open_box),
        ]
        while (at := (yield from choose(Choose("THREAD", "", [says for says, _ in does])))) is not None:
            try:
                yield from does[at][1]()
            except StoreError as error:
                yield Say(shown(str(error)), refused=True)

    def _open_box(self) -> Dialogue[None]:
        yield OpenBox(Box(self._database), gauges.names(self._home))

    # Gauges

    def _list_gauges(self) -> Dialogue[None]:
        while True:
            listed = gauge_pages.list_lines(self._home, self._units)
            choices = [*(line for _, line in listed), "add a thread of your own"]
            at = yield from choose(Choose("GAUGES", "", choices))
            if at is None:
                return
            if at == len(listed):
                yield from self._add_own()
            elif (yield from self._show_gauge(listed[at][0])):
                yield from self._measure(listed[at][0])
                return

    def _show_gauge(self, gauge: str) -> Dialogue[bool]:
        """All about one gauge; true when a swatch of it is to be measured."""
        first, *others = gauge_pages.detail_lines(self._home, gauge, self._units)
        return (yield from choose(Choose("GAUGE", first, ["measure a swatch of it"], others))) is not None

    # A thread of the maker's own

    def _add_own(self) -> Dialogue[None]:
        called = ""
        while called := (yield from self._name(called)):
            kept = gauges.own_thread(self._home, called)
            if kept is not None:
                says = f"You have {called}: {gauge_pages.own_words(kept)}. Replace that?"
                if not (yield from choose(Choose(OWN, says, ["no, keep it", "yes, replace it"]))):
                    return
            way = yield from choose(Choose(OWN, f"How thick is {called}?", gauge_pages.WAYS))
            if way is None:
                continue
            thickness = yield from self._thickness(called, gauge_pages.WAYS[way])
            if thickness is None:
                return
            slips = yield from choose(Choose(OWN, f"Is {called} slippery, as metallic thread is?", SLIPS))
            if slips is not None:
                yield Say(gauge_pages.keep_own(self._database, called, thickness, slippery=slips == 1))
            return

    def _name(self, typed: str) -> Dialogue[str]:
        """A name that a thread can have; empty for leaving."""
        while True:
            answer = yield from name(Name(OWN, "Type what you call this thread.", typed))
            if answer is None:
                return ""
            typed = answer.strip()
            fault = gauge_pages.name_fault(typed)
            if not fault:
                return typed
            yield Say(fault, refused=True)
            typed = ""

    def _thickness(self, called: str, way: str) -> Dialogue[float | None]:
        if way == gauge_pages.BY_TEX:
            tex = yield from self._number(gauge_pages.ask_tex(called))
            return None if tex is None else thickness_of_tex(tex)
        turns = yield from self._number(gauge_pages.ask_turns(called))
        if turns is None:
            return None
        mm = yield from self._number(gauge_pages.ask_wrapped(called, turns, self._units))
        return None if mm is None else mm / turns

    def _number(self, asked: Asked) -> Dialogue[float | None]:
        typed = yield from number(Number(asked, {Wish.SKIP: "back"}))
        return typed.number if typed.wish is Wish.TAKE else None

    # A swatch

    def _measure_one(self) -> Dialogue[None]:
        names = gauges.names(self._home)
        at = yield from choose(Choose(HEADING, "Of which thread?", names))
        if at is not None:
            yield from self._measure(names[at])

    def _measure(self, gauge: str) -> Dialogue[None]:
        """Asks which swatch, says what to make, and asks what was measured of it."""
        while True:
            says = [swatch.says for swatch in SWATCHES]
            at = yield from choose(Choose(HEADING, f"Which swatch of {gauge}?", says))
            if at is None:
                return
            made = ["it is made: type what you measured"]
            if (yield from choose(Choose(HEADING, "", made, SWATCHES[at].does))) is not None:
                yield Say((yield from self._ask_swatch(gauge, SWATCHES[at])))
                return

    def _ask_swatch(self, gauge: str, swatch: Swatch) -> Dialogue[str]:
        """Asks all about it, and whether to keep it; what became of it, in words."""
        measuring, at = Measuring(swatch, estimate_named(self._home, gauge), self._units), 0
        while at < len(ORDER):
            wish = yield from self._ask_one(measuring, ORDER[at])
            if wish is Wish.LEAVE:
                return NOTHING_KEPT
            at = max(0, at - 1) if wish is Wish.BACK else at + 1
        return (yield from self._keep_or_correct(gauge, measuring))

    def _ask_one(self, measuring: Measuring, what: str) -> Dialogue[Wish]:
        asked, known = measuring.ask(what), measuring.typed.get(what)
        skips = f"keep {measuring.knots}" if what == KNOTS else "skip"
        wishes = {Wish.SKIP: skips, Wish.BACK: "back", Wish.LEAVE: "leave the swatch"}
        typed = yield from number(Number(asked, wishes, "" if known is None else asked.words(known)))
        if typed.wish is Wish.TAKE:
            measuring.typed[what] = typed.number
        elif typed.wish is Wish.SKIP and what != KNOTS:
            measuring.typed.pop(what, None)
        return typed.wish

    def _keep_or_correct(self, gauge: str, measuring: Measuring) -> Dialogue[str]:
        """Shows the gauge before and after, to keep or not."""
        while seen := measuring.seen():
            first, *others = measuring.changes(gauges.estimate_with(self._home, gauge, also=seen))
            answers = measuring.answers
            does = [f"keep it, for {gauge}", *(f"correct {says}" for says in answers.values()), "throw it away"]
            at = yield from choose(Choose(HEADING, first, does, others, leaves="throw it away"))
            if at == 0:
                gauges.record(self._database, gauge, seen)
                return f"Kept. {gauge}: {rests_on(estimate_named(self._home, gauge))}."
            if at is None or at == len(does) - 1:
                break
            if (yield from self._ask_one(measuring, list(answers)[at - 1])) is Wish.LEAVE:
                break
        return NOTHING_KEPT

    # What was measured

    def _list_measurements(self) -> Dialogue[None]:
        while measured := gauge_pages.measurement_lines(self._home):
            says = [each for _, each in measured]
            at = yield from choose(Choose("YOUR MEASUREMENTS", "Which to take back?", says))
            if at is None:
                return
            choices = ["yes, take it back", "no, keep it"]
            if (yield from choose(Choose("TAKE IT BACK?", says[at], choices, at=1))) == 0:
                yield Say(gauge_pages.take_back(self._database, measured[at][0]))
                return
        yield Say("No measurements yet.")
