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


FAULT = Fault("several programs begin at once", 6, 300, attack)
