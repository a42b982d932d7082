"""The published wrists in lines, and as JSON."""

from collections.abc import Callable

from benchmate.craft.thread.fitting.fit import CAUTION, CHILDREN_CAUTION, EASE
from benchmate.craft.thread.fitting.wrists import ADULTS, ADULTS_SOURCE, CHILDREN
from benchmate.craft.thread.in_documents import mm_in_document
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.length_words import fine_words

Fits = Callable[[float], int]
"""The repeats that fit a wrist, mm."""


def lines(units: str, fits: Fits | None) -> list[str]:
    """A line for each wrist, adults by percentile and children by age, with their sources."""

    def wrist(mm: float) -> str:
        return fine_words(mm, units) + ("" if fits is None else f", {counted(fits(mm), 'repeat')}")

    found = [
        f"Wrists, for when none is at hand. A band is {fine_words(float(EASE), units)} longer. Source: {ADULTS_SOURCE}."
    ]
    for adults in ADULTS:
        found.append(f"{adults.who}, {adults.measured} measured: mean {wrist(adults.mean_mm)}")
        found += [f"  {each:>4} % have at most {wrist(mm)}" for each, mm in adults.percentiles.items()]
    found.append("children, means by age; the studies measured in different countries, and their ages do not run on")
    for child in CHILDREN:
        found.append(
            f"  {child.age:>2} years: boys {wrist(child.boys_mm)}, girls {wrist(child.girls_mm)} ({child.source})"
        )
    return [*found, CAUTION, CHILDREN_CAUTION]


def document(fits: Fits | None) -> dict[str, object]:
    """The same wrists."""

    def wrist(mm: float) -> dict[str, object]:
        return {"wrist_mm": mm_in_document(mm), **({} if fits is None else {"repeats": fits(mm)})}

    return {
        "adults": [
            {
                "who": adults.who,
                "measured": adults.measured,
                "mean": wrist(adults.mean_mm),
                "percentiles": {each: wrist(mm) for each, mm in adults.percentiles.items()},
                "source": ADULTS_SOURCE,
            }
            for adults in ADULTS
        ],
        "children": [
            {"age": child.age, "boys": wrist(child.boys_mm), "girls": wrist(child.girls_mm), "source": child.source}
            for child in CHILDREN
        ],
    }
