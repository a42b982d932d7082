"""From what to cut, in lines for people."""

from collections.abc import Mapping
from itertools import groupby
from typing import TYPE_CHECKING

from benchmate.craft.thread.costs import Costs
from benchmate.craft.thread.cut_list import CutList
from benchmate.craft.thread.cutting import CutSource, Cutting, Source
from benchmate.craft.wording.counting import counted, listed
from benchmate.craft.wording.cut_list_lines import lengths_lines
from benchmate.craft.wording.length_words import length_words

if TYPE_CHECKING:
    from benchmate.craft.design import Design


def source_words(source: Source, names: Mapping[int, str], units: str) -> str:
    """`new skein, 8 m`; `offcut 12 from your box, harbour blue, 1 m 20 cm`."""
    long = length_words(source.length_mm, units)
    if source.thread is None:
        return f"new skein, {long}" if source.kind == "skein" else f"offcut, {long}"
    name = names.get(source.thread)
    return f"{source.kind} {source.thread} from your box, {f'{name}, ' if name else ''}{long}"


def left_words(left_mm: float, scrap_mm: float, units: str) -> str:
    """What is left of a source: `nothing is left`, `1 m 20 cm is left`, `12 cm is left, too short to keep`."""
    if left_mm <= 0:
        return "nothing is left"
    short = ", too short to keep" if left_mm < scrap_mm else ""
    return f"{length_words(left_mm, units)} is left{short}"


def cutting_lines(
    found: Cutting, cuts: CutList, design: "Design", names: Mapping[int, str], units: str, scrap_mm: float
) -> list[str]:
    """For each colour its sources, and for each source what to cut from it, longest first, and what is left."""
    lengths = cuts.lengths
    lines: list[str] = []
    for colour, sources in groupby(found.sources, lambda each: each.colour):
        lines += ["", design.say(colour)]
        for each in sources:
            lines.append(f"  {source_words(each.source, names, units)}")
            own = sorted((lengths[index] for index in each.lengths), key=lambda length: -length.cut_mm)
            for _, alike in groupby(own, lambda length: length.cut_mm):
                lines += [f"    cut {line}" for line in lengths_lines([*alike], cuts, design, units)]
            lines.append(f"    {left_words(each.left_mm, scrap_mm, units)}")
    return lines


def opening_lines(found: Cutting, units: str, scrap_mm: float) -> list[str]:
    """How many skeins to open and to buy, what is left in short ends, and what of it is proven."""
    return [_skeins(found), _ends(found.sources, found.best_ends, units, scrap_mm)]


def _skeins(found: Cutting) -> str:
    if not found.skeins:
        return "No skein has to be opened: offcuts are enough."
    bought = found.bought
    where = ""
    if bought != found.skeins:
        where = f", {bought} of them to buy" if bought else ", all of them from your box"
        if found.skeins == 1:
            where = ", from your box"
    elif bought:
        where = ", to buy" if bought == 1 else ", all of them to buy"
    least = "the fewest possible" if found.least == found.skeins else f"the fewest found; at least {found.least}"
    return f"Open {counted(found.skeins, 'skein')}{where} ({least})."


def _ends(sources: tuple[CutSource, ...], best: bool, units: str, scrap_mm: float) -> str:
    short = [each.left_mm for each in sources if 0 < each.left_mm < scrap_mm]
    limit = length_words(scrap_mm, units)
    if not short:
        return f"No end is shorter than {limit}."
    least = "the least possible" if best else "the least found"
    ends = counted(len(short), "end")
    return f"{length_words(sum(short), units)} is lost in {ends} shorter than {limit} ({least})."


def cost_lines(costs: Costs, design: "Design") -> list[str]:
    """What it costs where a price is known; nothing where none is."""
    priced = "" if not costs.unpriced else f", without {listed(design.say(name) for name in costs.unpriced)}"
    lines = [f"To buy: {costs.to_buy}{priced}."] if costs.to_buy else []
    if costs.worth:
        lines.append(f"The thread that is cut is worth {costs.worth}{priced}.")
    return lines
