"""What two machines were told of the thread of a piece: both come to know the same, and all of it."""

from random import Random

import pytest

from benchmate.craft.thread.length_to_cut import Length
from benchmate.store.thread.cuts import Cut, WasCut
from benchmate.store.thread.new_strings import NewString, as_it_hangs, by_what_is_tied, standing
from benchmate.store.thread.strings_left import MeasuredString
from benchmate.store.thread.thread_told import ThreadTold, nothing_told, told_on_both

STRINGS = (1, 2, 3)


class Machine:
    """One of two machines on which a piece is told of, at moments that never are the same."""

    def __init__(self, chance: Random, thread: int) -> None:
        self.chance = chance
        self.thread = thread
        self.told = nothing_told()

    def tell(self, at: str) -> None:
        """Tells something of it."""
        told, string = self.told, self.chance.choice(STRINGS)
        before = told.measured.get(string)
        own = [each for each in standing(told.new_strings) if each.string == string]
        kind = self.chance.choice(("measure", "join", "undo", "tick", "cut"))
        if kind == "measure":
            measured = MeasuredString(5, self.chance.uniform(0, 900), before is not None and before.joined, False, at)
            self.told = told._replace(measured={**told.measured, string: measured})
        elif kind == "join":
            new = NewString(string, self.chance.randint(-1, 30), "a", 500.0, self.thread, before, at)
            measured = MeasuredString(5, 410.0, True, False, at)
            self.told = told._replace(
                measured={**told.measured, string: measured}, new_strings=[*told.new_strings, new]
            )
        elif kind == "undo" and own:
            news = [each._replace(back=at) if each is own[-1] else each for each in told.new_strings]
            left = as_it_hangs(before or own[-1].before, [each for each in news if each.string == string])
            others = {number: each for number, each in told.measured.items() if number != string}
            measures = others if left is None else {**others, string: left}
            self.told = told._replace(measured=measures, new_strings=news)
        elif kind == "tick":
            self.told = told._replace(ticked=self.lengths(self.chance.randint(1, 2)))
        elif kind == "cut":
            cut: WasCut = "floss", self.lengths(3)
            self.told = told._replace(was_cut=cut, ticked=[])

    def lengths(self, many: int) -> list[Cut]:
        """So many lengths cut, each at least as long as before."""
        known = {cut.length.strings[0]: cut for cut in self.told.lengths_cut}
        found = {
            string: known.get(string, Cut(Length("a", (string,), 300.0), self.thread)) for string in STRINGS[:many]
        }
        longer = self.chance.choice((0.0, 20.0))
        return [
            Cut(cut.length._replace(cut_mm=cut.length.cut_mm + longer), self.thread) if longer else cut
            for cut in found.values()
        ]

    def takes_in(self, theirs: ThreadTold) -> None:
        """What is told on the other machine comes over, without its box."""
        self.told = told_on_both(self.told, theirs.without_threads, newer=False)


@pytest.mark.parametrize("seed", range(60))
def test_two_machines_come_to_know_the_same_and_nothing_is_lost(seed: int) -> None:
    chance = Random(seed)
    one, other = Machine(chance, 1), Machine(chance, 2)
    joins, backs = set[str](), set[str]()
    for moment in range(40):
        at = f"2026-11-26T18:00:{moment:02}.000Z"
        teller = chance.choice((one, other))
        teller.tell(at)
        joins |= {each.at for each in teller.told.new_strings}
        backs |= {each.at for each in teller.told.new_strings if each.back}
        if chance.random() < 0.2:
            one.takes_in(other.told)
            before = one.told
            one.takes_in(other.told)
            assert one.told == before, "the second time nothing is new"
    one.takes_in(other.told)
    other.takes_in(one.told)
    assert one.told.without_threads._replace(ticked=[]) == other.told.without_threads._replace(ticked=[])
    assert set(map(repr, one.told.without_threads.ticked)) == set(map(repr, other.told.without_threads.ticked))
    assert {each.at for each in one.told.new_strings} == joins
    assert {each.at for each in standing(one.told.new_strings)} == joins - backs
    assert {each.thread for each in one.told.new_strings} <= {1, None}, "the box stays at home"
    for string, each in one.told.measured.items():
        own = [new for new in standing(one.told.new_strings) if new.string == string and new.at <= each.at]
        assert each.joined == bool(own)


def test_what_was_measured_while_a_new_string_was_out_comes_over() -> None:
    before = MeasuredString(3, 200.0, False, False, "2026-11-26T18:00:01.000Z")
    again = MeasuredString(2, 180.0, False, False, "2026-11-26T18:00:03.000Z")
    new = NewString(1, 5, "a", 500.0, None, before, "2026-11-26T18:00:02.000Z")
    measured = {1: MeasuredString(6, 410.0, True, False, new.at)}
    ours = ThreadTold(None, [], measured, [new])
    theirs = ours._replace(new_strings=[new._replace(before=again)])
    for newer in (False, True):
        for one, other in ((ours, theirs), (theirs, ours)):
            told = told_on_both(one, other, newer=newer)
            assert [each.before for each in told.new_strings] == [again]
            assert by_what_is_tied(told.measured, told.new_strings, range(5).__contains__) == {1: again}
            assert by_what_is_tied(told.measured, told.new_strings, range(6).__contains__) == measured
