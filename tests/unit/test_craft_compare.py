"""The changes to a design, in words."""

import pytest

from benchmate.craft.colours.colour import Colour
from benchmate.craft.design import Design
from benchmate.craft.wording.compare import changes
from benchmate.families.diagonal.body import Diagonal
from tests.charts import chart, design, row, written

OLD = design(chart("deep foam foam deep", "f b", "f"), repeats=2)
STEPS = design(written("Fold", "Pin", "Knot"))


def recoloured(**colours: Colour | None) -> Design:
    """The old design with colours changed, added or (None) removed."""
    kept = {**OLD.colours, **colours}
    return OLD._replace(colours={name: colour for name, colour in kept.items() if colour is not None})


@pytest.mark.parametrize(
    ("new", "expected"),
    [
        (OLD, []),
        (OLD._replace(notes="more", author="someone", licence="free"), []),
        (OLD._replace(title="Other"), ["the title is now Other"]),
        (STEPS, ["the family is now steps"]),
        (STEPS._replace(title="Other"), ["the title is now Other", "the family is now steps"]),
        (OLD._replace(repeats=5), ["5 repeats instead of 2"]),
        (OLD._replace(start="loop"), ["the start is now loop"]),
        (OLD._replace(finish="tie"), ["the finish is now tie"]),
        (OLD._replace(thread="wool"), ["the thread is now wool"]),
        (recoloured(foam=Colour("foam", "#ffffff", "white")), ["colour changed: foam"]),
        (recoloured(sand=Colour("sand", "#ccbb99", "sand")), ["new colour: sand"]),
        (recoloured(foam=None), ["colour removed: foam"]),
        (OLD._replace(body=chart("deep foam", "f b", "f")), ["2 strings instead of 4"]),
        (OLD._replace(body=chart("foam deep deep foam", "f b", "f")), ["the string colours differ"]),
        (OLD._replace(body=chart("deep foam foam deep", "f b", "b")), ["row 2 differs"]),
        (
            OLD._replace(body=chart("deep foam foam deep", "f f", "b", "f f")),
            ["rows 1 to 2 differ", "3 rows instead of 2"],
        ),
        (OLD._replace(body=Diagonal(OLD.strings, (row("f b"), row("f", 3)))), ["row 2 differs"]),
    ],
)
def test_each_change_has_a_clause(new: Design, expected: list[str]) -> None:
    assert changes(OLD, new) == expected


def test_a_removed_start_has_a_clause() -> None:
    assert changes(OLD._replace(start="loop"), OLD) == ["the start is removed"]


def test_changed_steps_have_a_clause() -> None:
    assert changes(STEPS, STEPS._replace(body=written("Fold", "Pin", "Trim"))) == ["step 3 differs"]
    assert changes(STEPS, STEPS._replace(body=written("Fold", "Pin"))) == ["2 steps instead of 3"]
    assert changes(STEPS, STEPS._replace(body=written("Fold", ("Pin", 2), "Trim"))) == ["steps 2 to 3 differ"]
    more = written("Fold", "Pin", "Knot")._replace(uses=120.0)
    assert changes(STEPS, STEPS._replace(body=more)) == ["it takes another length of each string"]
