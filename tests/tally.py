"""A fifth family of designs, as small as possible: beads threaded on one string, one after the other.

It is outside the program on purpose: once registered it must work everywhere, and no file of the program names it.
"""

from collections.abc import Sequence
from typing import NamedTuple

from benchmate.craft.drawing import DrawnKnot, Layout
from benchmate.craft.effort import Effort
from benchmate.craft.family import DesignLike, Family, Prompts, StepView, Words
from benchmate.craft.knots import Knot
from benchmate.craft.laying_out import LayingOut, hung_side_by_side
from benchmate.craft.shown_step import ComingStep
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.list_changes import list_changes
from benchmate.craft.wording.prompt_parts import PromptContext, each_counted
from benchmate.craft.work import RowSpan, Work
from benchmate.families.registration import Registration
from benchmate.files.family_reader import FamilyReader
from benchmate.files.fields import Fields
from benchmate.files.strings import Colours, read_strings

DESIGN = """\
benchmate: 1
title: Buttons on a wire
family: tally
colours: {deep: "#0b3c5d", foam: "#f4f1de"}
strings: [deep, foam, deep]
repeats: 2
"""
"""Three beads, twice."""


class Tally(NamedTuple):
    """The colours of the beads, in the order of threading."""

    strings: tuple[str, ...]

    def colour_of(self, string: int) -> str:
        """The colour of a bead, by its place."""
        return self.strings[string - 1]


class Bead(NamedTuple):
    """A bead to thread. `row` is its repeat and `place` its place in the repeat, both from 1."""

    row: int
    place: int


class TallyWork(Work):
    """Each bead rests on the one before."""

    def __init__(self, body: Tally, repeats: int) -> None:
        self.strings = body.strings
        self.rows = repeats
        self.size = len(body.strings) * repeats

    def step(self, number: int) -> Bead:
        if not 0 <= number < self.size:
            raise IndexError(number)
        return Bead(self.row_of(number), number % len(self.strings) + 1)

    def row_of(self, number: int) -> int:
        return number // len(self.strings) + 1

    def span(self, row: int) -> RowSpan:
        return RowSpan((row - 1) * len(self.strings), row * len(self.strings))

    def swapped_at(self, number: int) -> int:
        return 0

    def knotting(self, number: int) -> int:
        return 0

    def passive(self, number: int) -> int:
        return 0

    def rests_on(self, number: int) -> tuple[int, ...]:
        return (number - 1,) if number else ()

    def carries(self, number: int) -> tuple[int, ...]:
        return (number + 1,) if number + 1 < self.size else ()


class TallyWords(Words[Bead]):
    """`thread 2`."""

    def name(self, step: Bead) -> str:
        return f"thread {step.place}"

    def spoken(self, design: DesignLike, step: Bead) -> str:
        return f"{self.name(step)}, {design.say_of(step.place)}; repeat {step.row}"

    def take_out(self, design: DesignLike, step: Bead) -> str:
        return f"slip off {step.place}, {design.say_of(step.place)}; repeat {step.row}"


class TallyPrompts(Prompts[Bead]):
    """The bead's colour."""

    def for_step(self, context: PromptContext, design: DesignLike, work: Work, number: int, step: Bead) -> list[str]:
        return [f"thread {design.say_of(step.place)}"]

    def for_steps(self, context: PromptContext, design: DesignLike, steps: Sequence[Bead]) -> list[str]:
        return [each_counted(f"thread {design.say_of(step.place)}" for step in steps)]

    def take_out(self, context: PromptContext, design: DesignLike, step: Bead) -> list[str]:
        return [f"slip off {design.say_of(step.place)}"]

    def undone(self, context: PromptContext, design: DesignLike, step: Bead) -> list[str]:
        return [f"thread {step.place}, {design.say_of(step.place)}"]


class TallyStepView(StepView[Bead]):
    """The bead's colour behind its number."""

    def word(self, step: Bead) -> str:
        return f"bead {step.place}"

    def note(self, design: DesignLike, step: Bead) -> str:
        return f"{design.say_of(step.place)}, pushed up to the last one"

    def field(self, step: Bead) -> int:
        return step.place

    def coming(self, design: DesignLike, step: Bead, before: str) -> ComingStep:
        words = f"{before}{design.say_of(step.place)}"
        return ComingStep(words, words, words, (design.value_of(step.place),))


class TallyFamily(Family[Tally, Bead]):
    """Beads on a string."""

    name = "tally"
    words = TallyWords()
    prompts = TallyPrompts()
    step_view = TallyStepView()

    def steps_per_repeat(self, body: Tally) -> int:
        return len(body.strings)

    def work(self, body: Tally, repeats: int) -> TallyWork:
        return TallyWork(body, repeats)

    def summary(self, body: Tally, repeats: int) -> list[str]:
        return [counted(len(body.strings) * repeats, "bead")]

    def kind(self, body: Tally) -> str:
        return "beads"

    def effort(self, body: Tally) -> Effort:
        return Effort(1, 1, 1.0, len(body.strings))

    def changes(self, old: Tally, new: Tally) -> list[str]:
        return list_changes("bead", old.strings, new.strings)

    def same_step(self, old: Tally, one: Bead, new: Tally, other: Bead) -> bool:
        return old.colour_of(one.place) == new.colour_of(other.place)

    def drawing(self, design: DesignLike, body: Tally, repeats: int, made: Work | None = None) -> Layout:
        beads = [(row, name) for row, name in enumerate(body.strings * repeats, 1)]
        return Layout(
            title=design.title,
            colours=design.colours,
            wide=2.0,
            long=2.0 * len(beads),
            rows=len(beads),
            of_rows=len(beads),
            once=len(body.strings),
            first=(body.strings[0],),
            last=(body.strings[-1],),
            unit="bead",
            knot_shape="rectangle",
            knots=tuple(DrawnKnot(1.0, 2.0 * row - 1, Knot.FORWARD, name, row, 1) for row, name in beads),
        )

    def laying_out(self, design: DesignLike, body: Tally, *, started: bool) -> LayingOut:
        return hung_side_by_side(body.strings, design.say_of, started=started, called="bead")

    def step_document(self, design: DesignLike, body: Tally, step: Bead, run: int) -> dict[str, object]:
        return {"row": step.row, "bead": step.place}


class TallyReader(FamilyReader[Tally]):
    """Reads the beads."""

    keys = ("strings",)

    def read(self, fields: Fields, colours: Colours | None) -> Tally | None:
        strings = read_strings(fields, colours, least=1, needed=True)
        return None if strings is None else Tally(strings)


TALLY = Registration(TallyFamily(), TallyReader(), lambda: None)
"""The registration of the family."""
