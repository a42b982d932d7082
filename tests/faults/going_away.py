"""The database goes away or is replaced while a piece is open: the next start has every press said to be saved."""

import os
import re
import shutil
import signal
from collections.abc import Callable
from pathlib import Path
from random import Random

from tests.faults.advice import advice_in, follow
from tests.faults.commands import broken
from tests.faults.homes import BAND, Refused, last_number, now, work_on
from tests.faults.trial import Fault, Trial
from tests.running import Done, Plain, bench, count, wait_for_count
from tests.terminal import Terminal

Replace = Callable[[Path, Path, Random], None]
"""Does something to the home, given an older copy of its database."""


def removed(home: Path, older: Path, chance: Random) -> None:
    """The file is removed."""
    (home / "pieces.db").unlink()


def folder_removed(home: Path, older: Path, chance: Random) -> None:
    """The whole home is removed."""
    shutil.rmtree(home)


def renamed_away(home: Path, older: Path, chance: Random) -> None:
    """The file is moved aside."""
    (home / "pieces.db").rename(home / "elsewhere.db")


def home_moved(home: Path, older: Path, chance: Random) -> None:
    """The home is moved, and an empty one stands in its place."""
    home.rename(home.with_name("moved"))
    home.mkdir()


def replaced_by_older(home: Path, older: Path, chance: Random) -> None:
    """A sync program puts an older file in its place."""
    fresh = home / "sync.tmp"
    shutil.copy(older, fresh)
    os.replace(fresh, home / "pieces.db")


def overwritten_by_older(home: Path, older: Path, chance: Random) -> None:
    """An older file is copied over it."""
    shutil.copyfile(older, home / "pieces.db")


def replaced_by_garbage(home: Path, older: Path, chance: Random) -> None:
    """Garbage stands in its place."""
    fresh = home / "sync.tmp"
    fresh.write_bytes(chance.randbytes(chance.randint(1, 30_000)))
    os.replace(fresh, home / "pieces.db")


def overwritten_by_garbage(home: Path, older: Path, chance: Random) -> None:
    """Garbage is written over it."""
    (home / "pieces.db").write_bytes(chance.randbytes(chance.randint(1, 30_000)))


def emptied(home: Path, older: Path, chance: Random) -> None:
    """It is cut to nothing."""
    os.truncate(home / "pieces.db", 0)


KINDS: tuple[Replace, ...] = (
    *(removed, folder_removed, renamed_away, home_moved, replaced_by_older, overwritten_by_older),
    *(replaced_by_garbage, overwritten_by_garbage, emptied),
)


class Begun:
    """A home with a piece, and an older copy of its database."""

    def __init__(self, trial: Trial) -> None:
        chance = trial.chance
        self.home, self.design = trial.folder / "home", trial.folder / "band.yaml"
        self.design.write_text(BAND, encoding="utf-8")
        self.older = trial.folder / "older.db"
        ties = chance.randint(1, 5)
        work_on(self.design, self.home, "\n" * ties)
        shutil.copy(self.home / "pieces.db", self.older)
        more = chance.randint(1, 5)
        work_on(self.design, self.home, "\n" * more)
        self.done = ties + more


def attack_plain(trial: Trial) -> None:
    """In plain mode: some presses, the change, more presses, and the end of the session."""
    chance, begun = trial.chance, Begun(trial)
    kind = trial.in_turn(KINDS)
    before, after = chance.randint(0, 3), chance.randint(1, 4)
    with Plain(begun.design, begun.home, env={"TMPDIR": str(trial.folder)}) as plain:
        plain.line()
        for _ in range(before):
            plain.answer("")
        kind(begun.home, begun.older, chance)
        for _ in range(after):
            try:
                plain.say("")
            except BrokenPipeError:
                break
        if chance.random() < 0.5 and plain.process.poll() is None:
            plain.say("q") if chance.random() < 0.5 else None
        done = plain.end()
    what = f"{kind.__name__} after {before} presses, then {after}"
    shown = last_number(done.out.splitlines())
    wrong = broken(done)
    trial.check(not wrong, f"{what}: {wrong}")
    if shown is None:
        trial.check(done.status == 3, f"{what}: nothing was saved, but the status is {done.status}: {done.err}")
    _compare(trial, begun, what, begun.done + before, None if shown is None else shown - 1, done.err)


def attack_bench(trial: Trial) -> None:
    """On the full screen: some presses, the change, more presses, then leaving."""
    chance, begun = trial.chance, Begun(trial)
    kind = trial.in_turn(KINDS)
    before, after = chance.randint(0, 2), chance.randint(1, 3)
    with bench(begun.design, begun.home, columns=400, rows=40) as terminal:
        wait_for_count(terminal, begun.done)
        for number in range(before):
            terminal.press("space", gap=0.2)
            wait_for_count(terminal, begun.done + number + 1)
        kind(begun.home, begun.older, chance)
        for _ in range(after):
            terminal.press("space", gap=0.25)
        seen = count(terminal)
        message = "\n".join(terminal.lines)
        left = _leave(terminal)
    what = f"{kind.__name__} after {before} presses, then {after} on the full screen"
    said = re.search(r"(\d+)/\d+, saved", left.out)
    shown = seen[0] if seen else None
    trial.check("Traceback" not in left.out, f"{what}: a traceback")
    if shown == begun.done + before:
        shown = None
        trial.check(said is None or "NOT SAVED" in message, f"{what}: not counted, without a word")
    saved = int(said[1]) if said else shown
    if shown is None and saved == begun.done + before:
        # What was saved before the change is what its last line tells of.
        trial.told_wrongly(f"{what}: left with {left.out.strip().splitlines()[-1:]}, status {left.status}")
        saved = None
    _compare(trial, begun, what, begun.done + before, saved, left.out)


def _leave(terminal: Terminal) -> Done:
    """Leaves the bench, whatever it shows; returns what stands on the terminal afterwards."""
    for key in ("q", "q", "ctrl+c"):
        if terminal.alive:
            terminal.press(key)
            terminal.pump(0.4)
    if terminal.alive:
        terminal.signal(signal.SIGTERM)
    status = terminal.wait()
    # A message may be longer than a row: the terminal breaks it anywhere.
    text = "".join(line.ljust(terminal.columns) for line in terminal.lines)
    return Done(status, re.sub(r" {2,}", "\n", text), "")


def _compare(trial: Trial, begun: Begun, what: str, before: int, shown: int | None, message: str) -> None:
    """Compares the next start, after any advice that was given, with what was said to be saved.

    `before` steps were done when the database went; `shown` are those shown since, None where no press was counted.
    """
    told = advice_in(message)
    found, refused = _found(begun)
    advice = told or advice_in(refused or "")
    for each in advice:
        done = follow(each, begun.home)
        trial.check(done.status == 0, f"{what}: the advised command {each.arguments} ended with {done}")
    if advice:
        found, refused = _found(begun)
        trial.check(refused is None, f"{what}: after the advice: {refused}")
    if shown is not None and found < shown:
        trial.was_lost(f"{what}: {shown} were said to be saved, {found} are found {refused or ''}")
    elif shown is None and told and found < before:
        trial.was_lost(f"{what}: the piece had {before}, the advice brought back {found}: {message.strip()}")


def _found(begun: Begun) -> tuple[int, str | None]:
    """The steps that the next start finds, and its message where it refuses."""
    try:
        found = now(begun.home, begun.design)
    except Refused as refused:
        return 0, refused.done.err
    return (found.done if found else 0), None


PLAIN = Fault("database gone or replaced, plain mode", 9, 300, attack_plain)
BENCH = Fault("database gone or replaced, full screen", 3, 100, attack_bench)
