"""Takes the tied steps of a piece over into a changed design: which step there is the same one.

A step is the same when it is done to the same strings at the same place, and rests on the same steps. Its number may be
another one: rows that came before it in the chart, but are worked beside it, move it.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from benchmate.craft.orders import by_rows
from benchmate.craft.progress import NotPossible, Progress
from benchmate.craft.start_band_finish import Part, WholePiece

START, FINISH = "start", "finish"
"""The parts before and after the band, as a piece calls them."""


class CarriedOver(NamedTuple):
    """The tied steps by their numbers in the changed piece, in the order they were tied.

    `come_out` are the steps of the finish, by their old numbers, that have to be undone first because the changed band
    has open steps below them, or another finish: the last one first. `same` has the new number of every old step of the
    band that was looked for.
    """

    history: list[int]
    come_out: list[int]
    same: Mapping[int, int]

    def place_after(self, step: int) -> int:
        """The new number of a step of the band; one not looked for comes as far after the last before it as it did."""
        before = max((old for old in self.same if old <= step), default=None)
        return step if before is None else self.same[before] + step - before


def carried_over(
    old: WholePiece, new: WholePiece, history: Sequence[int], planned: Iterable[int] = ()
) -> CarriedOver | None:
    """The steps of `history`, tied in that order, in the changed piece; None when one of them is not there.

    None too where one of the `planned` steps, open ones of the band, is not. Once the band has begun, its start is
    done, whatever the changed design says about it.
    """
    if old.main.design.strings != new.main.design.strings or old.at_start() != new.at_start():
        return None
    tied: dict[str, list[int]] = {part.called: [] for part in old.parts}
    for number in history:
        tied[old.part_of(number).called].append(number)
    before, within, after = (tied.get(called, []) for called in (START, old.main.called, FINISH))
    sought = [*within, *_open_below(old.main, planned, set(within))]
    band = _same_steps(old.main, new.main, sought)
    start = list(range(new.main.first))
    if not within and not after:
        start = _same_steps(_part(old, START), _part(new, START), before)
        if len(start) != len(before):
            return None
    if len(band) != len(sought):
        return None
    same = dict(zip(sought, band, strict=True))
    del band[len(within) :]
    # The finish rests on the whole band.
    whole_band = len(band) == new.main.work.size
    finish = _same_steps(_part(old, FINISH), _part(new, FINISH), after) if whole_band else []
    found = [*start, *band, *finish]
    try:
        Progress.resume(new, by_rows(new), found)
    except NotPossible:
        return None
    return CarriedOver(found, after[len(finish) :][::-1], same)


def _open_below(part: Part, planned: Iterable[int], tied: set[int]) -> list[int]:
    """The planned steps and every open one below them, those below first."""
    found: set[int] = set()
    ends = list(planned)
    while ends:
        number = ends.pop()
        if number not in tied and number not in found:
            found.add(number)
            ends += (part.first + other for other in part.work.rests_on(number - part.first))
    return sorted(found)


def _part(whole: WholePiece, called: str) -> Part | None:
    return next((part for part in whole.parts if part.called == called), None)


def _same_steps(old: Part | None, new: Part | None, tied: Sequence[int]) -> list[int]:
    """The same steps in the changed part, in turn, up to the first that is not there."""
    if old is None or new is None or old.design.family is not new.design.family:
        return []
    unchanged = old.design.body == new.design.body
    changed = None if unchanged else _Changed(new)
    found: list[int] = []
    same: dict[int, int] = {}
    for number in (number - old.first for number in tied):
        other = number if changed is None else changed.same_step(old, number, same)
        if other is None or other >= new.work.size:
            break
        same[number] = other
        found.append(new.first + other)
    return found


class _Changed:
    """The changed part, and its steps that rest on nothing."""

    def __init__(self, part: Part) -> None:
        self._part = part
        self._steps = [number for number in range(part.work.size) if not part.work.rests_on(number)]

    def same_step(self, old: Part, number: int, same: Mapping[int, int]) -> int | None:
        """The step that is the same as step `number` of the old part, and rests on the same steps; None without one.

        `same` has the steps that it rests on.
        """
        design, work = self._part.design, self._part.work
        below = sorted(same[other] for other in old.work.rests_on(number))
        candidates = work.carries(below[0]) if below else self._steps
        step, are_same = old.work.step(number), design.family.same_step
        for other in candidates:
            if sorted(work.rests_on(other)) == below and are_same(old.design.body, step, design.body, work.step(other)):
                return other
        return None
