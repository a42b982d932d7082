"""A real disk of 400 KB, mounted for one process in a folder of its own, which fills up and becomes read-only.

Run as `python -m tests.faults.small_disk HOME DESIGN SEED`, it is that process: it prints what it found as JSON.
"""

import json
import os
import random
import shutil
import subprocess
import sys
from pathlib import Path

from tests.faults.commands import broken, forked, load_all
from tests.faults.homes import BAND, Refused, last_number, now, work_on
from tests.faults.trial import Fault, NotTried, Trial
from tests.running import ROOT, Done

MOUNT = 'mount -t tmpfs -o size=400k benchmate-faults "$0" && exec "$@"'
"""Mounts on the folder that is the first argument, then becomes the rest."""
PAGE = 4096
READING = (("pieces", "--json"), ("pieces",), ("help", "keys"), ("designs", "--json"))


def _inside(folder: Path, *command: str) -> list[str]:
    """A command line in a namespace of its own, with the small disk on the folder; nobody else sees that disk."""
    return ["unshare", "--map-root-user", "--mount", "sh", "-c", MOUNT, str(folder), *command]


def prepare(prepared: Path) -> None:
    """Finds out whether a disk may be mounted here."""
    if shutil.which("unshare") is None:
        raise NotTried("no `unshare`")
    done = subprocess.run(_inside(prepared, "true"), capture_output=True, check=False)
    if done.returncode:
        raise NotTried("mounts are not allowed here")


def attack(trial: Trial) -> None:
    """Starts the process that has the small disk, and takes over what it found."""
    home, design = trial.folder / "disk", trial.folder / "band.yaml"
    home.mkdir()
    design.write_text(BAND, encoding="utf-8")
    seed = str(trial.chance.getrandbits(32))
    command = [sys.executable, "-m", "tests.faults.small_disk", str(home), str(design), seed]
    done = subprocess.run(_inside(home, *command), capture_output=True, text=True, cwd=ROOT, check=False)
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    trial.lost += found["lost"]
    trial.told += found["told"]


def work_there(trial: Trial, home: Path, design: Path) -> None:
    """Fills the disk but for a little, works until it is full, reads, makes room, and goes on."""
    chance = trial.chance
    before = chance.choice([0, 2, 30])
    if before:
        work_on(design, home, "\n" * before)
    left = chance.choice([0, 0, chance.randint(1, 20), chance.randint(1, 60)]) * PAGE
    filler = home / "filler"
    _fill(filler, left)
    presses = chance.randint(1, 60)
    what = f"{left} bytes free, {before} steps, then {presses} presses"
    done = forked("follow", design, "--plain", home=home, given="\n" * presses)
    _check(trial, done, what)
    shown = last_number(done.out.splitlines())
    steps = before if shown is None else shown - 1
    _fill(home / "rest", 0)
    for command in (*READING, ("order", str(design)), ("check", str(design))):
        said = forked(*command, home=home)
        trial.check(said.status == 0, f"{what}; no byte free: {command[0]}: {said.status} {said.err}")
        if command == READING[0] and said.status == 0:
            counted = sum(piece["done"] for piece in json.loads(said.out))
            trial.check(counted == steps, f"{what}; no byte free: listed with {counted}, {steps} were shown")
    filler.unlink()
    (home / "rest").unlink()
    _found(trial, home, design, steps, what)
    subprocess.run(["mount", "-o", "remount,ro", str(home)], check=True)
    for command in READING:
        said = forked(*command, home=home)
        trial.check(said.status == 0 and not said.err, f"{what}; read-only: {command[0]}: {said.status} {said.err}")
    said = forked("follow", design, "--plain", home=home, given="\n")
    one_line = said.status == 3 and said.err.count("\n") == 1 and not said.out
    trial.check(one_line, f"{what}; read-only: follow: {said}")
    subprocess.run(["mount", "-o", "remount,rw", str(home)], check=True)
    _found(trial, home, design, steps, f"{what}; after being read-only")


def _fill(file: Path, left: int) -> None:
    """Fills the disk but for so many bytes."""
    file.touch()
    disk = os.statvfs(file.parent)
    free = disk.f_bavail * disk.f_frsize - left
    if free > 0:
        file.write_bytes(bytes(free))


def _check(trial: Trial, done: Done, what: str) -> None:
    wrong = broken(done)
    trial.check(not wrong, f"{what}: {wrong}")
    trial.check(done.status in (0, 3), f"{what}: status {done.status}: {done.err}")
    trial.check("the output is incomplete" not in done.err, f"{what}: {done.err}")


def _found(trial: Trial, home: Path, design: Path, steps: int, what: str) -> None:
    try:
        found = now(home, design)
    except Refused as refused:
        trial.was_lost(f"{what}: {steps} were shown, then: {refused}")
        return
    done = found.done if found else 0
    if done < steps:
        trial.was_lost(f"{what}: {steps} were shown as done, {done} are found")
    trial.check(done <= steps, f"{what}: {steps} were shown as done, {done} are saved")


def main(arguments: list[str]) -> int:
    """One trial on the disk that is mounted on HOME."""
    home, design, seed = arguments
    load_all()
    trial = Trial(0, random.Random(seed), Path(home), Path(home))
    try:
        work_there(trial, Path(home), Path(design))
    except AssertionError as error:
        trial.told_wrongly(str(error))
    print(json.dumps({"lost": trial.lost, "told": trial.told}))
    return 0


FAULT = Fault("a small disk that fills up, mounted", 2, 150, attack, prepare)

if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
