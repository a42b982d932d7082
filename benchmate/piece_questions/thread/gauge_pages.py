"""The gauges in lists and pages; a kind of thread of the maker's own; what was measured."""

from collections.abc import Sequence

from benchmate.craft.thread.kinds import KINDS, THICKEST, THINNEST, thickness_of_tex
from benchmate.craft.thread.plausible import thickness_question
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.gauge_words import gauge_lines, rests_on, small_words
from benchmate.files.safe_text import LONGEST_NAME, hidden_in, is_gauge_name
from benchmate.piece_questions import typed_numbers
from benchmate.piece_questions.typed_numbers import Asked
from benchmate.store.database import Database
from benchmate.store.places import Home
from benchmate.store.thread import gauges
from benchmate.store.thread.gauges import OwnThread
from benchmate.store.thread.measurements_kept import Session, measured_lately
from benchmate.thread_gauges import estimate_named

BY_TEX, BY_WRAPS = "by its tex: grams a kilometre, often on the label", "by turns round a ruler, side by side"
WAYS = (BY_TEX, BY_WRAPS)
"""How the thickness of a thread is found."""
NO_NAME = "A thread needs a name."


def list_lines(home: Home, units: str) -> list[tuple[str, str]]:
    """The name of every gauge, and its line in the list. Raises StoreError."""
    found = []
    for name in gauges.names(home):
        estimate = estimate_named(home, name)
        beware = ", slippery" if estimate.caution else ""
        made = small_words(estimate.gauge.made_mm, units)
        found.append((name, f"{name}: {made} a knot, {rests_on(estimate)}{beware}"))
    return found


def detail_lines(home: Home, name: str, units: str) -> list[str]:
    """All about one gauge, each number with what it is. Raises StoreError."""
    return [" ".join(line.split()) for line in gauge_lines(estimate_named(home, name), units)]


def name_fault(name: str) -> str:
    """Why a thread cannot have this name; empty when it can."""
    if name in KINDS:
        return f"{name} comes with benchmate. Give your thread another name."
    if is_gauge_name(name):
        return ""
    if hidden := hidden_in(name):
        return f"The name has a hidden character, U+{ord(min(hidden)):04X}. Type it without."
    return f"The name is longer than {LONGEST_NAME} characters, the most allowed." if name else NO_NAME


def own_words(own: OwnThread) -> str:
    """A thread of the maker's own: `1.18 mm thick, knots slip`."""
    thick = "of unknown thickness" if own.thickness_mm is None else f"{own.thickness_mm:.2f} mm thick"
    return f"{thick}, knots {'slip' if own.slippery else 'hold'}"


def ask_tex(name: str) -> Asked:
    """Its linear density."""

    def read(text: str) -> float | None:
        try:
            number = float(text.strip().lower().removesuffix("tex").replace(",", "."))
        except ValueError:
            return None
        return number if 0 < number < 1e6 else None

    def words(tex: float) -> str:
        return f"{tex:g} tex"

    def doubt(tex: float) -> str | None:
        return thickness_question(thickness_of_tex(tex), f"{tex:g} tex")

    texts = ["Its tex: the grams that a kilometre weighs. Skein of 8 m that weighs 1.8 g: 1.8 / 8 x 1000 = 225."]
    return Asked(
        "OWN THREAD", f"tex of {name}", texts, read, words, words, "Type a number above 0, such as 225.", doubt
    )


def ask_turns(name: str) -> Asked:
    """How many turns were wrapped."""
    texts = ["Wrap it round a ruler, turns side by side, not pulled. How many turns? 20 are enough."]
    return typed_numbers.count("OWN THREAD", f"turns of {name}", texts)


def ask_wrapped(name: str, turns: float, units: str) -> Asked:
    """How wide those turns are."""

    def doubt(mm: float) -> str | None:
        return thickness_question(mm / turns, f"{turns:.0f} turns")

    texts = [f"How wide are the {turns:.0f} turns on the ruler?"]
    return typed_numbers.length("OWN THREAD", f"width of {turns:.0f} turns", None, units, texts, doubt=doubt)


def keep_own(database: Database, name: str, thickness_mm: float, *, slippery: bool) -> str:
    """Keeps a kind of the maker's own; says so. Raises StoreError."""
    thickness = min(max(thickness_mm, THINNEST), THICKEST)
    gauges.record(database, name, [], own=OwnThread(thickness, slippery))
    limit = "" if thickness == thickness_mm else f", the {'most' if thickness == THICKEST else 'least'} there is"
    return f"Kept: {name}, {thickness:.2f} mm thick{limit}. Name it in a design as thread: {name}."


def measurement_lines(home: Home) -> Sequence[tuple[Session, str]]:
    """What was measured lately, each in a line. Raises StoreError."""
    found = []
    for each in measured_lately(home):
        what = "a piece" if each.piece is not None else "a swatch or call"
        found.append((each, f"{each.gauge}, {each.at[:10]}: {counted(each.measurements, 'measurement')} of {what}"))
    return found


def take_back(database: Database, measured: Session) -> str:
    """Forgets what was measured; says so. Raises StoreError."""
    gauges.take_back(database, measured.number)
    return f"Taken back: {counted(measured.measurements, 'measurement')} of {measured.gauge}."
