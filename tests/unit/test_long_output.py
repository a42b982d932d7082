"""Long output is written as it is made, and is the same document."""

import io
import json
import sys
from pathlib import Path

import pytest

from benchmate.cli import main
from tests.measure.pieces import band
from tests.screen.benches import PICTURE, ROPE, WRITTEN

DESIGNS = {
    "diagonal": band("A wide band", 30, 4_000),
    "alpha": PICTURE.replace("repeats: 2", "repeats: 300"),
    "braid": ROPE,
    "steps": WRITTEN.replace("times: 3", "times: 5000"),
}


class Written(io.StringIO):
    """Standard output that keeps every write."""

    def __init__(self) -> None:
        super().__init__()
        self.pieces: list[str] = []

    def write(self, text: str) -> int:
        """Keeps the text."""
        self.pieces.append(text)
        return super().write(text)


def written(monkeypatch: pytest.MonkeyPatch, *arguments: str) -> Written:
    out = Written()
    monkeypatch.setattr(sys, "stdout", out)
    assert main(arguments) == 0
    monkeypatch.undo()
    return out


@pytest.mark.parametrize("by", ["rows", "segments"])
@pytest.mark.parametrize("family", DESIGNS)
def test_order_is_one_document_in_pieces(family: str, by: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    text = band("A small band", 6, 40) if (family, by) == ("diagonal", "segments") else DESIGNS[family]
    file = tmp_path / "band.yaml"
    file.write_text(text, encoding="utf-8")
    out = written(monkeypatch, "order", "--json", "--by", by, "--from-right", str(file))
    document = json.loads(out.getvalue())
    assert out.getvalue() == json.dumps(document) + "\n"
    assert list(document)[:5] == ["title", "family", "by", "strings", "steps"]
    lines = written(monkeypatch, "order", "--by", by, str(file))
    count = len(document["steps"])
    assert lines.getvalue().count("\n") >= count + 1
    for each in (out, lines):
        # One piece for every thousand steps, and one for the rest.
        assert len(each.pieces) == (count + 10) // 1_000 + 1
        assert max(map(len, each.pieces)) < 300_000


def test_no_step_is_made_before_it_is_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from benchmate.families.diagonal.family import DIAGONAL

    file = tmp_path / "band.yaml"
    file.write_text(DESIGNS["diagonal"], encoding="utf-8")
    made: list[int] = []
    real = DIAGONAL.step_document

    def counted(*arguments: object) -> dict[str, object]:
        made.append(out.tell())
        return real(*arguments)  # type: ignore[arg-type]

    out = Written()
    monkeypatch.setattr(DIAGONAL, "step_document", counted)
    monkeypatch.setattr(sys, "stdout", out)
    assert main(["order", "--json", str(file)]) == 0
    monkeypatch.undo()
    assert len(made) == 4_000
    assert len(set(made)) == len(out.pieces) > 3


def test_untie_lists_its_steps_in_pieces(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "steps.yaml"
    file.write_text(DESIGNS["steps"], encoding="utf-8")
    out = written(monkeypatch, "untie", str(file), "--done", "5001", "--knot", "2")
    assert out.getvalue().count("\n") == 5_001
    assert len(out.pieces) == 6


@pytest.mark.parametrize("options", [["--repeats", "300000"], ["--json", "--repeats", "300000"]])
def test_nothing_is_written_on_failure(options: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "band.yaml"
    file.write_text(DESIGNS["diagonal"], encoding="utf-8")
    out = Written()
    monkeypatch.setattr(sys, "stdout", out)
    monkeypatch.setattr(sys, "stderr", io.StringIO())
    with pytest.raises(SystemExit) as left:
        main(["order", *options, str(file)])
    assert left.value.code == 2
    assert out.pieces == []
