"""What the commands print that is different for each family."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from benchmate.craft.design import Design
    from benchmate.craft.orders import Order, Ordered
    from benchmate.craft.work import Work


def summary(design: "Design") -> str:
    """A design in a few words, as `check` says it of a good file."""
    from benchmate.craft.design import Alpha, Braid, Diagonal, steps_in

    body = design.body
    steps = steps_in(design)
    if isinstance(body, Diagonal):
        what = [f"{len(body.strings)} strings", count(len(body.rows) * design.repeats, "row"), count(steps, "knot")]
    elif isinstance(body, Alpha):
        what = [f"{body.columns} columns", count(len(body.rows) * design.repeats, "row"), count(steps, "knot")]
    elif isinstance(body, Braid):
        what = [f"{count(len(body.strands), 'strand')} in {body.slots} slots", count(steps, "move")]
    else:
        what = [count(steps, "step")]
    if design.repeats > 1:
        what.append(f"{design.repeats} repeats")
    return ", ".join([design.family, *what])


def strings_document(design: "Design") -> object:
    """The strings as `order --json` gives them."""
    from benchmate.craft.design import Braid

    if isinstance(design.body, Braid):
        return {str(slot): name for slot, name in design.body.strands}
    return list(design.strings)


def step_documents(design: "Design", steps: "Iterable[Ordered]") -> list[dict[str, object]]:
    """The steps as `order --json` gives them."""
    from benchmate.craft.steps import Led, Move, Tie

    def document(ordered: "Ordered") -> dict[str, object]:
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

    return [document(ordered) for ordered in steps]


def pickups_document(work: "Work", order: "Order") -> dict[str, object]:
    """What `order --json` says of pick-ups; nothing where none are counted."""
    from benchmate.craft.orders import pickups
    from benchmate.craft.work import Band
    from benchmate.families.alpha.work import Picture
    from benchmate.families.diagonal.segments import fewest_pickups

    if isinstance(work, (Band, Picture)):
        number = pickups(work, order)
        # The order of an alpha band is given.
        return {"pickups": number, "least": fewest_pickups(work) if isinstance(work, Band) else number}
    return {}


def pickups_lines(work: "Work", order: "Order") -> list[str]:
    """What `order` says of pick-ups to a person."""
    from benchmate.craft.orders import pickups
    from benchmate.craft.work import Band
    from benchmate.families.alpha.work import Picture
    from benchmate.families.diagonal.segments import fewest_pickups

    if isinstance(work, Band):
        found, fewest = pickups(work, order), fewest_pickups(work)
        return [f"{count(found, 'pick-up')} of a new knotting string; any order needs at least {fewest}"]
    if isinstance(work, Picture):
        return [f"{count(pickups(work, order), 'pick-up')} of a leading string"]
    return []


def count(number: int, called: str) -> str:
    """A number and what is counted, with an `s` where there is not exactly one."""
    return f"{number} {called}" if number == 1 else f"{number} {called}s"
