"""A few attacks of every kind: nothing is lost and nothing untrue is told. The long run is `python -m tests.faults`."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.faults.__main__ import chosen
from tests.faults.registry import FAULTS
from tests.faults.run import result_of
from tests.faults.table import failures, row
from tests.faults.trial import Fault, NotTried, Trial
from tests.running import ROOT


@pytest.mark.parametrize("name", [fault.name for fault in FAULTS])
def test_nothing_is_lost_or_told_wrongly(name: str) -> None:
    # In a process of its own, as its trials fork.
    command = [sys.executable, "-m", "tests.faults", "--short", "--jobs", "1", "--only", name]
    memory = os.environ.get("PYTEST_DEBUG_TEMPROOT")
    # A kill in the middle of a write needs a disk, which takes its time.
    folder = {"TMPDIR": memory} if memory and "kill" not in name else {}
    done = subprocess.run(command, cwd=ROOT, env={**os.environ, **folder}, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    _, _, line = done.stdout.splitlines()
    assert line.startswith(f"| {name} | ")
    if "| not tried: " in line:
        pytest.skip(line)


def test_every_fault_can_be_run_alone() -> None:
    for fault in FAULTS:
        assert chosen([fault.name]) == [fault]


def a_loss(trial: Trial) -> None:
    if trial.number == 1:
        trial.was_lost(f"{trial.chance.randrange(10**9)}\x1b[2J")
    if trial.number > 1:
        trial.check(False, "a wrong count")
    if trial.number == 3:
        raise AssertionError("never so far")


def not_here(folder: Path) -> None:
    raise NotTried("no compiler")


def test_the_table_counts_trials_that_failed_and_says_how_to_run_them_again() -> None:
    results = [
        result_of(Fault("a loss", 4, 4, a_loss), range(4), 5, 1),
        result_of(Fault("nothing", 4, 4, lambda trial: None), range(4), 5, 1),
        result_of(Fault("elsewhere", 4, 4, a_loss, not_here), range(4), 5, 1),
    ]
    assert [row(result) for result in results] == [
        "| a loss | 4 | 1 | 2 |",
        "| nothing | 4 | 0 | 0 |",
        "| elsewhere | not tried: no compiler | | |",
    ]
    first, *rest = failures(results, 5)
    assert first.startswith("a loss: LOST ")
    assert first.endswith("?[2J  (--only 'a loss' --seed 5 --trial 1)")
    assert rest == [
        "a loss: TOLD WRONGLY a wrong count  (--only 'a loss' --seed 5 --trial 2)",
        "a loss: TOLD WRONGLY a wrong count  (--only 'a loss' --seed 5 --trial 3)",
        "a loss: TOLD WRONGLY not as it must be: never so far  (--only 'a loss' --seed 5 --trial 3)",
    ]
    again = result_of(Fault("a loss", 4, 4, a_loss), [1], 5, 1)
    assert again.outcomes[0].lost == results[0].outcomes[1].lost
    assert not failures([again._replace(outcomes=())], 5)
