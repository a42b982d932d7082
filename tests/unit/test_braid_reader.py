"""Braids read from text."""

import pytest

from benchmate.design_files.load import parse
from benchmate.families.braid.body import Braid

HEAD = "benchmate: 1\ntitle: T\nfamily: braid\ncolours: {deep: teal, foam: '#abc'}\n"


def braid(moves: str = "[1 > 3]", strands: str = "{1: deep, 2: foam}", slots: str = "4", more: str = "") -> str:
    """A design whose slots, strands and moves stand on lines 5, 6 and 7."""
    return f"{HEAD}slots: {slots}\nstrands: {strands}\nmoves: {moves}\n{more}"


def said(text: str) -> list[str]:
    design, problems = parse(text)
    assert (design is None) == any(not problem.warning for problem in problems)
    return [f"{p.line}:{p.column}: {p.message}" for p in problems]


def body_of(text: str) -> Braid:
    design, problems = parse(text)
    assert problems == []
    assert design is not None
    assert isinstance(design.body, Braid)
    return design.body


def test_a_good_braid() -> None:
    text = braid("[1 > 3, 2>4, '3  >  1']", "{2: foam, 01: deep}", more="shift: -1\n")
    assert body_of(text) == Braid(4, ((1, "deep"), (2, "foam")), ((1, 3), (2, 4), (3, 1)), -1)
    assert body_of(braid("\n- 1 > 3\n- 2 > 4")).moves == ((1, 3), (2, 4))
    assert [body_of(braid(more=f"shift: {text}\n")).shift for text in ("0", "+3", "-12", "7")] == [0, 3, -12, 7]


def test_shift_wraps_round() -> None:
    body = Braid(4, ((1, "deep"),), ((1, 3),), -1)
    assert [body.slot(1, repeat) for repeat in range(6)] == [1, 4, 3, 2, 1, 4]


@pytest.mark.parametrize(
    ("text", "problems"),
    [
        (HEAD, [f"1:1: the key `{key}` is missing" for key in ("slots", "strands", "moves")]),
        (braid(slots="1"), ["5:8: `slots` must be a whole number from 2 to 500, such as 12 (found `1`)"]),
        (braid(slots="501"), ["5:8: `slots` must be a whole number from 2 to 500, such as 12 (found `501`)"]),
        (
            braid(strands="{0: deep, 5: foam, x: foam, 2: foam, 02: deep, 1: foma}"),
            [
                "6:11: a slot must be a whole number from 1 to 4 (found `0`)",
                "6:20: a slot must be a whole number from 1 to 4 (found `5`)",
                "6:29: a slot must be a whole number from 1 to 4 (found `x`)",
                "6:47: slot 2 is filled twice",
                "6:60: unknown colour `foma`: it must be one of `colours`; did you mean `foam`?",
            ],
        ),
        (braid(strands="{}"), ["6:10: `strands` is empty; add at least one slot and its colour, such"]),
        (braid(strands="[deep]"), ["6:10: `strands` must be a mapping from slots to colours, such"]),
        (braid("[]"), ["7:8: `moves` is empty; add at least one move, such as `1 > 15`"]),
        (
            braid("[1 < 3, 1 > 5, 0 > 1, 2 > 2, [1], 1 > 3 > 4]"),
            [
                "7:9: a move must be two slots, such as `1 > 15` (found `1 < 3`)",
                "7:16: no such slot `5`; slots are numbered from 1 to 4",
                "7:23: no such slot `0`; slots are numbered from 1 to 4",
                "7:30: a move must go from one slot to another, not to the same",
                "7:37: a move must be two slots, such as `1 > 15` (found a list)",
                "7:42: a move must be two slots, such as `1 > 15` (found `1 > 3 > 4`)",
            ],
        ),
        (braid("[1 > 3, 1 > 4]"), ["7:16: the move 1 > 4 is not possible: slot 1 is empty by then"]),
        (braid("[1 > 2]"), ["7:9: the move 1 > 2 is not possible: slot 2 is filled by then"]),
        (
            braid("[1 > 3]", more="repeats: 3\nshift: 3\n"),
            ["7:9: the move 1 > 3 is not possible in repeat 2 (as 4 > 2): slot 4 is empty by then"],
        ),
        (braid(more="shift: 1.5\n"), ["8:8: `shift` must be a whole number from -999999 to 999999 (found `1.5`)"]),
        (
            braid(more="shift: -1000000\n"),
            ["8:8: `shift` must be a whole number from -999999 to 999999 (found `-1000000`)"],
        ),
        (
            braid(more="repeats: 200001\n"),
            ["8:10: `repeats` must be a whole number from 1 to 200000, such as 12 (found `200001`)"],
        ),
        (
            braid("[1 > 3, 3 > 1]", more="repeats: 100001\n"),
            ["8:10: 100001 repeats make 200002 steps, more than 200000; at most 100000 repeats fit"],
        ),
    ],
)  # fmt: skip
def test_every_problem_has_its_position(text: str, problems: list[str]) -> None:
    found = said(text)
    assert [line[: len(problem)] for line, problem in zip(found, problems, strict=True)] == problems


def test_moves_are_checked_for_repeats_from_the_command_line() -> None:
    from benchmate.craft.design import repeats_fault

    design, _ = parse(braid("[1 > 3]"))
    assert design is not None
    assert repeats_fault(design, 1) is None
    assert repeats_fault(design, 2) == "the move 1 > 3 is not possible in repeat 2 (as 1 > 3): slot 1 is empty by then"
