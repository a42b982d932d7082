"""Which threads of the box stand for the colours of a design, and a design cut from them."""

from decimal import Decimal

import pytest

from benchmate.craft.design import Design
from benchmate.craft.thread.box_thread import BoxThread
from benchmate.craft.thread.cut_list import cut_list
from benchmate.craft.thread.estimate import Estimate
from benchmate.design_files.load import load
from benchmate.design_files.shelf import path_of
from benchmate.thread_at_hand import NotInBox, cutting_from_box, prices, sources, standing_for


@pytest.fixture
def design() -> Design:
    """Six strings: two deep (#0b3c5d), two kelp, two foam."""
    return load(path_of("tidewater-chevron")).design


def thread(number: int, colour: str, mm: float = 8000.0, *, whole: bool = False) -> BoxThread:
    return BoxThread(number, f"thread {number}", colour, "floss", mm, whole)


def test_just_that_colour_goes_first_then_offcuts_then_whole_skeins(design: Design) -> None:
    deep = design.colours["deep"].value
    near = f"#{int(deep[1:], 16) + 1:06x}"
    box = [
        thread(1, near, 900.0),
        thread(2, deep, whole=True),
        thread(3, deep, 1500.0),
        thread(4, deep, 1200.0),
        thread(5, "#ff0000"),
        thread(6, deep)._replace(kind="wool"),
    ]
    standing = standing_for(design, ["deep", "foam"], box)
    assert [each.number for each in standing["deep"]] == [4, 3, 2, 1]
    assert standing["foam"] == []
    assert [(each.kind, each.length_mm, each.thread) for each in sources(standing)["deep"]] == [
        ("offcut", 1200.0, 4),
        ("offcut", 1500.0, 3),
        ("skein", 8000.0, 2),
        ("offcut", 900.0, 1),
    ]


def test_a_thread_close_to_two_colours_stands_for_the_nearest_alone(design: Design) -> None:
    deep = design.colours["deep"]
    near = deep._replace(name="kelp", value=f"#{int(deep.value[1:], 16) + 2:06x}")
    twins = design._replace(colours={**design.colours, "kelp": near})
    standing = standing_for(twins, ["deep", "kelp"], [thread(1, deep.value), thread(2, near.value)])
    assert {name: [each.number for each in own] for name, own in standing.items()} == {"deep": [1], "kelp": [2]}


def test_a_thread_chosen_by_name_stands_alone_however_far_off(design: Design) -> None:
    deep, foam = design.colours["deep"].value, design.colours["foam"].value
    box = [thread(1, deep), thread(2, foam), thread(3, "#ff0000")._replace(kind="wool", name="rowan")]
    standing = standing_for(design, ["deep", "foam"], box, {"deep": "rowan"})
    assert {name: [each.number for each in own] for name, own in standing.items()} == {"deep": [3], "foam": [2]}
    with pytest.raises(NotInBox, match="there is no thread called teal in the box"):
        standing_for(design, ["deep"], box, {"deep": "teal"})
    # One that was chosen for a colour is not used for another one that it is close to.
    standing = standing_for(design, ["deep", "foam"], box, {"deep": "thread 2"})
    assert {name: [each.number for each in own] for name, own in standing.items()} == {"deep": [2], "foam": []}


def test_a_design_is_cut_from_the_box_and_the_rest_is_bought(design: Design) -> None:
    deep, kelp = design.colours["deep"].value, design.colours["kelp"].value
    box = [thread(4, deep, 3000.0), thread(9, kelp, whole=True)._replace(price=Decimal("1.20"))]
    cuts = cut_list(design, Estimate())
    standing = standing_for(design, cuts.colours, box)
    found = cutting_from_box(design, cuts, standing)
    by_colour = {each.colour: (each.source.kind, each.source.thread) for each in found.sources}
    assert by_colour == {"deep": ("offcut", 4), "kelp": ("skein", 9), "foam": ("skein", None)}
    assert (found.skeins, found.bought) == (2, 1)
    assert prices(standing) == {"kelp": Decimal("1.20")}
