"""Homes to damage: pieces of every family, short and long logs, plans, repairs, and copies of an earlier day."""

import os
import shutil
import tempfile
import time
from collections.abc import Callable, Collection
from pathlib import Path
from typing import NamedTuple

from benchmate import piece_opening as openings
from benchmate.store.open_piece import OpenPiece
from benchmate.store.places import HOME
from tests.faults.commands import forked, in_fork
from tests.faults.homes import work_on, write_designs
from tests.running import Done

KINDS = ("small", "many", "long")
THREAD = ("box", "gauge")
"""Commands that leave out what is damaged of what they list, and say so."""
DAY = 24 * 3600.0


class Template(NamedTuple):
    """A sound home to copy and damage, and the designs of its pieces."""

    home: Path
    designs: tuple[Path, ...]


def template(prepared: Path, kind: str) -> Template:
    """The template of a kind, made earlier by `make_all`."""
    folder = prepared / kind
    names = {"small": ("band",), "many": ("band", "other", "picture", "rope", "written"), "long": ("band", "rope")}[
        kind
    ]
    return Template(folder / "home", tuple(folder / "designs" / f"{name}.yaml" for name in names))


def make_all(prepared: Path, kinds: Collection[str] = KINDS) -> None:
    """Makes a home of each of these kinds; each has a copy made before its last presses."""
    for kind in kinds:
        home, designs = template(prepared, kind)
        _MAKERS[kind](home, write_designs(designs[0].parent))
        _age(home)
        # The first session of a day may make the copy; what follows is only in the database.
        work_on(designs[0], home, "\n")
        work_on(designs[-1], home, "\n\n")


def _make_small(home: Path, designs: dict[str, Path]) -> None:
    _fill_box(home)
    work_on(designs["band"], home, "\n" * 5)
    _in_program(home, lambda: _mistake(designs["band"]))


def _make_many(home: Path, designs: dict[str, Path]) -> None:
    other = designs["band"].with_name("other.yaml")
    shutil.copy(designs["band"], other)
    work_on(other, home, "\n" * 14, "--by", "segments")
    _in_program(home, lambda: _repair(other))
    work_on(designs["band"], home, "\n" * 30, "--from-right", "--mirror")
    work_on(designs["picture"], home, "\n" * 40)
    work_on(designs["rope"], home, "\n\nb\n" * 12)
    work_on(designs["written"], home, "\n" * 9)
    with designs["picture"].open("a", encoding="utf-8") as file:
        file.write("notes: |\n  Gulls over the pier.\n")
    _in_program(home, lambda: _continue_changed(designs["picture"]))
    _fill_box(home)


def _fill_box(home: Path) -> None:
    """Threads, a change and an undone one, and what was measured of two kinds."""
    for words in (
        *(("box", "add", f"thread {number}", "--colour", "teal", "--skeins", "3") for number in range(6)),
        *(("box", "change", "2", "--length", "6000", "--offcut"), ("box", "take", "5", "6"), ("box", "undo")),
        *(("gauge", "floss", "--used", "40,40,0,0:520"), ("gauge", "twine", "--tex", "300", "--used", "9,9,0,0:120")),
    ):
        done = forked(*words, home=home)
        assert (done.status, done.err) == (0, ""), done


def _make_long(home: Path, designs: dict[str, Path]) -> None:
    work_on(designs["band"], home, "\n\n\nb\n" * 300)
    work_on(designs["rope"], home, "\n\nb\n" * 50)


_MAKERS = {"small": _make_small, "many": _make_many, "long": _make_long}


def _age(home: Path) -> None:
    past = time.time() - 3 * DAY
    for file in home.rglob("*"):
        os.utime(file, (past, past))


def _in_program(home: Path, work: Callable[[], None]) -> None:
    def command() -> None:
        os.environ[HOME] = str(home)
        work()

    done = in_fork(command)
    assert (done.status, done.err) == (0, ""), done


def _repair(design: Path) -> None:
    """A knot out of turn, a jump, and a knot marked wrong with one on top of it undone."""
    kept = openings.Kept()
    held = openings.follow(kept, str(design), openings.NO_OPTIONS, new=False).held
    held.hold()
    ready = held.progress.ready()
    held.tie([ready[-1]])
    held.jump(40)
    _leave_out(held)
    if held.needs_plan:
        held.use_plan(held.plan())
    held.mark_wrong(held.progress.history[20])
    held.finish_step()
    held.let_go()
    kept.close()


def _mistake(design: Path) -> None:
    """A knot that was left out, which is to be mended."""
    kept = openings.Kept()
    held = openings.follow(kept, str(design), openings.NO_OPTIONS, new=False).held
    held.hold()
    _leave_out(held)
    held.let_go()
    kept.close()


def _leave_out(held: OpenPiece) -> None:
    """The last knot was left out, and one to come will be; one string was measured, another took over."""
    held.leave({held.progress.history[-1]: None}, {held.progress.coming(2)[1]: None})
    held.measure(1, 415.5)
    held.join(2, 900)


def _continue_changed(design: Path) -> None:
    """Goes on with the changed design."""
    kept = openings.Kept()
    opened = openings.follow(kept, str(design), openings.NO_OPTIONS, new=False)
    opened.held.hold()
    assert opened.updated is not None
    opened.held.change_design(*opened.updated)
    opened.held.let_go()
    kept.close()


def answers(template: Template, home: Path) -> list[tuple[str, Done]]:
    """What every command says about a home, whose paths are left out. Presses are made on another copy of it."""
    found = [("pieces --json", _said(home, "pieces", "--json")), ("pieces", _said(home, "pieces"))]
    found += [(name, _said(home, name, "--json")) for name in THREAD]
    for design in template.designs:
        name = f"follow {design.stem}"
        found.append((name, _said(home, "follow", str(design), "--plain", given="q\n")))
    pressed = template.designs[0]
    name = f"follow {pressed.stem}, two presses"
    with tempfile.TemporaryDirectory(dir=home.parent) as folder:
        worked = Path(folder) / "home"
        shutil.copytree(home, worked)
        found.append((name, _said(worked, "follow", str(pressed), "--plain", given="\n\n")))
    return found


def _said(home: Path, *arguments: str, given: str = "") -> Done:
    """What a command says, with nothing that differs from one home to the next."""
    done = forked(*arguments, home=home, given=given)
    return Done(done.status, done.out.replace(str(home), "HOME"), done.err.replace(str(home), "HOME"))
