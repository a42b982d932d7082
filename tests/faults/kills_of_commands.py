"""SIGKILL while pieces are kept, restored, exported or imported: what was there is whole, and what is new is whole."""

import random
import shutil
import subprocess
import time
from pathlib import Path
from typing import Any

from tests.faults.advice import advice_in, follow
from tests.faults.commands import forked, has_command, has_option
from tests.faults.homes import Refused, listed, work_on, write_designs
from tests.faults.trial import Fault, NotTried, Trial
from tests.running import COMMAND, environment, run

LATEST = 1.1
"""Times as long as the command took when it was left alone, within which the kill comes."""
Known = list[tuple[str, int]]
"""The title and the steps done of every piece."""


def prepare(prepared: Path) -> None:
    """Finds out whether there are these commands."""
    missing = [name for name in ("keep", "restore") if not has_command(name)]
    missing += [f"pieces {option}" for option in ("--export", "--import") if not has_option("pieces", option, prepared)]
    if missing:
        raise NotTried(f"there is no {', no '.join(missing)}")


def _known(home: Path) -> Known:
    return _of(listed(home))


def _of(pieces: list[dict[str, Any]]) -> Known:
    return sorted((piece["title"], piece["done"]) for piece in pieces)


def _whole(home: Path, *arguments: str | Path) -> float:
    """Runs a command to its end; returns the seconds it took."""
    began = time.monotonic()
    done = run(*arguments, home=home, given="yes\n")
    assert done.status == 0, done
    return time.monotonic() - began


def _killed(trial: Trial, seconds: float, home: Path, *arguments: str | Path) -> bool:
    """Runs a command that is killed at some moment; True where it had ended before. `seconds` is what it takes."""
    with subprocess.Popen(
        [*COMMAND, *map(str, arguments)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=environment(home, {"TMPDIR": str(trial.folder)}),
    ) as process:
        assert process.stdin is not None
        process.stdin.write(b"yes\n")
        process.stdin.close()
        try:
            status = process.wait(trial.chance.uniform(0.2, LATEST) * seconds)
        except subprocess.TimeoutExpired:
            process.kill()
            return False
    trial.check(status == 0, f"{arguments[:2]}: status {status}")
    return True


def _homes(trial: Trial) -> tuple[Path, Path, dict[str, Path]]:
    """A home with pieces, another with some of them further on, and the designs."""
    chance = trial.chance
    designs = write_designs(trial.folder / "designs")
    home, other = trial.folder / "home", trial.folder / "other"
    names = chance.sample(sorted(designs), chance.randint(1, 3))
    for name in names:
        work_on(designs[name], home, "\n" * chance.randint(1, 30))
    for name in chance.sample(sorted(designs), chance.randint(1, 3)):
        work_on(designs[name], other, "\n" * chance.randint(31, 60))
    return home, other, designs


def attack_writing(trial: Trial) -> None:
    """Killed at `keep` or `pieces --export`: the file is whole, or the old one, or not there."""
    chance = trial.chance
    home, other, _ = _homes(trial)
    before = _known(home)
    keeps = chance.random() < 0.5
    file = trial.folder / "kept"
    write = ("keep", "-o") if keeps else ("pieces", "--export")
    states = [before]
    if chance.random() < 0.5:
        forked(*write, file, home=other)
        states.append(_known(other))
    seconds = _whole(home, *write, trial.folder / "whole")
    ended = _killed(trial, seconds, home, *write, file, "--force")
    trial.check(_known(home) == before, f"{write[0]}: the home has {_known(home)} in place of {before}")
    if not file.exists():
        trial.check(not ended and len(states) == 1, f"{write[0]}: there is no file")
        return
    fresh = trial.folder / "fresh"
    take_back = ("restore", file) if keeps else ("pieces", "--import", file)
    done = forked(*take_back, home=fresh, given="yes\n")
    if done.status:
        trial.was_lost(f"{write[0]}: the file cannot be read: {done}")
    elif _known(fresh) not in (states[:1] if ended else states):
        trial.was_lost(f"{write[0]}: the file has {_known(fresh)}, expected {states}")


def attack_reading(trial: Trial) -> None:
    """Killed at `restore` or `pieces --import`: the home is as before, or has everything of the file."""
    chance = trial.chance
    home, other, designs = _homes(trial)
    restores = chance.random() < 0.5
    file = trial.folder / "kept"
    forked(*(("keep", "-o") if restores else ("pieces", "--export")), file, home=other)
    read = ("restore", file) if restores else ("pieces", "--import", file)
    # What it makes of such a home when it is left alone.
    control = trial.folder / "control"
    shutil.copytree(home, control)
    before, seconds = _known(home), _whole(control, *read)
    after = _known(control)
    ended = _killed(trial, seconds, home, *read)
    try:
        found = _known(home)
    except Refused as refused:
        for advice in advice_in(refused.done.err):
            follow(advice, home)
        found = _known(home)
    if found not in ([after] if ended else [before, after]):
        trial.was_lost(f"{read[0]}: found {found}, before {before}, afterwards {after}")
    for name in random.Random(0).sample(sorted(designs), 2):
        done = forked("follow", designs[name], "--plain", home=home, given="q\n")
        trial.check(done.status == 0, f"{read[0]}: then follow: {done}")


WRITING = Fault("killed while keeping or exporting", 3, 150, attack_writing, prepare)
READING = Fault("killed while restoring or importing", 3, 150, attack_reading, prepare)
