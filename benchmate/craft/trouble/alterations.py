"""What of a piece was made otherwise than charted, and what is going to be.

A mistake that stays may be mended by later knots made otherwise: these changes are planned while their steps are open,
and done once they are tied. They serve the mistakes that were marked together with them: when one of those is undone,
its changes still to come are dropped.
"""

from collections.abc import Callable, Collection, Mapping
from copy import copy

from benchmate.craft.trouble.made_otherwise import Made, MadeOtherwise


class Alterations:
    """The tied steps that were really made otherwise, `mistakes`, and the changes, `changes`: open steps and tied ones.

    A change that was made in a third way is in both; one made as in the chart is in `not_done`. Untied, it is to be
    made as planned again. Steps have numbers through the whole piece.
    """

    def __init__(self, mistakes: MadeOtherwise | None = None, changes: MadeOtherwise | None = None) -> None:
        self.mistakes: dict[int, Made] = dict(mistakes or {})
        self.changes: dict[int, Made] = dict(changes or {})
        self.not_done: set[int] = set()
        self._serves: dict[int, frozenset[int]] = {}
        """The mistakes that a change serves; it serves every one where that is not known."""
        self._marked: frozenset[int] = frozenset()
        """The mistakes marked together since the last knot was tied or untied: those that the next changes serve."""
        self._planned = False
        """True once a change was planned for them: the next mistake is marked without them."""

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Alterations) and self._parts() == other._parts()

    def _parts(self) -> tuple[object, ...]:
        return self.mistakes, self.changes, self.not_done

    def copy(self) -> "Alterations":
        """A copy, which can be changed without changing this one."""
        same = copy(self)
        same.mistakes, same.changes, same.not_done = dict(self.mistakes), dict(self.changes), set(self.not_done)
        same._serves = dict(self._serves)
        return same

    @property
    def steps(self) -> set[int]:
        """Every step of which anything is known here."""
        return {*self.changes, *self.mistakes}

    @property
    def all(self) -> dict[int, Made]:
        """Every step that was or will be made otherwise."""
        planned = {step: how for step, how in self.changes.items() if step not in self.not_done}
        return {**planned, **self.mistakes}

    def renumbered(self, numbers: Mapping[int, int]) -> "Alterations":
        """The same with other numbers for the steps. Which changes serve which mistakes is not known then."""
        mistakes, changes = (
            {numbers[step]: how for step, how in steps.items()} for steps in (self.mistakes, self.changes)
        )
        found = Alterations(mistakes, changes)
        found.not_done = {numbers[step] for step in self.not_done}
        found._marked = frozenset(mistakes) | found.not_done
        return found

    @property
    def marked(self) -> frozenset[int]:
        """The mistakes that the next changes serve."""
        return self._marked

    def was_made(self, step: int, made: Made) -> None:
        """A tied step was really made so."""
        self.not_done.discard(step)
        if step in self.changes and self.changes[step] == made:
            self.mistakes.pop(step, None)
            return
        self.mistakes[step] = made
        self._mark(step)

    def will_be_made(self, step: int, made: Made) -> None:
        """An open step will be made so, to mend the mistakes that were marked last."""
        known = self._serves.get(step) if step in self.changes else self._marked
        self._serves[step] = known | self._marked if known and self._marked else frozenset()
        self.changes[step] = made
        self._planned = True

    def is_charted(self, step: int, *, tied: bool) -> None:
        """The step is as charted again.

        Of a tied change this says first that it was not done, which leaves it planned; said again, it is dropped.
        """
        self.mistakes.pop(step, None)
        if step in self.changes and tied and step not in self.not_done:
            self.not_done.add(step)
            self._mark(step)
        else:
            self._drop(step)

    def _mark(self, step: int) -> None:
        self._marked = frozenset({step}) if self._planned else self._marked | {step}
        self._planned = False

    def serve(self, mistake: int, *, alone: bool) -> None:
        """The next changes serve this mistake: alone, or together with those that they serve already.

        Raises ValueError where it is none.
        """
        if mistake not in self.mistakes and mistake not in self.not_done:
            raise ValueError(f"step {mistake} is no mistake")
        self._marked = frozenset({mistake}) if alone else self._marked | {mistake}
        self._planned = False

    def settle(self) -> None:
        """A knot was tied or untied: what was marked before serves no later change."""
        self._marked, self._planned = frozenset(), False

    def untied(self, step: int, is_tied: Callable[[int], bool]) -> None:
        """The step was untied; `is_tied` tells which are tied now.

        A mistake is gone with it, and so are the changes for it that were still to come. Those done already are then
        knots made otherwise like any other.
        """
        self.settle()
        if step not in self.mistakes and step not in self.not_done:
            return
        self.mistakes.pop(step, None)
        self.not_done.discard(step)
        served = {number for number in self.changes if self.may_serve(number, step)}
        for number, made in list(self.changes.items()):
            if number in served:
                if is_tied(number) and number not in self.not_done:
                    self.mistakes.setdefault(number, made)
                self._drop(number)

    def may_serve(self, change: int, mistake: int) -> bool:
        """Whether a change mends this mistake. Where that is not known it does, unless the mistake is a change too."""
        serves = self._serves.get(change)
        return mistake in serves if serves else mistake not in self.changes

    def serves_others_too(self, change: int, mistakes: Collection[int]) -> bool:
        """Whether a change to come serves one of these mistakes, and perhaps another one."""
        if change not in self.changes or not any(self.may_serve(change, mistake) for mistake in mistakes):
            return False
        return not self._serves.get(change) or not self._serves[change] <= set(mistakes)

    def done_for(self, mistake: int, is_tied: Callable[[int], bool]) -> MadeOtherwise:
        """The changes that were done as planned to mend a mistake; `is_tied` tells which steps are tied."""
        done = (step for step in self.changes if is_tied(step) and step not in {*self.mistakes, *self.not_done})
        return {step: self.changes[step] for step in done if step != mistake and self.may_serve(step, mistake)}

    def _drop(self, step: int) -> None:
        self.changes.pop(step, None)
        self._serves.pop(step, None)
        self.not_done.discard(step)
