"""Pieces in a file: everything of them comes back elsewhere, and a file that was changed is refused at its place."""

import os
import re
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest

from benchmate import piece_opening as openings
from benchmate.craft.knots import Knot
from benchmate.craft.thread.length_to_cut import Length
from benchmate.design_files.load import load
from benchmate.piece_exchange import imported
from benchmate.piece_opening import Kept, WorkingOptions
from benchmate.store.database import opened_to_read
from benchmate.store.holders import Holder
from benchmate.store.open_piece import OpenPiece
from benchmate.store.pieces import Pieces
from benchmate.store.places import Home
from benchmate.store.reading import PieceReader, PieceRecord
from benchmate.store.thread.cuts import Cut
from tests.homes import command, done_of, export, follow, listed, opened, take_in
from tests.running import CHART, WRITTEN

PLACE = re.compile(r"[^\n]+:(\d+):(\d+): [^\n]+\n")


def records(home: Path) -> dict[int, PieceRecord]:
    """Everything that is kept of every piece."""
    connection = opened_to_read(Home(home))
    assert connection is not None
    with closing(connection):
        reader = PieceReader(Home(home), connection)
        return {piece.piece: reader.record(piece.piece) for piece in reader.all()}


@pytest.fixture
def there(tmp_path: Path) -> Path:
    """The home on another machine."""
    return tmp_path / "there"


@pytest.fixture
def many(kept: Kept, band: Path, tmp_path: Path) -> Path:
    """Pieces of every family, in all the states a piece can be in; returns the home."""
    written = tmp_path / "written.yaml"
    written.write_text(WRITTEN, encoding="utf-8")
    odd = os.fsdecode(os.fsencode(tmp_path) + b"/r\xe9gn\xff 'x'.yaml")
    Path(odd).write_text(CHART.replace("repeats: 4", "repeats: 2"), encoding="utf-8")
    begun = {}
    for design, options in (
        (str(band), WorkingOptions()),
        (odd, WorkingOptions("segments", 3, from_right=True)),
        (str(written), WorkingOptions()),
        ("bud-and-leaf", WorkingOptions()),
        ("flat-plait-of-five", WorkingOptions()),
    ):
        held = openings.follow(kept, design, options, new=True).held
        held.hold()
        if held.needs_plan:
            held.use_plan(held.plan())
        for _ in range(3):
            held.finish_step()
        begun[design] = held
    first = begun[str(band)]
    for press in "row", "run", "knot":
        first.finish_step(press)
    first.jump(5)
    first.mark_wrong(first.progress.history[0])
    first.finish_step()
    assert first.taken_out
    second = begun[odd]
    Path(odd).write_text(CHART.replace("Rain on slate", "Sleet on slate"), encoding="utf-8")
    changed = openings.resume_listed(kept, kept.pieces.get(2))
    assert changed.updated is not None
    second.change_design(*changed.updated)
    for held in begun.values():
        held.let_go()
    return kept.home.folder


def test_everything_comes_back(many: Path, there: Path, tmp_path: Path) -> None:
    file = export(many, tmp_path / "all.pieces")
    assert file.read_bytes().isascii()
    assert take_in(there, file) == ["added"] * 5
    assert records(there) == records(many)
    assert {number: piece[1:8] for number, piece in listed(there).items()} == {
        number: piece[1:8] for number, piece in listed(many).items()
    }
    # What is exported there is the same file.
    assert export(there, tmp_path / "again.pieces").read_bytes() == file.read_bytes()
    before = (there / "pieces.db").read_bytes()
    assert take_in(there, file) == ["already here"] * 5
    assert records(there) == records(many)
    assert len(before) == (there / "pieces.db").stat().st_size


def test_every_piece_goes_on_where_it_was(
    many: Path, there: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    take_in(there, export(many, tmp_path / "all.pieces"))

    def states(home: Path) -> Iterator[tuple[object, ...]]:
        monkeypatch.setenv("BENCHMATE_HOME", str(home))
        with closing(Kept()) as kept:
            for number in sorted(listed(home)):
                held = openings.resume(kept, kept.pieces.get(number)).held
                held.hold()
                if held.needs_plan:
                    held.use_plan(held.plan())
                state = [*held.progress.history], held.wrong, held.taken_out, held.way, held.copy
                yield (*state, held.whole.size, held.current_step(), held.presses)
                held.let_go()

    here, elsewhere = list(states(many)), list(states(there))
    assert [state[:5] for state in elsewhere] == [state[:5] for state in here]
    assert elsewhere == here
    assert here[0][1] is not None


def test_some_pieces_and_one_twice(many: Path, there: Path, tmp_path: Path) -> None:
    file = export(many, tmp_path / "some.pieces", "4", "2", "4")
    assert take_in(there, file) == ["added", "added"]
    assert [records(there)[number] for number in (1, 2)] == [records(many)[number] for number in (4, 2)]


def test_a_copy_is_made_of_what_was_taken_in(many: Path, there: Path, tmp_path: Path) -> None:
    take_in(there, export(many, tmp_path / "all.pieces"))
    assert len(list((there / "copies").iterdir())) == 1


def test_to_standard_output(many: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    file = export(many, tmp_path / "all.pieces")
    done = command("pieces", "--export", "-", home=many)
    assert (done.status, done.err) == (0, "")
    assert done.out.encode() == file.read_bytes()
    assert not (tmp_path / "-").exists()


@pytest.mark.parametrize(
    ("arguments", "status", "said"),
    [
        (["--export", "new", "9"], 2, "--export: there is no piece 9"),
        (["--export", "there"], 2, "this file exists already; add --force"),
        (["--export", "home/pieces.db", "--force"], 2, "the program keeps this file itself"),
        (["--export", "new", "--import", "there"], 2, "choose one of --export and --import"),
        (["--import", "there", "3"], 2, "a PIECE is named for --export only"),
        (["3"], 2, "a PIECE is named for --export only"),
        (["--export", "nowhere/new"], 1, "this file cannot be written: No such file"),
        (["--import", "new"], 1, "no such file"),
        (["--import", "home"], 1, "this is a folder"),
    ],
)
def test_what_cannot_be_done(
    many: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, arguments: list[str], status: int, said: str
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "there").write_text("mine")
    done = command("pieces", *arguments, home=many)
    assert (done.status, done.out) == (status, "")
    assert said in done.err
    assert (tmp_path / "there").read_text() == "mine"
    assert not (tmp_path / "new").exists()


def test_nothing_to_export_yet(home: Path, tmp_path: Path) -> None:
    done = command("pieces", "--export", tmp_path / "new", home=home)
    assert (done.status, done.out) == (2, "")
    assert "there are no pieces yet" in done.err
    assert not home.exists()


# To another machine, and back.


def test_there_and_back_again(band: Path, home: Path, there: Path, tmp_path: Path) -> None:
    follow(band, home, 2)
    file = tmp_path / "rain.pieces"
    assert take_in(there, export(home, file)) == ["added"]
    other = tmp_path / "elsewhere.yaml"
    band.rename(other)
    assert follow(other, there, 2).out.startswith("3/12 ")
    assert take_in(home, export(there, file)) == ["brought up to date"]
    assert take_in(home, file) == take_in(there, file) == ["already here"]
    assert done_of(home) == done_of(there) == {1: 4}
    # What is behind brings nothing.
    follow(other, home, 1)
    assert take_in(home, file) == ["already here"]
    assert done_of(home) == {1: 5}


def held_in(home: Path, monkeypatch: pytest.MonkeyPatch) -> Kept:
    monkeypatch.setenv("BENCHMATE_HOME", str(home))
    return Kept()


def test_what_was_really_made_and_measured_goes_there_and_comes_back(
    band: Path, home: Path, there: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def known(home: Path, piece: int = 1) -> tuple[object, ...]:
        with closing(held_in(home, monkeypatch)) as kept:
            held = openings.resume_listed(kept, kept.pieces.get(piece)).held
            new_strings = [each.without_thread for each in held.new_strings]
            return held.made, held.mistakes, held.changes, held.progress.hanging, dict(held.measured), new_strings

    with closing(held_in(home, monkeypatch)) as kept:
        held = openings.follow(kept, str(band), openings.NO_OPTIONS, new=False).held
        held.tie(range(6))
        held.leave({4: Knot.FORWARD_BACKWARD}, {7: None})
        held.measure(3, 250, by_eye=True)
        held.let_go()
    file = tmp_path / "rain.pieces"
    assert take_in(there, export(home, file)) == ["added"]
    here = known(home)
    assert here == known(there)
    assert here[0] == {4: Knot.FORWARD_BACKWARD}
    with closing(held_in(there, monkeypatch)) as kept:
        held = openings.resume_listed(kept, kept.pieces.get(1)).held
        held.hold()
        held.tie([6, 7])
        held.let_go()
        assert take_in(home, export(there, file)) == ["brought up to date"]
        held.hold()
        # Nothing but a string is measured: that goes over too.
        held.join(3, 800, 890, thread=4)
        held.let_go()
    assert take_in(home, export(there, file)) == ["brought up to date"]
    assert take_in(home, file) == ["already here"]
    assert known(home) == known(there)
    with closing(held_in(home, monkeypatch)) as kept:
        assert kept.pieces.told_of(1).measured[3].joined
        (new,) = kept.pieces.told_of(1).new_strings
        assert (new.mm, new.thread) == (890.0, None), "the box stays at home"
        # A copied piece was made the same way.
        fresh = kept.pieces.copy(1, "Rain again")
    assert known(home, fresh) == known(home)


def test_a_new_string_that_another_machine_does_not_know_of_stays(
    band: Path, home: Path, tells: Callable[..., object], there: Path, tmp_path: Path
) -> None:
    def known(held: OpenPiece) -> tuple[object, ...]:
        measured = {string: (each.mm, each.joined) for string, each in held.measured.items()}
        return measured, [(each.string, each.mm, each.thread) for each in held.new_strings]

    file = tmp_path / "rain.pieces"
    tells(home, lambda held: held.tie(range(6)))
    assert take_in(there, export(home, file)) == ["added"]
    tells(home, lambda held: held.join(3, 800.0, 890.0, thread=4))
    tells(there, lambda held: held.measure(3, 600.0))
    assert take_in(home, export(there, file)) == ["brought up to date"]
    assert tells(home, known) == ({3: (600.0, True)}, [(3, 890.0, 4)])
    assert take_in(home, file) == ["already here"]
    assert take_in(there, export(home, file)) == ["brought up to date"]
    assert tells(there, known) == ({3: (600.0, True)}, [(3, 890.0, None)])
    # Taken back on one of them, it is taken back on the other, and does not come again.
    tells(there, lambda held: held.take_new_string_back(3))
    older = export(home, tmp_path / "older.pieces")
    assert take_in(home, export(there, file)) == ["brought up to date"]
    for where in home, there:
        assert tells(where, known) == ({3: (600.0, False)}, [])
        assert take_in(where, older) == ["already here"]
        assert tells(where, known) == ({3: (600.0, False)}, [])


def test_a_new_string_taken_back_at_once_does_not_come_back_from_another_machine(
    band: Path, home: Path, tells: Callable[..., object], there: Path, tmp_path: Path
) -> None:
    def known(held: OpenPiece) -> tuple[object, ...]:
        return {string: each.mm for string, each in held.measured.items()}, held.new_strings

    tells(home, lambda held: held.tie(range(6)))
    tells(home, lambda held: held.measure(2, 250.0))
    tells(home, lambda held: held.join(2, 700.0))
    tells(home, lambda held: held.join(3, 800.0))
    file = export(home, tmp_path / "rain.pieces")
    assert take_in(there, file) == ["added"]
    tells(home, lambda held: held.take_new_string_back(3))
    tells(home, lambda held: held.take_new_string_back(2))
    assert take_in(home, file) == ["already here"]
    assert take_in(there, export(home, tmp_path / "later.pieces")) == ["brought up to date"]
    assert tells(home, known) == tells(there, known) == ({2: 250.0}, [])


@pytest.fixture
def tells(band: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., object]:
    """Tells a piece something in one of two homes, and gives back what it says."""

    def told(home: Path, tell: Callable[[OpenPiece], object]) -> object:
        with closing(held_in(home, monkeypatch)) as kept:
            held = openings.follow(kept, str(band), openings.NO_OPTIONS, new=False).held
            if held.piece is not None:
                held.hold()
            said = tell(held)
            held.let_go()
            return said

    return told


def test_ticks_that_went_to_another_machine_come_back_with_the_threads_of_this_one(
    home: Path, tells: Callable[..., object], there: Path, tmp_path: Path
) -> None:
    lengths = [Length("slate", (number,), 400.0) for number in (1, 2, 3, 4)]
    file = tmp_path / "rain.pieces"
    tells(home, lambda held: held.tick([Cut(lengths[0], 7), Cut(lengths[1], 7)]))
    assert take_in(there, export(home, file)) == ["added"]
    tells(home, lambda held: held.tick([Cut(lengths[0], 7), Cut(lengths[1], 7), Cut(lengths[2], 7)]))
    longer = lengths[1]._replace(cut_mm=420.0)
    tells(there, lambda held: held.tick([Cut(lengths[0]), Cut(longer), Cut(lengths[3])]))
    assert take_in(home, export(there, file)) == ["brought up to date"]
    mixed = [Cut(lengths[0], 7), Cut(longer), Cut(lengths[2], 7), Cut(lengths[3])]
    assert tells(home, lambda held: held.ticked) == mixed
    assert take_in(home, file) == ["already here"]
    # All cut there: what came from the box here still did.
    tells(there, lambda held: held.keep_cut(("floss", [Cut(lengths[0]), Cut(longer), *map(Cut, lengths[2:])])))
    assert take_in(home, export(there, file)) == ["brought up to date"]
    assert tells(home, lambda held: (held.was_cut, held.ticked)) == (("floss", mixed), [])
    # Cut once more there, because they are to be longer by now.
    again = [Cut(length._replace(cut_mm=430.0)) for length in lengths]
    tells(there, lambda held: held.keep_cut(("floss", again)))
    assert take_in(home, export(there, file)) == ["brought up to date"]
    assert tells(home, lambda held: held.was_cut) == ("floss", again)
    assert take_in(there, export(home, file)) == ["already here"]


def test_what_was_ticked_off_as_cut_goes_there_and_comes_back(
    band: Path, home: Path, there: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    lengths = [Cut(Length("slate", (number,), 400.0)) for number in (1, 4)]

    def known(home: Path, piece: int = 1) -> tuple[object, ...]:
        with closing(held_in(home, monkeypatch)) as kept:
            held = openings.resume_listed(kept, kept.pieces.get(piece)).held
            return held.progress.done, held.ticked, held.was_cut

    def tells(home: Path, tell: Callable[[OpenPiece], None]) -> None:
        with closing(held_in(home, monkeypatch)) as kept:
            held = openings.follow(kept, str(band), openings.NO_OPTIONS, new=False).held
            if held.piece is not None:
                held.hold()
            tell(held)
            held.let_go()

    file = tmp_path / "rain.pieces"
    tells(home, lambda held: held.tick(lengths[:1]))
    assert take_in(there, export(home, file)) == ["added"]
    assert known(there) == (0, lengths[:1], None)
    tells(there, lambda held: held.tick(lengths))
    assert take_in(home, export(there, file)) == ["brought up to date"]
    assert take_in(home, file) == ["already here"]
    assert known(home) == (0, lengths, None)
    with closing(held_in(home, monkeypatch)) as kept:
        fresh = kept.pieces.copy(1, "Rain again")
    assert known(home, fresh) == known(home)
    tells(there, lambda held: held.keep_cut(("floss", lengths)))
    assert take_in(home, export(there, file))[0] == "brought up to date"
    assert known(home) == (0, [], ("floss", lengths))


def test_the_path_on_this_machine_stays(band: Path, home: Path, there: Path, tmp_path: Path) -> None:
    follow(band, home, 2)
    file = export(home, tmp_path / "rain.pieces")
    elsewhere = tmp_path / "elsewhere.yaml"
    band.rename(elsewhere)
    take_in(there, file)
    follow(elsewhere, there, 1)
    export(there, file)
    elsewhere.rename(band)
    # Changed since, so that only its path tells which piece it belongs to.
    band.write_text(CHART.replace("repeats: 4", "repeats: 5"))
    assert take_in(home, file) == ["brought up to date"]
    assert follow(band, home).out.startswith("4/12 ")
    assert done_of(home) == {1: 3}


def test_a_log_that_went_two_ways_becomes_a_second_piece(band: Path, home: Path, there: Path, tmp_path: Path) -> None:
    follow(band, home, 2)
    file = tmp_path / "rain.pieces"
    take_in(there, export(home, file))
    before = records(home)
    follow(band, there, 2)
    follow(band, home, 1)
    ours = records(home)
    assert take_in(home, export(there, file)) == ["added"]
    assert done_of(home) == {1: 3, 2: 4}
    assert records(home)[1] == ours[1]
    assert records(home)[2].log[:2] == before[1].log
    assert take_in(home, file) == ["already here"]
    # The second goes on as well.
    follow(band, there, 1)
    assert take_in(home, export(there, file)) == ["brought up to date"]
    assert done_of(home) == {1: 3, 2: 5}


def test_a_piece_that_a_window_holds_is_not_brought_up_to_date(
    band: Path, home: Path, there: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    follow(band, home, 2)
    file = tmp_path / "rain.pieces"
    take_in(there, export(home, file))
    follow(band, there, 1)
    follow(band, there, 1, "--new")
    export(there, file)
    monkeypatch.setenv("BENCHMATE_HOME", str(home))
    with closing(Kept()) as kept:
        held = openings.follow(kept, str(band), WorkingOptions(), new=False).held
        held.hold()
        done = command("pieces", "--import", file, home=home)
        assert (done.status, done.out) == (1, "")
        assert done.err == (
            f"{file}: nothing was taken in: piece 1 is open in a window. Leave it there, then try again.\n"
        )
        assert done_of(home) == {1: 2}
        held.let_go()
    assert take_in(home, file) == ["brought up to date", "added"]
    assert done_of(home) == {1: 3, 2: 1}


def test_a_piece_that_is_damaged_here_is_left_alone(band: Path, home: Path, tmp_path: Path) -> None:
    follow(band, home, 2)
    file = export(home, tmp_path / "rain.pieces")
    with opened(home / "pieces.db") as connection:
        connection.execute("UPDATE copy SET repeats = 5")
    assert command("pieces", "--import", file, home=home).out.endswith("2: Rain on slate, 2/12: added\n")
    assert follow(band, home, 1).status == 0
    assert done_of(home) == {1: 2, 2: 3}


def test_a_holder_that_has_ended_holds_nothing(band: Path, home: Path, there: Path, tmp_path: Path) -> None:
    follow(band, home, 1)
    file = tmp_path / "rain.pieces"
    take_in(there, export(home, file))
    follow(band, there, 1)
    holder = Holder(home / "open")
    with closing(Pieces(Home(home))) as pieces:
        pieces.hold(1, holder.token, force=False)
    holder.close()
    assert take_in(home, export(there, file)) == ["brought up to date"]


def test_an_empty_file_of_pieces(home: Path, tmp_path: Path) -> None:
    file = tmp_path / "none.pieces"
    file.write_text('{"format":"benchmate pieces","version":1,"pieces":0}\n')
    assert imported(Home(home), str(file)) == []


def test_a_shipped_design_reads_the_same_elsewhere(many: Path) -> None:
    assert records(many)[4].copies[0][1].design == load("bud-and-leaf").text
