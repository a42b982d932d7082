"""A simulated maker who errs, loses the place and runs short of a string, and does only what the program advises."""

from collections.abc import Sequence
from math import log2
from random import Random
from typing import NamedTuple

from benchmate.craft.thread.gauge import FLOSS
from benchmate.craft.trouble.made_otherwise import EVERY_KIND, Made, token
from benchmate.craft.trouble.trouble import Lasting, Mending, Place, Places, Why, WrongKnot
from benchmate.families.diagonal.work import DiagonalWork
from benchmate.families.registry import trouble_of
from benchmate.store.open_piece import OpenPiece
from tests.measure.band_in_hand import BandInHand, LooseEnd

ERRS = 1 / 80
"""How often a knot is made in another way than charted."""
FORGETS = 1 / 5
"""How often a knot that is to be changed is made as charted after all."""
ROWS_LATE = 3
"""A mistake is noticed at most so many rows after it can be seen."""
LOSSES = 2
"""How often the place is lost."""
NEW_STRING = 5000.0
"""A new string is so long, mm."""
MOST_INQUIRIES = 40
"""Whoever has to ask more often what went wrong was led astray."""


class Astray(AssertionError):
    """What the program advised did not help."""


class Asked(NamedTuple):
    """One inquiry into what went wrong: how many ways there were for it, how many colours were asked, and what came."""

    candidates: int
    questions: int
    pairs: bool


class Story(NamedTuple):
    """How a piece went.

    `looked_at` are the knots looked at to find a lost place, `counted` the places for which rows had to be counted too;
    `alike` are the knots made in another way than the program believes, which nobody can see.
    """

    knots: int
    mistakes: int
    asked: list[Asked]
    unexplained: int
    taken_out: int
    untied: int
    mended: int
    changed: int
    accepted: int
    lost: int
    looked_at: int
    counted: int
    laid_in: int
    tied_on: int
    alike: int
    as_charted: bool

    @property
    def questions(self) -> int:
        """How many colours of knots the maker was asked."""
        return sum(each.questions for each in self.asked)


def bits(asked: Sequence[Asked]) -> float:
    """The fewest questions with two answers that tell all candidates apart, on the average."""
    return sum(log2(max(1, each.candidates)) for each in asked) / max(1, len(asked))


class ErringMaker:
    """The maker of one piece, a diagonal band without start and finish."""

    def __init__(self, held: OpenPiece, chance: Random, *, errs: float = ERRS) -> None:
        self._held = held
        self._chance = chance
        self._errs = errs
        self._trouble = trouble_of(held.whole.main.design.family)
        self._band = BandInHand(held.charted.strings)
        size = held.whole.size
        self._losses = sorted(chance.sample(range(size // 10, size // 2), LOSSES))
        self._measures_at = chance.randrange(size // 10, size // 2)
        self._end: LooseEnd | None = None
        self._lasts: Lasting | None = None
        self._called = 0
        """The number by which the program knows the string that runs short."""
        self._erred = False
        """Whether a knot was made in another way since that string was measured."""
        self._notices: int | None = None
        self._comes_out_next: dict[int, Made] = {}
        self._mends: list[tuple[dict[int, Made], set[int]]] = []
        """The mistakes that were mended and are still there, each with the steps that were to be changed."""
        self._mistakes = self._unexplained = self._out = self._untied = self._mended = self._changed = 0
        self._accepted = self._lost = self._looked_at = self._counted = self._laid_in = self._tied_on = 0
        self._asked: list[Asked] = []

    def finish(self) -> Story:
        """Knots the piece to its end, and checks that it is what the program believes."""
        while True:
            if self._held.needs_plan:
                self._held.use_plan(self._held.plan())
            number, comes_out = self._held.current_step()
            if number is None:
                if not self._is_seen():
                    break
                self._put_right()
            elif comes_out:
                self._take_out(number)
            else:
                self._make(number)
                self._look_around()
        self._check_record()
        made = self._work_of()
        alike = sum(token(made.how_made(step)) != knot.kind for step, knot in self._band.knots.items())
        charted = self._work_of(charted=True)
        as_charted = all(self._band.shows(step) == _shown(charted, step) for step in range(charted.size))
        return Story(
            *(charted.size, self._mistakes, self._asked, self._unexplained, self._out, self._untied),
            *(self._mended, self._changed, self._accepted, self._lost, self._looked_at, self._counted),
            *(self._laid_in, self._tied_on, alike, as_charted),
        )

    def _work_of(self, *, charted: bool = False) -> DiagonalWork:
        work = (self._held.charted if charted else self._held.whole).main.work
        assert isinstance(work, DiagonalWork)
        return work

    @property
    def _order(self) -> list[int]:
        """The steps as they were tied, as far as the program knows, and the others as they come."""
        progress = self._held.progress
        return [*progress.history, *(step for step in self._held.order.sequence if not progress.is_tied(step))]

    def _make(self, step: int, *, told: bool = True) -> None:
        """Makes the step that is shown, or another knot by mistake; `told` is whether the program hears of it."""
        work = self._work_of()
        way = work.how_made(step)
        self._join_before(step)
        charted = self._work_of(charted=True).how_made(step)
        if way != charted and self._chance.random() < FORGETS:
            way = charted
            self._mistakes += 1
            self._erred = True
        elif self._chance.random() < self._errs:
            way = self._chance.choice([other for other in EVERY_KIND if other != way])
            self._mistakes += 1
            self._erred = True
        knot = self._band.make(step, work.left(step), token(way))
        if self._end is not None:
            self._end.made(step, work.row_of(step), knot)
            if self._end.mm < FLOSS.hold_mm - 1e-6 and self._lasts is not None:
                # Only a knot the program does not know of can take what it did not reckon with.
                if told and not self._erred and not self._is_seen():
                    raise Astray(f"string {self._end.string} gave out unforeseen in step {step}")
                self._join(laid_in=False)
        if told:
            self._held.finish_step()
            following = self._held.progress.next
            if following is not None and work.row_of(following) != work.row_of(step):
                self._measure_again()

    def _take_out(self, step: int) -> None:
        self._band.take_out(step)
        self._mends = [mend for mend in self._mends if step not in mend[0]]
        if self._end is not None:
            self._end.taken_out(step)
        self._held.finish_step()
        self._untied += 1
        if self._held.wrong is None:
            self._comes_out_next = {
                number: way for number, way in self._comes_out_next.items() if number in self._held.mistakes
            }
            if self._comes_out_next:
                self._held.take_out(self._comes_out_next)
            self._measure_again()

    def _look_around(self) -> None:
        """What a maker does between two knots."""
        done = self._held.progress.done
        if self._losses and done >= self._losses[0]:
            self._losses.pop(0)
            self._lose_the_place()
            return
        if self._end is None and done >= self._measures_at:
            self._run_short()
        if not self._is_seen():
            self._notices = None
        elif self._notices is None:
            self._notices = done + self._chance.randrange(ROWS_LATE * len(self._band.hangs()) // 2)
        if self._notices is not None and done >= self._notices:
            self._put_right()

    # What went wrong.

    def _odd(self) -> list[int]:
        """The knots that show another colour than they should."""
        work = self._work_of()
        return [step for step in self._band.knots if self._band.shows(step) != _shown(work, step)]

    def _is_seen(self) -> bool:
        """Whether the band looks otherwise than the program shows it."""
        return self._band.hangs() != self._should_hang() or bool(self._odd())

    def _should_hang(self) -> list[str]:
        strings = self._held.whole.strings
        return [strings[number - 1] for number in self._held.progress.hanging]

    def _put_right(self) -> None:
        """Asks what went wrong, answers what is asked, and goes on in one of the ways there are."""
        self._notices = None
        if len(self._asked) >= MOST_INQUIRIES:
            raise Astray("the same trouble again and again")
        made = self._what_went_wrong()
        while made is None and self._is_seen():
            # Nothing explains it: the last knots come out until something does.
            self._unexplained += 1
            last = self._held.progress.last
            assert last is not None
            self._band.take_out(last)
            self._mends = [mend for mend in self._mends if last not in mend[0]]
            if self._end is not None:
                self._end.taken_out(last)
            self._held.back()
            self._untied += 1
            made = self._what_went_wrong() if self._is_seen() else None
        if made is not None:
            self._go_on(made)
        self._measure_again()

    def _what_went_wrong(self) -> dict[int, Made] | None:
        work, tied, seen = self._work_of(), list(self._held.progress.history), self._band.hangs()
        shows: dict[int, str | None] = {}
        candidates = questions = 0
        while True:
            found = self._trouble.why(work, tied, seen, shows)
            assert found is not None
            if found.as_charted:
                odd = self._chance.choice(self._odd())
                assert odd not in shows, "a knot of a wrong colour is as charted"
                shows[odd] = self._band.shows(odd)
                continue
            candidates = candidates or _candidates(found)
            if found.ask is None:
                break
            assert found.ask not in shows, "the same question again"
            shows[found.ask] = self._band.shows(found.ask)
            questions += 1
        pairs = bool(found.mistakes) and len(found.mistakes[0]) > 1
        if not found.total:
            return None
        self._asked.append(Asked(candidates, questions, pairs))
        return self._as_seen(found, tied, seen, shows)

    def _as_seen(
        self, found: Why, tied: Sequence[int], seen: list[str], shows: dict[int, str | None]
    ) -> dict[int, Made]:
        """The first explanation of what was seen; those left when nothing more is asked look all the same."""
        for mistake in found.mistakes:
            combinations: list[dict[int, Made]] = [{}]
            for wrong in mistake:
                combinations = [{**made, wrong.step: way} for made in combinations for way in wrong.made]
            for made in combinations:
                work = self._work_of().made_otherwise(made)
                hanging = work.at_start()
                for step in tied:
                    work.change_places(step, hanging)
                if [work.strings[number - 1] for number in hanging] == seen and all(
                    _shown(work, step) == colour for step, colour in shows.items()
                ):
                    return made
        raise Astray("what is said to explain it does not")

    def _go_on(self, made: dict[int, Made]) -> None:
        """Takes it out, mends it or lets it be."""
        ways = ["out", "accept"]
        mending = self._mending(made)
        if mending.changes:
            ways.append("mend")
        way = self._chance.choice(ways)
        if way == "out":
            self._out += 1
            self._comes_out_next = dict(made)
            self._held.take_out(made)
        elif way == "mend":
            assert mending.changes is not None
            self._mended += 1
            self._changed += len(mending.changes)
            self._held.leave(made, mending.changes)
            self._mends = [(mistakes, steps - mending.changes.keys()) for mistakes, steps in self._mends]
            charted = self._work_of(charted=True)
            changed = {step for step, how in mending.changes.items() if how != charted.how_made(step)}
            self._mends.append((made, changed))
        else:
            self._accepted += 1
            self._held.leave(made, {})

    def _mending(self, made: dict[int, Made]) -> Mending:
        work, done = self._work_of(), self._held.progress.done
        found = self._trouble.mend(work, made, self._order, done, 20)
        assert found is not None
        if found.changes:
            # The strings hang as they would have without the mistake, after the row that is said.
            assert found.from_row is not None
            after = work.span(found.from_row).end
            really = work.made_otherwise({**made, **found.changes})
            if _hanging_after(really, after) != _hanging_after(work, after):
                raise Astray("the mend does not bring the strings back")
        return found

    # The lost place.

    def _lose_the_place(self) -> None:
        """Knots on without a word, or says too often that a knot is made; then asks where the place is."""
        self._lost += 1
        order, done = self._order, self._held.progress.done
        rest = order[done:]
        if self._chance.random() < 0.7:
            for step in rest[: self._chance.randint(1, max(1, len(order) // 5))]:
                self._make(step, told=False)
        else:
            for _ in range(min(len(rest), self._chance.randint(1, 8))):
                self._held.finish_step()
        self._find_the_place()
        self._notices = None
        self._measure_again()

    def _find_the_place(self) -> None:
        work, order, truth = self._work_of(), self._order, len(self._band.knots)
        seen, near = self._band.hangs(), self._held.progress.done
        knots: list[str] = []

        def narrowed(wrong: bool) -> list[Place]:
            """The places that are left once nothing more is asked."""
            while True:
                found: Places | None
                if wrong:
                    found = self._trouble.where_with_one_wrong(work, order, seen, knots, near=near)
                else:
                    found = self._trouble.where(work, order, seen, knots)
                assert found is not None
                if len(found.places) < 2 or found.tell is None or found.tell <= len(knots):
                    return list(found.places)
                told = self._band.last_colours(found.tell)
                self._looked_at += len(told)
                if len(told) < found.tell:
                    # There are no more knots in the band, so it is a place with just these.
                    return [place for place in found.places if list(place.last) == told]
                knots[:] = told

        places = narrowed(wrong=False)
        fitting = [place for place in places if place.done == truth]
        if not fitting:
            if not self._is_off(order, truth):
                raise Astray("the place is not among those that fit")
            knots.clear()
            places = narrowed(wrong=True)
            fitting = [place for place in places if place.done == truth]
        # Where several places look all the same, the maker counts rows and knots.
        self._counted += len(places) != 1 or not fitting
        made: dict[int, Made] = {}
        if fitting and isinstance(fitting[0].wrong, WrongKnot):
            made = {fitting[0].wrong.step: fitting[0].wrong.made[0]}
        self._held.jump_to(order[:truth], made=made)

    def _is_off(self, order: Sequence[int], done: int) -> bool:
        """Whether the band looks otherwise than it should after so many steps."""
        work = self._work_of()
        hanging = work.at_start()
        for step in order[:done]:
            work.change_places(step, hanging)
        return [work.strings[number - 1] for number in hanging] != self._band.hangs() or bool(self._odd())

    # The string that runs short.

    def _run_short(self) -> None:
        """Looks at what is left of a string, which is not enough."""
        work, order, done = self._work_of(), self._order, self._held.progress.done
        strings = self._chance.sample(range(1, len(work.strings) + 1), len(work.strings))
        share = self._chance.uniform(0.2, 0.9)
        for string in strings:
            needs = self._trouble.lasts(work, order, done, string, 0, FLOSS)
            assert needs is not None
            mm = round(FLOSS.hold_mm + needs.needs_mm * share, 1)
            short = self._trouble.lasts(work, order, done, string, mm, FLOSS)
            if short is not None and short.gives_out is not None:
                break
        place = self._held.progress.hanging.index(string)
        string = self._band.string_at(place)
        last = [
            work.row_of(step)
            for step, knot in self._band.knots.items()
            if knot.kind != "-" and string in (knot.knotting, knot.passive)
        ]
        self._end = LooseEnd(string, mm, max(last, default=0), FLOSS)
        self._measure_again()

    def _measure_again(self) -> None:
        """Measures the string again, and asks where it gives out."""
        if self._end is None or self._held.wrong is not None:
            return
        if self._lasts is None and self._end.mm > NEW_STRING / 2:
            return
        # Two strings of one colour that were exchanged unseen have each other's numbers: the maker points at a place.
        self._called = self._held.progress.hanging[self._band.place_of(self._end.string)]
        mm = round(self._end.mm, 6)
        self._held.measure(self._called, mm)
        work, done = self._work_of(), self._held.progress.done
        self._lasts = self._trouble.lasts(work, self._order, done, self._called, mm, FLOSS)
        self._erred = False

    def _join_before(self, step: int) -> None:
        """Lays in a new string where the program says, at the latest where the old one gives out."""
        if self._lasts is None or self._lasts.gives_out is None or self._end is None:
            return
        laid_in = self._lasts.lay_in
        if step != (self._lasts.gives_out if laid_in is None else laid_in):
            return
        if laid_in is not None and self._work_of().passive(step) != self._called:
            raise Astray("a new string is to be laid in where the old one is not passive")
        self._join(laid_in=laid_in is not None)

    def _join(self, *, laid_in: bool) -> None:
        assert self._end is not None
        self._end.mm = NEW_STRING
        self._held.join(self._called, NEW_STRING)
        self._lasts = None
        if laid_in:
            self._laid_in += 1
        else:
            self._tied_on += 1

    def _check_record(self) -> None:
        """The program's own record of the piece is what the band looks like, knot by knot."""
        if any(steps - self._held.altered.steps for _, steps in self._mends):
            raise Astray("a mend that was chosen was forgotten")
        work = self._work_of()
        if sorted(self._band.knots) != list(range(work.size)):
            raise Astray("steps are missing")
        if self._odd() or self._band.hangs() != self._should_hang():
            raise Astray("the record is not what was made")
        if self._end is not None and self._end.mm < 0:
            raise Astray("the string gave out")


def _shown(work: DiagonalWork, step: int) -> str | None:
    """The colour that a step shows; None where it is left out."""
    return None if work.how_made(step) is None else work.strings[work.knotting(step) - 1]


def _hanging_after(work: DiagonalWork, steps: int) -> list[str]:
    """The colours as they hang after the first steps of the chart."""
    hanging = work.at_start()
    for step in range(steps):
        work.change_places(step, hanging)
    return [work.strings[number - 1] for number in hanging]


def _candidates(found: Why) -> int:
    """How many ways there are in which it may have gone wrong."""
    listed = 0
    for mistake in found.mistakes:
        ways = 1
        for wrong in mistake:
            ways *= len(wrong.made)
        listed += ways
    return round(listed * found.total / max(1, len(found.mistakes)))
