"""A gauge in words: what each number is, how sure it is, and what it rests on."""

from collections.abc import Sequence

from benchmate.craft.thread.estimate import Estimate
from benchmate.craft.thread.gauge import FLOSS
from benchmate.craft.thread.kinds import KINDS
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.length_words import MM_IN_AN_INCH, length_words

NUMBERS = {
    "made_mm": "a knot made",
    "carried_mm": "a knot carried, changing places",
    "stayed_mm": "a knot carried, staying",
    "waited_mm": "a row waited",
    "base_mm": "an alpha row",
    "row_mm": "height of a row",
    "wide_mm": "width of a knot",
}
"""What each of the small numbers of a gauge is."""
ENDS = {
    "start_mm": "the start, each string",
    "finish_mm": "the finish, each string",
    "hold_mm": "shortest end to knot with",
    "tail_mm": "a cut end",
}
"""The same for the lengths at the ends."""


FAR_OFF = (
    "That is far from what is expected of this thread. If a length was not in mm, or of another thread, take it back: "
    "start benchmate, choose thread, then your measurements."
)
"""What to say where what was measured is hard to believe."""


def small_words(mm: float, units: str) -> str:
    """A small length: `10.5 mm`, `1.95 mm`; `0.413 in`."""
    if units == "inches":
        return f"{mm / MM_IN_AN_INCH:.3f} in"
    return f"{mm:.2f}".rstrip("0").rstrip(".") + " mm"


def learned_from(estimate: Estimate, field: str = "made_mm") -> str:
    """What was measured that a number of a gauge rests on: `12 strings you measured`; empty where it is estimated."""
    learned = estimate.learned
    if learned is None or learned.range_mm(field) is None:
        return ""
    what = {"row_mm": "rows", "wide_mm": "knots"}.get(field)
    if what is None:
        what = counted(estimate.gauge.seen, "string") if estimate.gauge.seen else "alpha rows"
    return f"{what} you measured"


def rests_on(estimate: Estimate) -> str:
    """What a gauge rests on: `estimated`, `from 12 strings you measured`."""
    strings = learned_from(estimate)
    if strings:
        return f"from {strings}"
    return "estimated" if estimate.learned is None else "estimated; rows and knots as you measured them"


def basis(estimate: Estimate, field: str = "made_mm") -> str:
    """A sentence that says what a number of a gauge, by which something was worked out, rests on."""
    gauge, seen = estimate.gauge, learned_from(estimate, field)
    if seen:
        return f"By your own gauge for {gauge.name}: {seen}."
    if gauge.name in KINDS:
        of = KINDS[gauge.name].says
    else:
        usual = getattr(gauge, field) == getattr(FLOSS, field)
        of = f"{gauge.name} {'as for six-strand floss' if usual else 'from its thickness'}"
    return f"Estimated for {of}; measure a swatch for your own."


def gauge_lines(estimate: Estimate, units: str) -> list[str]:
    """A gauge, a line for each number with the range it lies in 19 times in 20, and what to beware of."""
    gauge = estimate.gauge
    kind = KINDS.get(gauge.name)
    lines = [f"{gauge.name}: {kind.says}; {rests_on(estimate)}" if kind else f"{gauge.name}: {rests_on(estimate)}"]
    if estimate.learned is None:
        lines.append("Weak until you measure: see benchmate help gauge.")
    width = max(map(len, (*NUMBERS.values(), *ENDS.values())))
    for field, says in NUMBERS.items():
        line = f"  {says.ljust(width)}  {small_words(getattr(gauge, field), units):>8}"
        likely = None if estimate.learned is None else estimate.learned.range_mm(field)
        if likely is not None:
            low, high = (small_words(mm, units) for mm in likely)
            line += f"  (likely {low.rpartition(' ')[0]} to {high})"
        lines.append(line)
    lines += [f"  {says.ljust(width)}  {length_words(getattr(gauge, field), units):>8}" for field, says in ENDS.items()]
    if estimate.learned is not None and estimate.learned.is_far_off:
        lines.append(FAR_OFF)
    if estimate.caution:
        lines.append(estimate.caution)
    return lines


_WIDEST_NAME = 40
"""The most characters of a name in a table."""


def _clipped(name: str) -> str:
    return name if len(name) <= _WIDEST_NAME else name[: _WIDEST_NAME - 3] + "..."


def gauge_table(found: Sequence[Estimate], units: str) -> list[str]:
    """All gauges, a line each, under a line that names the columns."""
    heads = ("", "made", "carried", "row", "rests on")
    rows = [
        (
            _clipped(each.gauge.name),
            *(small_words(getattr(each.gauge, field), units) for field in ("made_mm", "carried_mm", "row_mm")),
            rests_on(each),
        )
        for each in found
    ]
    widths = [max(map(len, column)) for column in zip(heads, *rows, strict=True)]
    return [
        "  ".join(
            [
                row[0].ljust(widths[0]),
                *(cell.rjust(width) for cell, width in zip(row[1:4], widths[1:4], strict=True)),
                row[4],
            ]
        )
        for row in (heads, *rows)
    ]
