"""SIGKILL while the box, a gauge and what was cut are written: a booking is there whole, or not at all."""

import json
import shutil
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

from benchmate.store.database import Database
from benchmate.store.inspection import damages_in_file
from benchmate.store.places import Home
from benchmate.store.thread.cuts import cuts_of
from tests.faults.commands import forked, has_command
from tests.faults.homes import work_on, write_designs
from tests.faults.trial import Fault, NotTried, Trial
from tests.running import COMMAND, Done, environment

SKEIN, PIECE = 1_000_000, 10
"""What the box begins with, and what each band takes of it and leaves as an offcut, mm."""
MAKER = f"""
import sys

from benchmate.craft.thread.box_thread import BoxThread
from benchmate.craft.thread.counts import Counts
from benchmate.craft.thread.cut_list import Length
from benchmate.craft.thread.observations import Used
from benchmate.piece_opening import NO_OPTIONS, Kept, follow
from benchmate.store.thread.box import Box
from benchmate.store.thread.cuts import Cut
from benchmate.store.thread.gauges import record
from benchmate.store.thread.measurements_kept import Left

kept = Kept()
database = kept.pieces.database
box, number = Box(database), 0
while True:
    number += 1
    held = follow(kept, sys.argv[1], NO_OPTIONS, new=True).held
    held.hold()
    for more in range(2):
        # Each is saved at once: the piece begins with the first.
        lengths = [Length("peat", (string,), number + more / 2) for string in range(1, number % 4 + 2 + more)]
        held.keep_cut(("floss", [Cut(length) for length in lengths]))
        held.finish_step()
    held.let_go()
    skein = box.threads()[0]
    offcut = BoxThread(0, "end", "#0b3c5d", "floss", {PIECE}.0, False)
    booking = box.book(f"band {{number}}", {{skein.number: skein.mm - {PIECE}}}, [offcut], held.piece)
    record(database, "floss", [Used(Counts(40, 40, 0, 0), 500.0 + number)] * 3, piece=held.piece,
           left=[Left(length, 1.0) for length in lengths])
    if number % 3 == 0:
        box.undo(booking)
    print(number, flush=True)
"""
"""Makes one band after the other: begins it with what was cut, books it, records what it used, undoes some bookings."""


def prepare(prepared: Path) -> None:
    """Makes a home with a piece and a skein, and a file of threads."""
    if not has_command("box"):
        raise NotTried("there is no box")
    designs, home = write_designs(prepared / "designs"), prepared / "home"
    work_on(designs["band"], home, "\n")
    done = forked("box", "add", "skein", "--colour", "#0b3c5d", "--length", str(SKEIN), home=home)
    assert done.status == 0, done
    rows = "".join(f"thread {number},teal,{PIECE}\n" for number in range(2_000))
    (prepared / "threads.csv").write_text(f"name,colour,length_mm\n{rows}", encoding="utf-8")


def _box(home: Path) -> list[dict[str, object]]:
    done = forked("box", "--json", home=home)
    assert (done.status, done.err) == (0, ""), done
    found = json.loads(done.out)
    assert isinstance(found, list)
    return found


def attack(trial: Trial) -> None:
    """Kills a maker at work, or a command that changes the box, at some moment."""
    home = trial.folder / "home"
    shutil.copytree(trial.prepared / "home", home)
    trial.in_turn([_at_work, _importing, _replacing])(trial, home)
    found = damages_in_file(home / "pieces.db")
    if found:
        trial.was_lost(f"afterwards {found[0].why}")
    _undo_all(trial, home)


def _at_work(trial: Trial, home: Path) -> None:
    with subprocess.Popen(
        [sys.executable, "-c", MAKER, str(trial.prepared / "designs" / "band.yaml")],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=environment(home),
    ) as process:
        assert process.stdout is not None
        for _ in range(trial.chance.randint(0, 12)):
            process.stdout.readline()
        time.sleep(trial.chance.uniform(0, 0.01))
        process.kill()
        said, errors = process.stdout.read(), process.stderr and process.stderr.read()
    trial.check(not errors, f"at work: {errors!r}")
    bands = int(said.split()[-1]) if said.split() else 0
    total = sum(float(str(thread["length_mm"])) for thread in _box(home))
    if total != SKEIN:
        trial.was_lost(f"half a booking after {bands} bands: {total} mm in the box in place of {SKEIN}")
    with closing(sqlite3.connect(home / "pieces.db")) as connection:
        bookings = connection.execute("SELECT count(*) FROM booking").fetchone()[0] - 1
        sessions = connection.execute("SELECT count(*) FROM seen GROUP BY session").fetchall()
        left = connection.execute("SELECT piece, count(*) FROM left_over JOIN session USING (session) GROUP BY session")
        ends = dict(left.fetchall())
        pieces = connection.execute("SELECT piece, done FROM piece WHERE piece > 1 ORDER BY piece").fetchall()
    if bookings < bands or len(sessions) < bands or len(pieces) < bands:
        trial.was_lost(f"{bands} bands were said, {bookings} bookings and {len(sessions)} measurements are found")
    if any(session != (3,) for session in sessions):
        trial.was_lost(f"half a measurement after {bands} bands: {sessions}")
    if any(lengths != (piece - 1) % 4 + 2 for piece, lengths in ends.items()):
        trial.was_lost(f"a part of what was left after {bands} bands: {ends}")
    with closing(Database(Home(home))) as database:
        for number, (piece, done) in enumerate(pieces, 1):
            cut = cuts_of(database, piece)
            found = None if cut is None else [each.length.cut_mm for each in cut[1]]
            # What was cut is saved at once, then the step: the kill may have come between them.
            told = [more for more in (done - 1, done) if 0 <= more < 2]
            if found not in [[number + more / 2] * (number % 4 + 1 + more) for more in told]:
                trial.was_lost(f"what was cut for band {number}, of which {done} steps are done: {found}")


def _importing(trial: Trial, home: Path) -> None:
    before = _box(home)
    _killed(trial, home, "import", trial.prepared / "threads.csv")
    added = len(_box(home)) - len(before)
    if added not in (0, 2_000):
        trial.was_lost(f"half an import: {added} threads")


def _replacing(trial: Trial, home: Path) -> None:
    _killed(trial, home, "import", trial.prepared / "threads.csv", "--replace")
    found = {str(thread["name"])[:6] for thread in _box(home)}
    if found not in ({"skein"}, {"thread"}):
        trial.was_lost(f"the box is half replaced: {found}")


def _killed(trial: Trial, home: Path, *words: str | Path) -> None:
    process = subprocess.Popen(
        [*COMMAND, "box", *map(str, words)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=environment(home, {"TMPDIR": str(trial.folder)}),
    )
    with process:
        time.sleep(trial.chance.uniform(0.1, 0.6))
        process.kill()


def _undo_all(trial: Trial, home: Path) -> None:
    """Every change that is there is undone, one after the other, down to an empty box."""
    done: Done | None = None
    for _ in range(60):
        done = forked("box", "undo", home=home)
        if done.status:
            break
    trial.check(
        done is not None and (done.status, done.err) == (1, "There is no change of the box to undo.\n"),
        f"undoing all ended with {done}",
    )
    trial.check(_box(home) == [], f"after undoing all there are {len(_box(home))} threads")


FAULT = Fault("killed while the box and gauges are written", 6, 300, attack, prepare)
