"""The interface of a family of designs: all that other rooms ask of a design without knowing its family.

Each folder in `families/` implements it. The parameters of the methods are explained here only.
"""

from abc import ABC, abstractmethod
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Generic, NamedTuple, Protocol, TypeVar

from benchmate.craft.work import Step, Work

if TYPE_CHECKING:
    from benchmate.craft.colours.colour import Colour
    from benchmate.craft.drawing import Layout
    from benchmate.craft.effort import Effort
    from benchmate.craft.float_rules import FloatRules
    from benchmate.craft.laying_out import LayingOut
    from benchmate.craft.progress import CurrentRun
    from benchmate.craft.shown_step import ColouredDrawing, ComingStep, Side
    from benchmate.craft.thread.counts import BandUse
    from benchmate.craft.thread.gauge import Gauge
    from benchmate.craft.thread.length_to_cut import Length, Wanted
    from benchmate.craft.thread.variegated.along import Beginnings, ThreadAlong
    from benchmate.craft.wording.prompt_parts import PromptContext


class Body(Protocol):
    """The part of a design that belongs to its family: its strings and how to work them."""

    @property
    def strings(self) -> tuple[str, ...]:
        """The colour names of the strings as they hang at the start."""

    def colour_of(self, string: int, /) -> str:
        """The colour name of a string by its number; each family numbers its strings its own way."""


class DesignLike(Protocol):
    """The part of a design that its steps need: its title, its strings and its colours."""

    @property
    def title(self) -> str:
        """The title."""

    @property
    def colours(self) -> "Mapping[str, Colour]":
        """The colours by their names."""

    @property
    def strings(self) -> tuple[str, ...]:
        """The colour names of the strings as they hang at the start."""

    @property
    def beginnings(self) -> "Beginnings":
        """Where on their thread the variegated strings begin."""

    def thread_along(self, work: Work, /) -> "ThreadAlong":
        """Which part of its thread each variegated string shows along the band."""

    def say_of(self, string: int, /) -> str:
        """The label of a string's colour, as shown and spoken."""

    def value_of(self, string: int, /) -> str:
        """The colour of a string as `#rrggbb`."""


B = TypeVar("B", bound=Body)
S = TypeVar("S", bound=Step)


class ImpossibleStep(NamedTuple):
    """A step that is not possible: its place in one repeat, from 0, and an error message that names the repeat."""

    at: int
    message: str


class Words(ABC, Generic[S]):
    """The steps of a family in printed lines, to read or to have read aloud."""

    @abstractmethod
    def name(self, step: S) -> str:
        """The step in its fewest words: the knot's name, the slots of a move, or the instruction."""

    @abstractmethod
    def spoken(self, design: DesignLike, step: S) -> str:
        """The whole step in one line to read aloud."""

    @abstractmethod
    def take_out(self, design: DesignLike, step: S) -> str:
        """The step to take out, in one line: the step, and where its strings go back to."""

    def crossed(self, design: DesignLike, step: S) -> str:
        """Which string goes over which, or which strand moves; empty where that is unknown."""
        return ""

    def counted(self, step: S) -> str:
        """The count of a step done several times: `2 of 5`; empty for other steps."""
        return ""

    def place_across(self, step: S) -> int:
        """The position across the band, from 1; 0 for a step without one."""
        return 0

    def pick_up(self, design: DesignLike, work: Work, number: int, *, tails: bool) -> str:
        """How to get the step's string in hand, with the length of the `tails` or without; empty when it is in hand.

        `number` counts within the family's own work.
        """
        return ""

    def pick_up_in_brief(self, design: DesignLike, work: Work, number: int) -> str:
        """The same for a line of forty characters: what to pick up, where from, and what to cut."""
        return self.pick_up(design, work, number, tails=False)

    def next_pick_up(
        self, design: DesignLike, work: Work, number: int, run: "CurrentRun", hanging: Sequence[int]
    ) -> str:
        """What to do for a step, the one after the run, to have its string in hand.

        `hanging` are the strings as they hang now. `number` counts within the family's own work.
        """
        return ""

    def pickups(self, count: int, fewest: int) -> str:
        """The pick-ups of an order and the fewest possible, for the line below its list of steps."""
        return ""

    def also_hanging(self, design: DesignLike, work: Work, done: int) -> list[str]:
        """What hangs besides the strings side by side after the first `done` steps, a line each."""
        return []

    def before_first(self, work: Work) -> str:
        """What to know before the first step, in a sentence or two; empty where that is nothing."""
        return ""


class Prompts(ABC, Generic[S]):
    """Spoken prompts for the steps of a family, as short as earlier prompts allow.

    Each method returns wordings of the same thing, the fullest first. The first one short enough for the level is
    spoken, else the last.
    """

    says_row_ends = False
    """Whether the step itself says that the row before it is done."""
    may_be_cut = False
    """Whether a prompt that is too long is cut, because it is a text of the maker's own."""

    @abstractmethod
    def for_step(self, context: "PromptContext", design: DesignLike, work: Work, number: int, step: S) -> Iterable[str]:
        """The step to do now. `number` counts within the family's own work."""

    @abstractmethod
    def for_steps(self, context: "PromptContext", design: DesignLike, steps: Sequence[S]) -> Iterable[str]:
        """The steps, two or more, that one press counts."""

    @abstractmethod
    def take_out(self, context: "PromptContext", design: DesignLike, step: S) -> Iterable[str]:
        """The step to take out now to reach a wrong one; its strings hang where the step left them."""

    @abstractmethod
    def undone(self, context: "PromptContext", design: DesignLike, step: S) -> Iterable[str]:
        """The step that the maker has just undone."""

    def stops(self, steps: Sequence[S]) -> Sequence[int]:
        """After how many of these steps a press may end when one prompt cannot say them all; in order."""
        return range(1, len(steps) + 1)


class StepView(ABC, Generic[S]):
    """The steps of a family as the bench shows them, in plain values."""

    strings_hang = True
    """Whether the strings hang side by side, to show in a row."""
    strings_move = False
    """Whether the strings change their order as the piece is worked."""
    always_shows_run = False
    """Whether to show the current run always, not only when working by segments."""
    when_done = "Tie it on with room to move, never tight."
    """The text when the piece is done."""

    @abstractmethod
    def word(self, step: S) -> str:
        """The text in large type."""

    @abstractmethod
    def note(self, design: DesignLike, step: S) -> str:
        """The text below it."""

    @abstractmethod
    def coming(self, design: DesignLike, step: S, before: str) -> "ComingStep":
        """The step as one of the next steps, with the words `before` in front."""

    def press(self, design: DesignLike, steps: Sequence[S]) -> tuple[str, ...]:
        """The steps of one press, in as few words as possible; empty for a step that the one before it names too."""
        return tuple(self.coming(design, step, "").short for step in steps)

    def way_back(self, step: S) -> S:
        """The step as its undoing is shown: a move goes back."""
        return step

    def field(self, step: S) -> int | None:
        """The number of the string whose colour fills the large field; None for a neutral field."""
        return None

    def sides(
        self, design: DesignLike, step: S, run: "CurrentRun | None", *, undone: bool
    ) -> "tuple[Side, Side] | None":
        """The two strings of the step, left to right, before the step or before its undo; None if unknown."""
        return None

    def drawn(self, design: DesignLike, step: S) -> "ColouredDrawing | None":
        """The drawing of the step, or None."""
        return None

    def goes_back(self, design: DesignLike, step: S) -> str:
        """Where a strand goes back to, for steps without a pair; ends in a space."""
        return ""

    def is_untimed(self, work: Work, number: int, step: S) -> bool:
        """True when pace mode sets no timer for the step. `number` counts within the family's own work."""
        return False


class Family(ABC, Generic[B, S]):
    """A family of designs. `B` is the type of its bodies, `S` of its steps."""

    step_word = "step"
    """The word for one step: `knot`, `move` or `step`."""
    row_word = "repeat"
    """The word for what `row` of a step counts: `row` or `repeat`; empty where steps are counted one by one."""
    string_word = "string"
    """What a string is called where its number follows: `string`, `base string`, `slot`."""
    has_mirror_image = False
    """Whether a design can be mirrored, and worked in more than one way."""
    rows_measured = "rows"
    """What the rows of its bands are called where a gauge keeps how long they came out."""
    called = "other designs"
    """What makers call its designs, in the plural."""

    @property
    @abstractmethod
    def name(self) -> str:
        """The family's name, as in a file."""

    @property
    @abstractmethod
    def words(self) -> Words[S]:
        """Its steps in printed lines."""

    @property
    @abstractmethod
    def prompts(self) -> Prompts[S]:
        """Its spoken prompts."""

    @property
    @abstractmethod
    def step_view(self) -> StepView[S]:
        """Its steps as the bench shows them."""

    @abstractmethod
    def steps_per_repeat(self, body: B) -> int:
        """How many steps one repeat takes."""

    @abstractmethod
    def work(self, body: B, repeats: int) -> Work:
        """The steps of a body through all repeats."""

    @abstractmethod
    def summary(self, body: B, repeats: int) -> list[str]:
        """Its sizes in a few words each: `4 strings`, `12 rows`, `30 knots`."""

    @abstractmethod
    def kind(self, body: B) -> str:
        """The kind of design, for a list of titles: `4 strings`."""

    @abstractmethod
    def effort(self, body: B) -> "Effort":
        """How hard one repeat is."""

    def needs(self, body: B) -> str:
        """What it needs beside strings, in a few words; empty for nothing."""
        return ""

    def beginning(self, body: B, rows: int) -> B:
        """The body cut to its first `rows` rows or moves, for a small drawing of a large design."""
        return body

    @abstractmethod
    def changes(self, old: B, new: B) -> list[str]:
        """A short clause for each change, except changes of string colours, which the caller reports."""

    @abstractmethod
    def same_step(self, old: B, one: S, new: B, other: S) -> bool:
        """Whether step `one` of the body `old` and step `other` of `new` do the same to the same strings.

        Their rows may differ.
        """

    @abstractmethod
    def drawing(self, design: DesignLike, body: B, repeats: int, made: Work | None = None) -> "Layout":
        """The layout of the finished band, its steps as they were `made`. Raises CannotDraw when that is nothing."""

    @abstractmethod
    def laying_out(self, design: DesignLike, body: B, *, started: bool) -> "LayingOut":
        """What to hang before the first knot, in order; `started` when a start has fixed the strings already."""

    @abstractmethod
    def step_document(self, design: DesignLike, body: B, step: S, run: int) -> dict[str, object]:
        """The step in JSON, without its number; `run` is the number of its pick-up."""

    def plan_document(self, work: Work, number: int) -> dict[str, object]:
        """What a plan of the work adds to the document of a step; `number` counts within the work."""
        return {}

    def thread_use(self, body: B, repeats: int, gauge: "Gauge", made: Work | None = None) -> "BandUse | None":
        """What every string does in all repeats as they were `made`, by a gauge; None where there is nothing to cut."""
        return None

    def thread_along(self, design: DesignLike, body: B, work: Work) -> "ThreadAlong":
        """Which part of its thread each variegated string shows along the band. The design has such strings."""
        # Imported here: only variegated threads need it.
        from benchmate.craft.thread.variegated.along import UNCHANGING

        return UNCHANGING

    def lengths_wanted(self, work: Work, lengths: "Sequence[Length]") -> "list[Wanted]":
        """What each of the lengths to cut is for: `string 1`, `strings 1 and 4`."""
        # Imported here: only a cut list needs it.
        from benchmate.craft.thread.length_to_cut import wanted

        return [wanted(self.string_word, length.strings) for length in lengths]

    def float_rules(self, body: B) -> "FloatRules | None":
        """The maker's rules for floats that the body is planned by; None in a family without leading strings."""
        return None

    def with_float_rules(self, body: B, rules: "FloatRules") -> B:
        """The body with the maker's rules for floats; unchanged in a family without leading strings."""
        return body

    def strings_document(self, body: B) -> object:
        """The strings in JSON."""
        return list(body.strings)

    def start_of(
        self, body: B, band: DesignLike, lengths: "Callable[[], Sequence[Length]]" = tuple, units: str = "cm"
    ) -> B:
        """The body of a start, with what it says about the strings of its `band`.

        `lengths` gives the lengths to cut for it, none where that is not known; they are said in these `units`.
        """
        return body

    def folds_strings(self, body: B) -> bool:
        """Whether the body is a start in which two strings of one colour are one length, folded."""
        return False

    def uses_mm(self, body: B) -> float | None:
        """The thread that a start or finish takes of each string, mm; None where it does not say."""
        return None

    def threads(self, body: B) -> Collection[str]:
        """The names of the colours it is made of."""
        return body.strings

    def rows_per_repeat(self, body: B) -> int:
        """How many rows one repeat has."""
        return 1

    def row_mm(self, gauge: "Gauge") -> float | None:
        """What a row adds to the length of the band by a gauge, mm; None where that cannot be said."""
        return None

    def first_rows(self, body: B, rows: int) -> B | None:
        """The body with its rows worked over and over, up to row `rows`, as one repeat.

        None in a family that is worked in whole repeats only.
        """
        return None

    def mirrored(self, body: B) -> B:
        """The mirror image of the body; unchanged in a family without mirror images."""
        return body

    def cannot_repeat(self, body: B) -> str | None:
        """Why the rows cannot repeat; None when they can."""
        return None

    def impossible_step(self, body: B, repeats: int) -> ImpossibleStep | None:
        """The first step that is not possible through all repeats; None when all are."""
        return None


AnyFamily = Family[Any, Any]
"""Any family."""
