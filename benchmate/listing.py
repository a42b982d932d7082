"""What the commands without a screen print: a JSON document, or lines for a person."""

import json

from benchmate.craft import telling
from benchmate.craft.design import Braid, Design
from benchmate.craft.orders import Order, Ordered, by_rows, pickups, runs, travel
from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import Part
from benchmate.craft.steps import Led, Move, Tie
from benchmate.craft.ways import Way
from benchmate.craft.work import Band, Work
from benchmate.families.alpha.work import Picture
from benchmate.families.diagonal.segments import fewest_pickups


def handed(way: Way) -> dict[str, object]:
    """What a document says of hands and mirrors, only where one of them was chosen."""
    found: dict[str, object] = {}
    if way.from_right:
        found["from"] = "right"
    if way.mirrored:
        found["mirrored"] = True
    return found


def order_json(design: Design, work: Work, order: Order, way: Way) -> str:
    """The document of `order --json`."""
    document: dict[str, object] = {
        "title": design.title,
        "family": design.family,
        "by": order.by,
        "strings": _strings_document(design),
        "steps": [_step_document(design, ordered) for ordered in runs(work, order)],
    }
    if isinstance(work, (Band, Picture)):
        document["pickups"] = count = pickups(work, order)
        # The order of an alpha band is given.
        document["least"] = fewest_pickups(work) if isinstance(work, Band) else count
    if order.by == "segments":
        document["travel"] = travel(work, order)
        document["least_travel"] = order.least_travel
        document["settled"] = order.settled
    document |= handed(way)
    return json.dumps(document) + "\n"


def _strings_document(design: Design) -> object:
    if isinstance(design.body, Braid):
        return {str(slot): name for slot, name in design.body.strands}
    return list(design.strings)


def _step_document(design: Design, ordered: Ordered) -> dict[str, object]:
    step = ordered.step
    if isinstance(step, Led):
        return {
            "n": ordered.n,
            "row": step.row,
            "column": step.column,
            "knot": step.knot.value,
            "knotting": design.body.colour_of(step.leading),
            "passive": step.passive,
            "run": ordered.run,
        }
    if isinstance(step, Move):
        return {"n": ordered.n, "row": step.row, "from": step.source, "to": step.target, "strand": step.strand}
    if isinstance(step, Tie):
        return {
            "n": ordered.n,
            "row": step.row,
            "pair": list(step.pair),
            "knot": step.knot.value,
            "knotting": step.knotting,
            "passive": step.passive,
            "run": ordered.run,
        }
    return {"n": ordered.n, "row": step.row, "do": step.do, "hint": step.hint, "time": step.time, "of": step.of}


def order_lines(design: Design, work: Work, order: Order, way: Way) -> str:
    """Every step in working order, a line each, and the pick-ups it takes."""
    part = Part("band", design, work, 0)
    lines = [f"{design.title}, worked {way.words}"]
    lines += [f"{ordered.n:>7}  {telling.spoken(part, ordered.step)}" for ordered in runs(work, order)]
    if isinstance(work, Band):
        count, fewest = pickups(work, order), fewest_pickups(work)
        called = "pick-up" if count == 1 else "pick-ups"
        lines.append(f"{count} {called} of a new knotting string; any order needs at least {fewest}")
    elif isinstance(work, Picture):
        count = pickups(work, order)
        lines.append(f"{count} {'pick-up' if count == 1 else 'pick-ups'} of a leading string")
    if order.by == "segments":
        rows = by_rows(work, from_right=way.from_right)
        least = f" (at least {order.least_travel} in any such order)" if order.least_travel else ""
        if order.settled:
            least = " (the least there can be)"
        lines.append(
            f"by rows {pickups(work, rows)}; the hands travel {travel(work, order)} positions from pick-up to pick-up"
            f"{least}, by rows {travel(work, rows)}"
        )
    return "\n".join(lines) + "\n"


def untie_json(design: Design, work: Work, order: Order, done: int, knot: int) -> str:
    """The document of `untie --json`."""
    return json.dumps({"knot": knot, "untie": _to_untie(work, order, done, knot)}) + "\n"


def untie_lines(design: Design, work: Work, order: Order, done: int, knot: int) -> str:
    """What must come out, a line each in the order to follow."""
    numbers = _to_untie(work, order, done, knot)
    part = Part("band", design, work, 0)
    count = "1 step" if len(numbers) == 1 else f"{len(numbers)} steps"
    lines = [f"To reach step {knot}, {count} of {done} must come out, in this order:"]
    lines += [f"{n:>7}  {telling.spoken(part, work.step(order.sequence[n - 1]))}" for n in numbers]
    return "\n".join(lines) + "\n"


def _to_untie(work: Work, order: Order, done: int, knot: int) -> list[int]:
    progress = Progress.resume(work, order, order.sequence[:done])
    return [order.place[number] + 1 for number in progress.must_come_out(order.sequence[knot - 1])]
