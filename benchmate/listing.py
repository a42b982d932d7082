"""What the commands without a screen print: a JSON document, or lines for a person."""

import json

from benchmate.craft import telling
from benchmate.craft.design import Design
from benchmate.craft.orders import Order, by_rows, pickups, runs, travel
from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import Part
from benchmate.craft.ways import Way
from benchmate.craft.work import Work


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
    family, body = design.family, design.body
    document: dict[str, object] = {
        "title": design.title,
        "family": family.name,
        "by": order.by,
        "strings": family.strings_document(body),
        "steps": [
            {"n": ordered.n, **family.step_document(design, body, ordered.step, ordered.run)}
            for ordered in runs(work, order)
        ],
    }
    fewest = work.fewest_pickups()
    if fewest is not None:
        document["pickups"] = pickups(work, order)
        document["least"] = fewest
    if order.by == "segments":
        document["travel"] = travel(work, order)
        document["least_travel"] = order.least_travel
        document["settled"] = order.settled
    document |= handed(way)
    return json.dumps(document) + "\n"


def order_lines(design: Design, work: Work, order: Order, way: Way) -> str:
    """Every step in working order, a line each, and the pick-ups it takes."""
    part = Part("band", design, work, 0)
    lines = [f"{design.title}, worked {way.words}"]
    lines += [f"{ordered.n:>7}  {telling.spoken(part, ordered.step)}" for ordered in runs(work, order)]
    fewest = work.fewest_pickups()
    if fewest is not None:
        lines.append(design.family.words.pickups(pickups(work, order), fewest))
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
