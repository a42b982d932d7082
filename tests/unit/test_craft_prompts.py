"""Spoken prompts: the words of each rule at each level."""

from benchmate.craft.colours.colour import Colour
from benchmate.craft.design import Design
from benchmate.craft.orders import from_sequence
from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import WholePiece, whole_piece
from benchmate.craft.ways import Way, order_of, worked_as
from benchmate.craft.wording.prompt_parts import Level
from benchmate.craft.wording.prompts import NOTHING, PIECE_DONE, Happened, again
from benchmate.families.diagonal.body import Diagonal
from benchmate.families.steps.body import Instruction, Steps
from tests.charts import chart, design, pointed, row, slanted, written
from tests.listening import at_each_level, followed

FOUR = "deep foam kelp sand"
BY_ROWS = Way()


def prompts_of(plan: Design, way: Way = BY_ROWS, press: str = "knot") -> dict[Level, list[str]]:
    """The prompts of a design without start and finish, at each level."""
    whole = whole_piece(worked_as(plan, way), None, None)
    said = followed(whole, order_of(whole, way), press)
    return {level: [each[level] for each in said] for level in Level}


def placed(whole: WholePiece, tied: int) -> Progress:
    """A piece by rows, with its first `tied` steps tied."""
    order = order_of(whole, Way())
    return Progress.resume(whole, order, order.sequence[:tied])


def test_a_run_with_one_string() -> None:
    body = pointed(8, 1)._replace(strings=("deep", "foam", "kelp", "foam", "foam", "kelp", "foam", "deep"))
    whole = whole_piece(design(body), None, None)
    left_half_first = from_sequence("any", [0, 2, 4, 1, 3, 5, 6])
    said = followed(whole, left_half_first)
    assert [each[Level.FULL] for each in said] == [
        "row 1 of 4, deep, first from the left, for 3 knots, forward over foam",
        "forward over kelp",
        "forward, last with deep",
        "deep, first from the right, for 3 knots, backward over foam",
        "backward over kelp",
        "backward, last with deep",
        "row 3 done, deep, fourth from the left, forward over deep",
        "the piece is done",
    ]
    assert [each[Level.SHORT] for each in said] == [
        "row 1, deep, first from the left, forward",
        "forward",
        "forward, last",
        "deep, first from the right, backward",
        "backward",
        "backward, last",
        "row done, deep, fourth from the left, forward",
        "piece done",
    ]
    assert [each[Level.SPARSE] for each in said] == [
        "row 1, first from left, forward",
        "2",
        "last",
        "first from right, backward",
        "2",
        "last",
        "row done, fourth from left, forward",
        "done",
    ]


def test_another_knot_with_the_string_in_hand() -> None:
    said = prompts_of(design(chart("deep foam kelp", "f", "fb", "-", "fb", "-", "fb")), Way("segments"))
    assert said[Level.FULL] == [
        "row 1 of 6, deep, first from the left, for 4 knots, forward over foam",
        "forward-backward over kelp",
        "forward-backward over kelp",
        "forward-backward, last with deep",
        "the piece is done",
    ]
    assert said[Level.SHORT][1:4] == [
        "forward-backward",
        "forward-backward",
        "forward-backward, last",
    ]
    assert said[Level.SPARSE][1:4] == [
        "forward-backward",
        "3",
        "last",
    ]


def test_every_run_names_its_string() -> None:
    said = prompts_of(design(slanted(3, [2, 2])), Way("segments"))
    assert said[Level.FULL] == [
        "row 1 of 4, a, first from the left, for 2 knots, forward over b",
        "forward over c, last with a",
        "row 2 done, b, first from the left, for 2 knots, forward over c",
        "forward over a, last with b",
        "the piece is done",
    ]


def test_rows_and_repeats() -> None:
    said = prompts_of(design(chart(FOUR, "f b", "f"), repeats=2))
    assert said[Level.FULL] == [
        "row 1 of 4, deep, first from the left, forward over foam",
        "sand, first from the right, backward over kelp",
        "row 1 done, deep, second from the left, forward over sand",
        "repeat 1 of 2 done, foam, first from the left, forward over sand",
        "kelp, first from the right, backward over deep",
        "row 3 done, foam, second from the left, forward over kelp",
        "the piece is done",
    ]
    assert said[Level.SHORT][2:6] == [
        "row done, deep, second from the left, forward",
        "repeat 1 done, foam, first from the left, forward",
        "kelp, first from the right, backward",
        "row done, foam, second from the left, forward",
    ]
    assert said[Level.SPARSE][2:6] == [
        "row done, second from left, forward",
        "repeat done, first from left, forward",
        "first from right, backward",
        "row done, second from left, forward",
    ]


def test_a_string_may_stay_in_hand_by_rows_too() -> None:
    said = prompts_of(design(chart("deep foam", "f", "", "b")))
    assert said[Level.FULL] == [
        "row 1 of 3, deep, first from the left, for 2 knots, forward over foam",
        "backward over foam, last with deep",
        "the piece is done",
    ]


def test_from_the_right_and_mirrored() -> None:
    body = chart(FOUR, "f b", "f")
    assert prompts_of(design(body), Way("rows", from_right=True))[Level.SHORT] == [
        "row 1, sand, first from the right, backward",
        "deep, first from the left, forward",
        "forward, last",
        "piece done",
    ]
    assert prompts_of(design(body), Way("rows", mirrored=True))[Level.SHORT] == [
        "row 1, sand, first from the left, forward",
        "deep, first from the right, backward",
        "backward, last",
        "piece done",
    ]


def test_a_colour_goes_by_its_label() -> None:
    plain = design(chart("deep foam", "f", "-", "f"))
    sea = plain._replace(colours={**plain.colours, "foam": Colour("foam", "#f4f1de", "off white")})
    assert prompts_of(sea)[Level.FULL][:2] == [
        "row 1 of 3, deep, first from the left, forward over off white",
        "row 1 done, off white, first from the left, forward over deep",
    ]


def test_written_steps() -> None:
    steps = (Instruction("Fold in half.", "Leave a loop", 1), Instruction("Braid", "Pull evenly.", 3))
    said = prompts_of(design(Steps((), steps), repeats=2))
    assert said[Level.FULL] == [
        "step 1 of 8, Fold in half. Leave a loop",
        "Braid. 1 of 3. Pull evenly",
        "2 of 3, Braid",
        "3 of 3, Braid",
        "repeat 1 of 2 done, Fold in half. Leave a loop",
        "Braid. 1 of 3. Pull evenly",
        "2 of 3, Braid",
        "3 of 3, Braid",
        "the piece is done",
    ]
    assert said[Level.SHORT][:5] == [
        "step 1, Fold in half. Leave a loop",
        "Braid. 1 of 3. Pull evenly",
        "2 of 3",
        "3 of 3",
        "repeat 1 done, Fold in half. Leave a loop",
    ]
    assert said[Level.SPARSE][:5] == [
        "step 1, Fold in half",
        "Braid. 3 times",
        "2",
        "last",
        "repeat done, Fold in half",
    ]


def test_start_and_finish() -> None:
    whole = whole_piece(design(chart("deep foam", "f")), design(written("Fold")), design(written("Trim")))
    said = followed(whole, order_of(whole, Way()))
    assert [each[Level.FULL] for each in said] == [
        "start step 1 of 1, Fold",
        "start done, now the band, deep, first from the left, forward over foam",
        "band done, now the finish, Trim",
        "the piece is done",
    ]
    assert [each[Level.SHORT] for each in said][1:3] == [
        "start done, deep, first from the left, forward",
        "band done, Trim",
    ]
    assert [each[Level.SPARSE] for each in said][1:3] == [
        "start done, first from left, forward",
        "band done, Trim",
    ]


def test_a_piece_without_steps() -> None:
    whole = whole_piece(design(chart("deep foam", "-")), None, None)
    assert set(at_each_level(whole, placed(whole, 0), Happened.RESUMED).values()) == {NOTHING}


def test_prompts_after_an_undo() -> None:
    whole = whole_piece(design(chart("deep foam kelp", "f", "fb")), None, None)
    progress = placed(whole, 2)
    progress.untie(1)
    assert list(at_each_level(whole, progress, Happened.UNDONE, [1]).values()) == [
        "undo forward-backward, deep over kelp",
        "undo forward-backward, deep over kelp",
        "undo forward-backward",
    ]
    progress.untie(0)
    assert list(at_each_level(whole, progress, Happened.UNDONE, [0]).values()) == [
        "undo forward, deep over foam, deep back, first from the left",
        "undo forward, deep over foam",
        "undo forward",
    ]
    assert list(at_each_level(whole, progress, Happened.UNDONE, [1, 0]).values()) == [
        "undo 2, back to forward, deep over foam, deep back, first from the left",
        "undo 2, back to forward, deep over foam",
        "undo 2, back to forward",
    ]


def test_an_undo_after_which_another_step_comes_next() -> None:
    whole = whole_piece(design(chart(FOUR, "f b")), None, None)
    progress = placed(whole, 0)
    progress.tie(1)
    progress.untie(1)
    assert list(at_each_level(whole, progress, Happened.UNDONE, [1]).values()) == [
        "undo backward, sand over kelp, sand back, first from the right, "
        "then deep, first from the left, forward over foam",
        "undo backward, then deep, first from the left, forward",
        "undo, then first from left, forward",
    ]


def test_an_undo_in_written_steps() -> None:
    whole = whole_piece(design(written(("Braid.", 3))), None, None)
    said = at_each_level(whole, placed(whole, 1), Happened.UNDONE, [1])
    assert list(said.values()) == ["undo Braid, 2 of 3", "undo Braid, 2 of 3", "undo Braid, 2 of 3"]


def test_on_the_way_to_a_wrong_knot() -> None:
    whole = whole_piece(design(chart(FOUR, "f b", "f")), None, None)
    progress = placed(whole, 3)
    out = progress.must_come_out(1)
    assert list(at_each_level(whole, progress, Happened.RESUMED, out=out).values()) == [
        "take out forward, deep over sand, second from the right, 1 more to take out",
        "take out forward, second from right, 1 more",
        "take out second from right, 1 more",
    ]
    assert (
        again(whole, progress, out=out) == "take out forward, deep over sand, second from the right, 1 more to take out"
    )
    progress.untie(out[0])
    assert list(at_each_level(whole, progress, Happened.OUT, out[:1], out=out[1:]).values()) == [
        "take out backward, sand over kelp, second from the right, the last one to take out",
        "take out backward, sand over kelp, second from the right, last",
        "take out second from right, last",
    ]
    progress.untie(out[1])
    assert list(at_each_level(whole, progress, Happened.OUT, out[1:]).values()) == [
        "all out, sand, first from the right, backward over kelp",
        "all out, sand, first from the right, backward",
        "all out, first from right, backward",
    ]


def test_on_the_way_to_a_wrong_written_step() -> None:
    whole = whole_piece(design(written("Fold", ("Braid.", 2))), None, None)
    progress = placed(whole, 3)
    out = progress.must_come_out(0)
    assert list(at_each_level(whole, progress, Happened.RESUMED, out=out).values()) == [
        "take back Braid, 2 of 2, 2 more to take out",
        "take back Braid, 2 of 2, 2 more",
        "take back Braid, 2 more",
    ]


def test_a_press_that_ties_the_rest_of_the_run() -> None:
    said = prompts_of(design(chart(FOUR, "f -", "f", "- fb")), Way("segments"), "run")
    assert said[Level.SHORT] == [
        "deep, first from the left, 2 forward, then one forward-backward",
        "piece done",
    ]
    whole = whole_piece(design(chart(FOUR, "f -", "f", "- fb")), None, None)
    progress = placed(whole, 1)
    said_then = at_each_level(whole, progress, Happened.TIED, [0], ahead=progress.rest_of_run())
    assert said_then[Level.SHORT] == "forward, then one forward-backward"


def test_a_press_that_ties_the_rest_of_the_row() -> None:
    rows = (row("f f b b"), row("f - b", 2), row("fb - - bf"))
    body = Diagonal(("moss", "sand", "moss", "sand", "sand", "moss", "sand", "moss"), rows)
    said = prompts_of(design(body), press="row")
    assert said[Level.SHORT] == [
        "first from left, pairs right, 2 forward, then 2 backward",
        "second from left, forward, then second from right, backward",
        "first left, forward-backward, then first right, backward-forward",
        "piece done",
    ]
    assert prompts_of(design(body), Way(from_right=True), "row")[Level.SPARSE][:2] == [
        "first right pairs left, 2 backward, then 2 forward",
        "second right, backward, then second left, forward",
    ]


def test_a_press_that_counts_several_written_steps() -> None:
    said = prompts_of(design(written("Fold.", ("Braid", 3), "Trim")), press="row")
    assert said[Level.FULL] == ["step 1 of 5, Fold. Braid, 3 times. Trim", "the piece is done"]


def test_an_undo_before_a_press_that_ties_several() -> None:
    whole = whole_piece(design(chart(FOUR, "f -", "f", "- f")), None, None)
    progress = placed(whole, 1)
    said = at_each_level(whole, progress, Happened.UNDONE, [2, 1], ahead=progress.rest_of_run())
    assert said[Level.SHORT] == "undo 2, then deep, second from the left, 2 forward"


def test_a_jump_and_a_resumed_piece() -> None:
    whole = whole_piece(design(chart(FOUR, "f b", "f")), design(written("Fold", "Pin")), None)
    assert list(at_each_level(whole, placed(whole, 4), Happened.JUMPED).values()) == [
        "jumped to row 2 of 2, deep, second from the left, forward over sand",
        "jumped to row 2, deep, second from the left, forward",
        "row 2, second from left, forward",
    ]
    assert list(at_each_level(whole, placed(whole, 1), Happened.JUMPED).values()) == [
        "jumped to start step 2 of 2, Pin",
        "jumped to start step 2, Pin",
        "jumped to start step 2, Pin",
    ]
    assert at_each_level(whole, placed(whole, 5), Happened.JUMPED) == PIECE_DONE


def test_repeating_the_instruction_gives_the_full_step() -> None:
    whole = whole_piece(design(chart(FOUR, "f -", "f", "- f")), None, design(written(("Braid", 3))))
    assert again(whole, placed(whole, 1)) == "row 2 of 3, deep, second from the left, for 2 knots, forward over kelp"
    assert (
        again(whole, placed(whole, 2)) == "row 3 of 3, deep, second from the right, forward over sand, last with deep"
    )
    assert again(whole, placed(whole, 4)) == "finish step 2 of 3, Braid. 2 of 3"
    assert again(whole, placed(whole, 6)) == "the piece is done"


def test_a_prompt_repeats_what_an_earlier_one_did_not_finish() -> None:
    whole = whole_piece(design(chart(FOUR, "f -", "f", "- fb")), None, None)
    # The maker did not hear the second forward, but it is of the same kind and with the same string.
    said = at_each_level(whole, placed(whole, 2), Happened.TIED, [0, 1])
    assert said[Level.SHORT] == "forward-backward, last"
    whole = whole_piece(design(chart("deep foam", "f", "", "f", "", "f")), None, None)
    # The maker did not hear of foam in between, so the prompt must name deep.
    assert (
        at_each_level(whole, placed(whole, 2), Happened.TIED, [0, 1])[Level.SPARSE]
        == "row done, first from left, forward"
    )


def test_rows_completed_while_prompts_were_cut_off_are_announced() -> None:
    whole = whole_piece(design(chart("deep foam", "f", "-"), repeats=4), design(written("Fold")), None)
    assert list(at_each_level(whole, placed(whole, 3), Happened.TIED, [1, 2]).values()) == [
        "repeat 2 of 4 done, deep, first from the left, forward over foam",
        "repeat 2 done, deep, first from the left, forward",
        "repeat done, first from left, forward",
    ]
    assert list(at_each_level(whole, placed(whole, 2), Happened.TIED, [0, 1]).values()) == [
        "start done, now the band, foam, first from the left, forward over deep",
        "start done, foam, first from the left, forward",
        "start done, first from left, forward",
    ]


def test_a_written_step_says_what_was_not_heard_yet() -> None:
    whole = whole_piece(design(Steps((), (Instruction("Fold", None, 1), Instruction("Braid", "Pull", 4)))), None, None)
    assert at_each_level(whole, placed(whole, 4), Happened.TIED, [1, 2, 3])[Level.SHORT] == "4 of 4"
    assert list(at_each_level(whole, placed(whole, 3), Happened.TIED, [0, 1, 2]).values()) == [
        "Braid. 3 of 4. Pull",
        "Braid. 3 of 4. Pull",
        "Braid. 3 of 4",
    ]
