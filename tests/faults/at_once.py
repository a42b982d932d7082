"""Several programs begin a piece on one design at the same moment: one piece is begun, and no press is told twice."""

import json
import os
import sys

from benchmate import cli
from benchmate.store.places import HOME
from tests.faults.commands import broken, forked, in_fork_with
from tests.faults.homes import BAND, STEP
from tests.faults.trial import Fault, Trial


def attack(trial: Trial) -> None:
    """Two to six programs in plain mode, which all wait for one signal to start."""
    chance, home = trial.chance, trial.folder / "home"
    design = trial.folder / "band.yaml"
    design.write_text(BAND, encoding="utf-8")
    if chance.random() < 0.3:
        # Some find a database that is there already.
        forked("pieces", home=home)
        other = trial.folder / "other.yaml"
        other.write_text(BAND, encoding="utf-8")
        forked("follow", other, "--plain", home=home, given="\n")
    many = chance.randint(2, 6)
    presses = [chance.randint(1, 4) for _ in range(many)]

    def command() -> None:
        os.environ[HOME] = str(home)
        sys.argv = ["benchmate", "follow", str(design), "--plain"]
        cli.run()

    ended = in_fork_with(command, ["\n" * each for each in presses])
    acknowledged = 0
    for done in ended:
        wrong = broken(done)
        trial.check(not wrong, f"{many} at once: {wrong}")
        acknowledged += max(0, sum(bool(STEP.match(line)) for line in done.out.splitlines()) - 1)
        trial.check(done.status in (0, 1, 3), f"{many} at once: status {done.status}")
        trial.check(done.status == 0 or done.err != "", f"{many} at once: status {done.status} without a word")
    listed = forked("pieces", "--json", home=home)
    trial.check(listed.status == 0, f"{many} at once: afterwards {listed}")
    if listed.status:
        return
    pieces = [piece for piece in json.loads(listed.out) if piece["file"] == str(design)]
    trial.check(len(pieces) == 1, f"{many} at once: {len(pieces)} pieces; {[done.err for done in ended]}")
    saved = sum(piece["done"] for piece in pieces)
    if saved < acknowledged:
        trial.was_lost(f"{many} at once: {acknowledged} presses were shown, {saved} are found")
    trial.check(saved <= acknowledged, f"{many} at once: {acknowledged} presses were shown, {saved} are found")


def attack_box(trial: Trial) -> None:
    """Two to six programs change the box or a gauge at the same moment: each change is there whole, or refused."""
    chance, home = trial.chance, trial.folder / "home"
    if chance.random() < 0.7:
        forked("box", "add", "begun", "--colour", "teal", home=home)
    names = [f"thread-{number}" for number in range(chance.randint(2, 6))]

    def command() -> None:
        name = os.read(0, 100).decode().strip()
        os.environ[HOME] = str(home)
        sys.argv = ["benchmate", "box", "add", name, "--colour", "teal", "--skeins", "20"]
        if name.endswith("1"):
            sys.argv = ["benchmate", "gauge", "floss", "--used", "20,20,0,0:250", "--json"]
        cli.run()

    ended = in_fork_with(command, [f"{name}\n" for name in names])
    expected = {}
    for name, done in zip(names, ended, strict=True):
        wrong = broken(done)
        trial.check(not wrong, f"{len(names)} at once: {wrong}")
        trial.check(done.status in (0, 3), f"{len(names)} at once: {done}")
        if not name.endswith("1"):
            expected[name] = 20 if done.status == 0 else 0
    listed, gauge = forked("box", "--json", home=home), forked("gauge", "floss", "--json", home=home)
    trial.check(listed.status == 0 == gauge.status, f"{len(names)} at once: afterwards {listed}, {gauge}")
    found = [thread["name"] for thread in json.loads(listed.out)]
    for name, many in expected.items():
        if found.count(name) != many:
            trial.was_lost(f"{len(names)} at once: {found.count(name)} of {name}, expected {many}")
    seen = 1 if ended[1].status == 0 else 0
    if json.loads(gauge.out)["seen"] != seen:
        trial.was_lost(f"{len(names)} at once: the gauge has {gauge.out}, expected {seen} seen")


BOX = Fault("several programs change the box at once", 4, 200, attack_box)
FAULT = Fault("several programs begin at once", 6, 300, attack)
