"""Makers who err, lose the place and run short of a string finish their pieces on the program's advice alone."""

import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from benchmate.craft.knots import Knot
from benchmate.craft.trouble.trouble import Lasting, Mending, Place, Places, Why
from benchmate.families.diagonal.trouble.diagonal_trouble import DiagonalTrouble
from tests.measure.erring_maker import Astray
from tests.measure.trouble import knotted, main


def test_every_band_ends_as_charted_or_as_its_maker_chose(tmp_path: Path) -> None:
    stories = [knotted(seed, tmp_path) for seed in range(1000, 1012)]
    assert {story.lost for story in stories} == {2}
    for what in ("mistakes", "questions", "taken_out", "mended", "accepted", "laid_in"):
        assert sum(getattr(story, what) for story in stories), f"nothing was {what}"
    assert {story.as_charted for story in stories} == {True, False}


def wrong_knot(answer: Why) -> Why:
    """Another knot than the one that explains it."""
    mistakes = [tuple(wrong._replace(step=max(0, wrong.step - 1)) for wrong in each) for each in answer.mistakes]
    return answer._replace(mistakes=mistakes)


def wrong_place(answer: Places) -> Places:
    """A place one knot further on."""
    return answer._replace(
        places=[Place(place.done + 1, place.wrong, place.last) for place in answer.places], tell=None
    )


def wrong_change(answer: Mending) -> Mending:
    """A knot beside the one to change."""
    if not answer.changes:
        return answer
    return answer._replace(changes={max(0, step - 1): Knot.FORWARD_BACKWARD for step in answer.changes})


def too_long(answer: Lasting) -> Lasting:
    """A string that is said to last."""
    return answer._replace(gives_out=None, lay_in=None)


@pytest.mark.parametrize(
    ("question", "spoil"),
    [("why", wrong_knot), ("where", wrong_place), ("mend", wrong_change), ("lasts", too_long)],
    ids=["why", "where", "mend", "lasts"],
)
def test_wrong_advice_leads_makers_astray(
    question: str, spoil: Callable[[Any], Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    right = getattr(DiagonalTrouble, question)
    monkeypatch.setattr(DiagonalTrouble, question, lambda *given, **named: spoil(right(*given, **named)))

    def several() -> None:
        for seed in range(1000, 1020):
            knotted(seed, tmp_path)

    with pytest.raises(Astray):
        several()


def test_the_command_prints_what_became_of_the_pieces(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    assert main(["--makers", "2", "--seed", "1012"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0].split() == ["pieces", "2"]
    assert lines[-1] == "0 led astray"
