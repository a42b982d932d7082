"""The shelf as a whole, and how it is sorted from easy to hard."""

from collections import Counter
from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st

from benchmate.craft.colours.colour import Colour
from benchmate.craft.design import Design
from benchmate.craft.effort import Effort
from benchmate.craft.knots import Knot
from benchmate.craft.ways import mirrored
from benchmate.design_files.shelf import Following, following, lessons, name_of, next_lesson, path_of
from benchmate.families.alpha.body import alpha
from benchmate.families.alpha.family import ALPHA
from benchmate.families.diagonal.body import Diagonal
from benchmate.families.steps.body import Instruction
from benchmate.families.steps.family import STEPS
from tests.charts import bodies, chart, design, full, pointed_in_full_rows, seeded, written
from tests.shelf import FILES

SHELF = {name: file.design for name, file in FILES.items() if not name.startswith("lesson-")}
"""The designs to choose from, without the lessons."""

efforts = st.builds(
    Effort, st.integers(0, 500), st.integers(1, 8), st.floats(0, 250, allow_subnormal=False), st.integers(1, 5000)
)


def test_there_is_enough_to_choose_from() -> None:
    assert 40 <= len(SHELF) <= 60
    families = Counter(each.family.name for each in SHELF.values())
    assert families["diagonal"] >= 20
    assert families["alpha"] >= 8
    assert families["braid"] >= 4
    assert families["steps"] >= 8


def test_bands_are_of_many_widths_and_use_every_knot() -> None:
    bands = [each.body for each in SHELF.values() if isinstance(each.body, Diagonal)]
    assert len({len(body.strings) for body in bands}) >= 8
    assert {4, 24} <= {len(body.strings) for body in bands}
    assert any(len(body.strings) % 2 for body in bands)
    assert any({*Knot} <= {knot for row in body.rows for knot in row.knots} for body in bands)


def test_every_start_and_finish_is_named_by_some_band() -> None:
    ends = {name for name, each in SHELF.items() if each.family.name == "steps"}
    named = {end for each in SHELF.values() for end in (each.start, each.finish) if end is not None}
    assert named == ends


def test_most_bands_have_notes() -> None:
    described = {name for name, each in SHELF.items() if each.notes is not None}
    bands = {name for name, each in SHELF.items() if each.family.name != "steps"}
    assert len(bands - described) <= 2


@seeded
@given(one=efforts, more=st.integers(1, 50), term=st.sampled_from(Effort._fields))
def test_the_number_grows_with_every_term(one: Effort, more: int, term: str) -> None:
    other = one._replace(**{term: getattr(one, term) + more})
    assert other.number > one.number


@seeded
@given(body=bodies(), repeats=st.integers(2, 9))
def test_length_colours_and_mirroring_do_not_change_the_effort(body: Diagonal, repeats: int) -> None:
    one = design(body)
    assert one._replace(repeats=repeats).effort == one.effort
    assert mirrored(one).effort == one.effort
    assert design(body._replace(strings=("a",) * len(body.strings))).effort == one.effort


@seeded
@given(body=bodies(), times=st.integers(2, 3))
def test_writing_out_a_repeat_does_not_change_the_effort(body: Diagonal, times: int) -> None:
    once, more = design(body).effort, design(body._replace(rows=body.rows * times)).effort
    assert (more.strings, more.kinds, more.rows) == (once.strings, once.kinds, once.rows)
    assert more.pickups <= once.pickups


def test_terms_of_a_diagonal_band() -> None:
    # Known optima: 4 strings, all forward, 8 rows take 5 pick-ups; pointed, 8 strings and 8 rows take 10.
    assert design(full(4, 8)).effort == Effort(4, 1, 5 / 8, 2)
    assert design(pointed_in_full_rows(8, 8)).effort == Effort(8, 2, 10 / 8, 2)
    assert design(chart(4, "f -", "fb", "f -")).effort.kinds == 3
    assert design(chart(4, "f b", "f", "f b", "b")).effort.rows == 4
    assert design(chart(2, "", "", "")).effort == Effort(2, 1, 0.0, 3)


def test_terms_of_the_other_families() -> None:
    colours = {name: Colour(name, "#000000", name) for name in "ab"}
    # Row 1 takes up a, b and a again; row 2, worked back, continues with a.
    picture = alpha("a", (("a", "b", "a"), ("a", "a", "a")))
    assert Design("Trial", ALPHA, colours, picture).effort == Effort(5, 2, 3 / 2, 2)
    assert SHELF["mooring-line"].effort == Effort(8, 1, 1.0, 4)
    assert SHELF["flat-plait-of-five"].effort == Effort(5, 2, 1.0, 6)
    steps = written("cut", ("cross", 5))._replace(strings=("a", "b"))
    assert steps.steps[1] == Instruction("cross", None, 5)
    assert Design("Trial", STEPS, colours, steps).effort == Effort(2, 1, 3.0, 2)


def test_the_shelf_goes_from_first_bands_to_wide_ones() -> None:
    bands = {name: each.effort.number for name, each in SHELF.items() if each.family.name == "diagonal"}
    in_order = sorted(bands, key=bands.__getitem__)
    assert in_order[0] == "garden-path-stripe"
    assert in_order[-1] == "moth-at-the-window"
    ranks = [
        in_order.index(name) for name in ("tidewater-chevron", "twin-gables", "winter-hedge-diamonds", "hearth-rug")
    ]
    assert ranks == sorted(ranks)
    assert bands[in_order[-1]] > 4 * bands[in_order[0]]


def test_each_lesson_leads_to_the_next(tmp_path: Path) -> None:
    assert [name_of(path)[:9] for path in lessons()] == [f"lesson-{number}-" for number in range(1, 8)]
    assert [next_lesson(path) for path in lessons()] == [*lessons()[1:], None]
    assert next_lesson(path_of("first-stripe")) is None
    assert following(path_of("first-stripe")) is None
    assert [following(path) for path in lessons()[:5]] == [Following(path, 0) for path in lessons()[1:6]]
    assert following(lessons()[5]) == Following(path_of("first-stripe"), 2)
    assert following(lessons()[6]) == Following(path_of("first-pointed-band"), 2)
    own = tmp_path / Path(lessons()[0]).name
    own.write_bytes(Path(lessons()[0]).read_bytes())
    assert next_lesson(str(own)) is None, "a file of the maker's own"
    linked = tmp_path / "linked.yaml"
    linked.symlink_to(lessons()[1])
    assert next_lesson(str(linked)) == lessons()[2]
