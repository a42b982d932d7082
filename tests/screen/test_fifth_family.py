"""A fifth family, defined outside the program and registered, works wherever a design does."""

import ast
import io
import json
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from benchmate.cli import main
from benchmate.craft.family import Family
from benchmate.craft.wording.prompt_parts import Level
from benchmate.craft.wording.prompts import Happened, prompt
from benchmate.families.registry import FAMILIES
from benchmate.piece_opening import Kept
from benchmate.plain.answers import Answers
from benchmate.plain.lines import Lines
from benchmate.plain.piece import run as run_plainly
from benchmate.settings import DEFAULTS
from tests.screen.benches import begun, written_to
from tests.screen.hands import sitting
from tests.tally import DESIGN, TALLY, Bead, Tally
from tests.voices import Recorder

PACKAGE = Path(__file__).resolve().parents[2] / "benchmate"


@pytest.fixture(autouse=True)
def _registered() -> Iterator[None]:
    FAMILIES.add(TALLY)
    yield
    FAMILIES.remove(TALLY.family.name)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return written_to(tmp_path, DESIGN, "wire.yaml")


def test_no_file_of_the_program_names_it() -> None:
    for source in PACKAGE.rglob("*.py"):
        words = {node.value for node in ast.walk(ast.parse(source.read_text())) if isinstance(node, ast.Constant)}
        assert "tally" not in words, source


def test_check(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(file)]) == 0
    assert capsys.readouterr() == (f"{file}: ok, tally, 6 beads, 2 repeats\n", "")


def test_a_fault_in_its_file_has_its_place(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bad = written_to(tmp_path, DESIGN.replace("strings: [deep, foam", "strings: [deep, rust"), "bad.yaml")
    assert main(["check", str(bad)]) == 1
    assert capsys.readouterr().err.startswith(f"{bad}:5:17: ")


def test_order(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["order", str(file), "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == {
        "title": "Buttons on a wire",
        "family": "tally",
        "by": "rows",
        "strings": ["deep", "foam", "deep"],
        "steps": [{"n": n, "row": 1 + (n > 3), "bead": (n - 1) % 3 + 1} for n in range(1, 7)],
    }
    assert main(["order", str(file)]) == 0
    assert capsys.readouterr().out.splitlines()[2].split() == ["2", "thread", "2,", "foam;", "repeat", "1"]


def test_untie(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["untie", str(file), "--done", "5", "--knot", "3", "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == {"knot": 3, "untie": [5, 4, 3]}


def test_plain_lines(kept: Kept, file: Path) -> None:
    out, notices = io.StringIO(), io.StringIO()
    assert run_plainly(begun(kept, file), Answers(io.StringIO("\n\nb\n" + "\n" * 5)), Lines(out, notices)) == 0
    lines = out.getvalue().splitlines()
    assert lines[0] == "1/6 thread 1, deep; repeat 1"
    assert [line.split()[0] for line in lines[:4]] == ["1/6", "2/6", "3/6", "2/6"]
    assert lines[-1].startswith("All done")


async def test_the_bench(kept: Kept, file: Path) -> None:
    async with sitting(kept, begun(kept, file)) as hands:
        assert "deep, pushed up to the last one" in hands.legible
        await hands.press("space", "space", "left")
        assert "1/6" in hands.text
        assert "foam, pushed up to the last one" in hands.legible
        await hands.press("u", "enter")
        assert "0/6" not in hands.text
        await hands.press("space")
        assert "0/6" in hands.text
        await hands.press("j", "4", "enter")
        assert "3/6" in hands.text
    async with sitting(kept, begun(kept, file, done=6), size=(40, 12)) as hands:
        assert "6/6" in hands.text


async def test_the_voice(kept: Kept, file: Path, voice: Callable[[], Recorder]) -> None:
    async with sitting(kept, begun(kept, file), settings=DEFAULTS._replace(voice="on")) as hands:
        await hands.press("space", "left")
    assert voice().words == ["repeat 1 of 2, thread deep", "thread foam", "undo thread 1, deep"]


def test_the_end_of_a_repeat_is_heard(kept: Kept, file: Path) -> None:
    held = begun(kept, file, done=3).held
    assert prompt(held.whole, held.progress, Happened.TIED, [2], Level.SHORT) == "repeat 1 done, thread deep"


def test_draw(file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["draw", str(file)]) == 0
    shown = capsys.readouterr().out
    assert shown.startswith("Buttons on a wire")
    assert "6 beads (2 repeats of 3)" in shown
    for name in ("wire.png", "wire.svg"):
        assert main(["draw", str(file), "-o", str(tmp_path / name)]) == 0
    assert (tmp_path / "wire.png").read_bytes().startswith(b"\x89PNG")
    assert (tmp_path / "wire.svg").read_text().count("<use ") == 6


async def test_the_list(kept: Kept, file: Path) -> None:
    begun(kept, file, done=2).held.let_go()
    async with sitting(kept, None) as hands:
        assert "CONTINUE" in hands.text
        assert "> Buttons on a wire" in hands.text
        await hands.wait_for(lambda: "how hard" in hands.text)


def test_what_a_new_family_lacks_is_named() -> None:
    class Half(Family[Tally, Bead]):
        name = "half"
        words = TALLY.family.words

    lacking = {"prompts", "step_view", "steps_per_repeat", "work", "summary", "kind", "effort", "changes", "drawing"}
    lacking.add("laying_out")
    with pytest.raises(TypeError) as refused:
        Half()  # type: ignore[abstract]
    assert all(name in str(refused.value) for name in lacking)
