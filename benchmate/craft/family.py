"""What a family of designs tells about itself: one `Family` for each, asked by every room that does not care which.

A family's own folder in `families/` answers all this. What a method takes is explained once, here.
"""

from abc import ABC, abstractmethod
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, Generic, NamedTuple, Protocol, TypeVar

from benchmate.craft.work import Step, Work

if TYPE_CHECKING:
    from benchmate.craft.colours.colour import Colour
    from benchmate.craft.drawing import Layout
    from benchmate.craft.effort import Effort
    from benchmate.craft.progress import CurrentRun
    from benchmate.craft.shown_step import ColouredDrawing, ComingStep, Side
    from benchmate.craft.wording.prompt_parts import Level, PromptContext


class Body(Protocol):
    """What a design holds beside the keys that all families share: its strings, and how they are worked."""

    @property
    def strings(self) -> tuple[str, ...]:
        """The colour names of the strings as they hang at the start."""

    def colour_of(self, string: int, /) -> str:
        """The colour name of a string by its number; how strings are numbered is the family's affair."""


class DesignLike(Protocol):
    """A design as far as its steps need it: its colours, by their names and by the strings that have them."""

    @property
    def title(self) -> str:
        """The title."""

    @property
    def colours(self) -> "Mapping[str, Colour]":
        """The colours by their names."""

    @property
    def strings(self) -> tuple[str, ...]:
        """The colour names of the strings as they hang at the start."""

    def say_of(self, string: int, /) -> str:
        """How the colour of a string is shown and spoken."""

    def value_of(self, string: int, /) -> str:
        """The colour of a string as `#rrggbb`."""


B = TypeVar("B", bound=Body)
S = TypeVar("S", bound=Step)


class ImpossibleStep(NamedTuple):
    """A step of a body that cannot be made: which of one repeat's, from 0, and why, with the repeat it is in."""

    at: int
    message: str


class Words(ABC, Generic[S]):
    """The steps of a family in lines for a person to read, or to have read aloud."""

    @abstractmethod
    def name(self, step: S) -> str:
        """The step in its fewest words: the knot's name, the slots of a move, or the instruction."""

    @abstractmethod
    def spoken(self, design: DesignLike, step: S) -> str:
        """The whole step in one line that can be read aloud."""

    @abstractmethod
    def take_out(self, design: DesignLike, step: S) -> str:
        """What has to be undone, in one line: the step, and where its strings go back to."""

    def crossed(self, design: DesignLike, step: S) -> str:
        """Which string goes over which, or which strand is moved; empty where nobody knows."""
        return ""

    def counted(self, step: S) -> str:
        """Which time of a counted step this is: `2 of 5`; empty for one that is not counted."""
        return ""

    def place_across(self, step: S) -> int:
        """The position across the band, from 1; 0 for a step that has none."""
        return 0

    def pick_up(self, design: DesignLike, work: Work, number: int, *, tails: bool) -> str:
        """What is done before a step to have its string in hand; empty when it is. `tails` says how long they are.

        `number` counts within the family's own work.
        """
        return ""

    def next_pick_up(self, design: DesignLike, step: S, run: "CurrentRun", hanging: Sequence[int]) -> str:
        """The string to pick up for a step, after those of the run; `hanging` are the strings as they hang now."""
        return ""

    def pickups(self, count: int, fewest: int) -> str:
        """How many pick-ups an order takes, and how few any order could: a line under the list of its steps."""
        return ""


class Prompts(ABC, Generic[S]):
    """The steps of a family for the ear: in as few words as what was heard before allows."""

    @abstractmethod
    def for_step(self, heard: "PromptContext", design: DesignLike, work: Work, number: int, step: S) -> str:
        """The step to do now. `number` counts within the family's own work."""

    @abstractmethod
    def for_steps(self, heard: "PromptContext", design: DesignLike, steps: Sequence[S]) -> str:
        """All the steps, two or more, that one press counts."""

    @abstractmethod
    def take_out(self, design: DesignLike, step: S, level: "Level") -> list[str]:
        """What to undo now on the way to a wrong step; its strings are where the step left them."""

    @abstractmethod
    def undone(self, design: DesignLike, step: S, level: "Level") -> list[str]:
        """What is said after the name of a step that has just come undone."""


class StepView(ABC, Generic[S]):
    """The steps of a family as the bench shows them, as plain values."""

    strings_hang = True
    """Whether the strings hang in a line that can be shown."""
    strings_move = False
    """Whether they come to hang in another order while the piece is worked."""
    always_shows_run = False
    """Whether the run in hand is always shown, and not only when the piece is worked by segments."""
    when_done = "Tie it on with room to move: never tight."
    """What is said when all is done."""

    @abstractmethod
    def word(self, step: S) -> str:
        """What stands in large type."""

    @abstractmethod
    def note(self, design: DesignLike, step: S) -> str:
        """What stands under it."""

    @abstractmethod
    def coming(self, design: DesignLike, step: S, before: str) -> "ComingStep":
        """The step as one of those ahead, with words `before` it."""

    def field(self, step: S) -> int | None:
        """The number of the string whose colour the large field has; None where it has none of a string."""
        return None

    def sides(
        self, design: DesignLike, step: S, run: "CurrentRun | None", *, undone: bool
    ) -> "tuple[Side, Side] | None":
        """The two strings of the step, from the left, before it is done or before it is `undone`; None if unknown."""
        return None

    def drawn(self, design: DesignLike, step: S) -> "ColouredDrawing | None":
        """The drawing that goes with the step."""
        return None

    def goes_back(self, design: DesignLike, step: S) -> str:
        """Where a strand goes back to, where the sides of a pair do not say it; it ends in a space."""
        return ""

    def is_untimed(self, work: Work, number: int, step: S) -> bool:
        """True when the step is not done in a beat of the pace mode. `number` counts within the family's own work."""
        return False


class Family(ABC, Generic[B, S]):
    """A family of designs. `B` is what its designs hold, `S` what its steps are."""

    step_word = "step"
    """What one step is called: `knot`, or `step`."""
    row_word = "repeat"
    """What `row` of a step counts: `row`, `repeat`; empty where steps are counted one by one instead."""
    has_mirror_image = False
    """Whether a design has a mirror image, and more than one way to be worked."""

    @property
    @abstractmethod
    def name(self) -> str:
        """The family's name, as in a file."""

    @property
    @abstractmethod
    def words(self) -> Words[S]:
        """Its steps in lines."""

    @property
    @abstractmethod
    def prompts(self) -> Prompts[S]:
        """Its steps for the ear."""

    @property
    @abstractmethod
    def step_view(self) -> StepView[S]:
        """Its steps at the bench."""

    @abstractmethod
    def steps_per_repeat(self, body: B) -> int:
        """How many steps one repeat takes."""

    @abstractmethod
    def work(self, body: B, repeats: int) -> Work:
        """The steps of a body worked so often."""

    @abstractmethod
    def summary(self, body: B, repeats: int) -> list[str]:
        """What there is of it, in a few words each: `4 strings`, `12 rows`, `30 knots`."""

    @abstractmethod
    def kind(self, body: B) -> str:
        """What sort of design it is, for a list of titles: `4 strings`."""

    @abstractmethod
    def effort(self, body: B) -> "Effort":
        """What one repeat asks of the maker."""

    @abstractmethod
    def changes(self, old: B, new: B) -> list[str]:
        """What is different in `new`, a short clause each; that strings have other colours is known already."""

    @abstractmethod
    def drawing(self, design: DesignLike, body: B, repeats: int) -> "Layout":
        """The finished band, laid out. Raises CannotDraw where there is nothing to draw."""

    @abstractmethod
    def step_document(self, design: DesignLike, body: B, step: S, run: int) -> dict[str, object]:
        """The step as it stands in JSON, without its number; `run` is the pick-up it belongs to."""

    def strings_document(self, body: B) -> object:
        """The strings as they stand in JSON."""
        return list(body.strings)

    def rows_per_repeat(self, body: B) -> int:
        """How many rows one repeat has."""
        return 1

    def mirrored(self, body: B) -> B:
        """The body as its own mirror image, left and right exchanged, where it can be mirrored."""
        return body

    def cannot_repeat(self, body: B) -> str | None:
        """Why the rows cannot be worked more than once; None when they can."""
        return None

    def impossible_step(self, body: B, repeats: int) -> ImpossibleStep | None:
        """The first step that cannot be made when the body is worked so often; None when all can."""
        return None


AnyFamily = Family[Any, Any]
"""A family, whichever it is."""
