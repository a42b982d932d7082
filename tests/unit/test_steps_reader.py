"""Written steps, read from text."""

import pytest

from benchmate.design_files.load import parse
from benchmate.families.steps.body import Instruction, Steps


def piece(steps: str, more: str = "notes: n") -> str:
    """A design whose `steps` stand on line 6; `more` is line 5."""
    return f"benchmate: 1\ntitle: T\nfamily: steps\ncolours: {{a: teal}}\n{more}\nsteps:{steps}\n"


def said(text: str) -> list[str]:
    design, problems = parse(text)
    assert (design is None) == any(not problem.warning for problem in problems)
    return [f"{p.line}:{p.column}: {'warning: ' if p.warning else ''}{p.message}" for p in problems]


@pytest.mark.parametrize(
    ("steps", "expected"),
    [
        ("\n- do: Fold", [Instruction("Fold", None, 1)]),
        ("\n- do: 2024\n  hint: no\n  times: 03", [Instruction("2024", "no", 3)]),
        ("\n- {do: Fold, hint: ''}", [Instruction("Fold", None, 1)]),
        ("\n- do: >\n    Fold\n    it\n- do: y", [Instruction("Fold it", None, 1), Instruction("y", None, 1)]),
    ],
)
def test_good_steps(steps: str, expected: list[Instruction]) -> None:
    design, problems = parse(piece(steps))
    assert problems == []
    assert design is not None
    assert design.body == Steps((), tuple(expected))


@pytest.mark.parametrize("strings", ["[]", "[a]", "[a, a, a]"])
def test_any_number_of_strings(strings: str) -> None:
    design, problems = parse(piece("\n- do: x", f"strings: {strings}"))
    assert problems == []
    assert design is not None
    assert len(design.strings) == strings.count("a")


@pytest.mark.parametrize(
    ("steps", "expected"),
    [
        ("", ["6:1: `steps` must be a list of steps"]),
        (" []", ["6:8: `steps` is empty"]),
        (" Fold", ["6:8: `steps` must be a list of steps"]),
        ("\n- Fold", ["7:3: a step must begin with `do`"]),
        ("\n- [Fold]", ["7:3: a step must begin with `do`"]),
        ("\n- *x", ["7:3: an alias"]),
        ("\n- do: ''", ["7:7: `do` must not be empty"]),
        ("\n- do:", ["7:3: `do` must not be empty"]),
        ('\n- do: "a\\nb"', ["7:7: `do` must be one line of text"]),
        ('\n- {do: x, hint: "a\\nb"}', ["7:17: `hint` must be one line of text"]),
        ("\n- do: x\n- hint: x", ["1:1: the key `do` is missing from step 2 on line 8"]),
        ("\n- {do: x, times: 0}", ["7:18: `times` must be a whole number from 1 to 200000, such as 12 (found `0`)"]),
        ("\n- {do: x, times: 200001}", ["7:18: `times` must be a whole number from 1 to 200000, such as 12 (found `2"]),
        ("\n- {do: x, times: 1.5}", ["7:18: `times` must be a whole number"]),
        ("\n- {do: x, time: 2}", ["7:11: unknown key `time`; did you mean `times`?"]),
        ("\n- {do: x\u200b, hint: \"\\e\"}", [
            "7:8: warning: 1 control or format character left out of `do`",
            "7:18: warning: 1 control or format character left out of `hint`",
        ]),
        ("\n- {do: x, times: 150000}\n- {do: y, times: 50001}", ["7:1: the steps with their `times` make 200001"]),
        ("\n- {do: x, times: 150000}\n- {do: y, times: 50000}", []),
    ],
)  # fmt: skip
def test_faulty_steps(steps: str, expected: list[str]) -> None:
    lines = said(piece(steps))
    assert len(lines) == len(expected), lines
    for line, words in zip(lines, expected, strict=True):
        assert line.startswith(words), lines


@pytest.mark.parametrize(
    ("more", "expected"),
    [
        ("strings: [a, b]", ["5:14: unknown colour `b`"]),
        ("strings: a", ["5:10: `strings` must be a list of colour names"]),
        ("rows: [f]", ["5:1: unknown key `rows`"]),
        ("repeats: 100000", []),
        ("repeats: 100001", ["5:10: 100001 repeats make 200002 steps, more than 200000"]),
        ("repeats: 2", []),
        ("start: other", []),
    ],
)
def test_other_keys_of_a_design_in_written_steps(more: str, expected: list[str]) -> None:
    lines = said(piece("\n- {do: x, times: 2}", more))
    assert len(lines) == len(expected), lines
    for line, words in zip(lines, expected, strict=True):
        assert line.startswith(words), lines


@pytest.mark.parametrize(
    ("written", "uses"),
    [("0", 0), ("120", 120), ("62.5", 62.5), ("'62.5'", 62.5), ("000010000.0", 10_000), ("010.50", 10.5)],
)
def test_what_a_start_uses_of_each_string(written: str, uses: float) -> None:
    design, problems = parse(piece("\n- do: x", f"uses: {written}"))
    assert problems == []
    assert design is not None
    assert design.family.uses_mm(design.body) == uses
    assert design.family.uses_mm(piece_without_uses()) is None


def piece_without_uses() -> Steps:
    """The body of a start that does not say what it uses."""
    design, _ = parse(piece("\n- do: x"))
    assert design is not None
    assert isinstance(design.body, Steps)
    return design.body


@pytest.mark.parametrize(
    "written",
    ["", "-5", "+5", "12cm", "1e3", "62,5", "1.", ".5", "1.5.5", "10000.1", "10001", "9" * 400, "nan", "\u0665"],
)
def test_what_cannot_be_used(written: str) -> None:
    found = f"`{written}`" if 0 < len(written) < 40 else "nothing" if not written else "`999"
    place = 1 if not written else 7
    (line,) = said(piece("\n- do: x", f"uses: {written}"))
    assert line.startswith(
        f"5:{place}: `uses` must be a number from 0 to 10000 mm of each string, such as 120 (found {found}"
    )


def test_only_written_steps_use_thread_of_their_own() -> None:
    text = "benchmate: 1\ntitle: T\nfamily: diagonal\ncolours: {a: teal}\nuses: 5\nstrings: [a, a]\nrows: [f]\n"
    (line,) = said(text)
    assert line.startswith("5:1: unknown key `uses`")
