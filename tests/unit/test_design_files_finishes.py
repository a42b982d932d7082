"""The shipped finishes that suit a design."""

from benchmate.design_files.finishes import finishes_for
from benchmate.design_files.load import load


def test_the_finishes_of_designs_of_its_family() -> None:
    for name in ("tidewater-chevron", "swifts-in-june", "four-square-cord"):
        design = load(name).design
        found = finishes_for(design)
        assert found
        assert len({finish.path for finish in found}) == len(found)
        assert all(finish.design.family.name == "steps" for finish in found)


def test_the_finish_of_the_design_with_as_many_strings_comes_first() -> None:
    file = load("winter-hedge-diamonds")
    assert file.finish is not None
    alike = [finish.path for finish in finishes_for(file.design)]
    assert file.finish.path in alike


def test_written_steps_have_none() -> None:
    assert finishes_for(load("fold-over-a-pin").design) == []
