"""Runs the trials of a fault, in several processes."""

import multiprocessing
import os
import tempfile
from collections.abc import Iterable
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path

from tests.faults.homes import Refused
from tests.faults.trial import Fault, NotTried, Outcome, Result, Trial, chance_for

CORES = len(os.sched_getaffinity(0))
"""Trials at a time where nothing else is asked for."""


def result_of(fault: Fault, numbers: Iterable[int], seed: int, jobs: int) -> Result:
    """Tries a fault with these numbers; every trial has a folder of its own, which goes away.

    Loading the commands first makes this quicker: `commands.load_all`.
    """
    with tempfile.TemporaryDirectory(prefix="benchmate-faults-", ignore_cleanup_errors=True) as name:
        folder = Path(name).resolve()
        prepared = folder / "prepared"
        prepared.mkdir()
        try:
            fault.prepare(prepared)
        except NotTried as reason:
            return Result(fault.name, (), str(reason))
        one = partial(_one, fault, seed, folder)
        if jobs == 1:
            return Result(fault.name, tuple(map(one, numbers)))
        # Forked, so that each has everything loaded already.
        with ProcessPoolExecutor(jobs, multiprocessing.get_context("fork")) as pool:
            return Result(fault.name, tuple(pool.map(one, numbers)))


def _one(fault: Fault, seed: int, folder: Path, number: int) -> Outcome:
    with tempfile.TemporaryDirectory(prefix=f"{number}-", dir=folder, ignore_cleanup_errors=True) as name:
        trial = Trial(number, chance_for(seed, fault.name, number), Path(name), folder / "prepared")
        try:
            fault.attack(trial)
        except Refused as refused:
            trial.told_wrongly(f"the next start refuses: {refused}")
        except AssertionError as error:
            trial.told_wrongly(f"not as it must be: {error}")
        return Outcome(number, tuple(trial.lost), tuple(trial.told))
