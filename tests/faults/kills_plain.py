"""SIGKILL at any moment in plain mode: no answer that was shown is lost, on any of several pieces."""

import re
import subprocess
import time
from pathlib import Path

from tests.faults.homes import Now, Refused, now, said_number, work_on, write_designs
from tests.faults.trial import Fault, Trial
from tests.running import COMMAND, environment

LOOKING = "Looking for the order with the fewest pick-ups."
BEFORE_FIRST = re.compile(r"\d+ leading strings? in all")
"""What is said of a picture of which nothing is tied."""
WAYS = ((), ("--by", "segments"), ("--from-right",))
"""Ways in which the killed piece is begun. Only a diagonal band has more than one."""
UNTIL_SHOWN = 0.18
"""Seconds within which a start shows its first line on an idle machine, and something more."""


def attack(trial: Trial) -> None:
    """Kills several sessions on one home, each on a piece of its own choice, and reads the pieces after each."""
    chance, home = trial.chance, trial.folder / "home"
    designs = write_designs(trial.folder / "designs")
    done: dict[str, int] = {}
    names = chance.sample(sorted(designs), chance.randint(1, 3))
    options = chance.choice(WAYS)
    for name in names:
        ties = chance.randint(0, 8)
        work_on(designs[name], home, "\n" * ties, *(options if name == "band" else ()))
        done[name] = ties
    for _ in range(chance.randint(1, 2)):
        name = chance.choice(names)
        kind = options if name == "band" and not done[name] else ()
        done[name] = _killed(trial, designs[name], home, done[name], kind)
        for other in names:
            if other != name:
                found = _done(now(home, designs[other]))
                if found < done[other]:
                    trial.was_lost(f"{other} had {done[other]} steps and has {found} after a kill in {name}")


def _done(found: Now | None) -> int:
    return found.done if found else 0


def _killed(trial: Trial, design: Path, home: Path, done: int, options: tuple[str, ...]) -> int:
    """Follows a piece fast and is killed; returns the steps that the next start finds."""
    chance = trial.chance
    answers = [chance.choice(["", "", "", "", "b"]) for _ in range(chance.randint(5, 40))]
    path = [done]
    for answer in answers:
        path.append(max(0, path[-1] - 1) if answer == "b" else path[-1] + 1)
    lines, errors = _lines_until_killed(trial, design, home, answers, options)
    wrongly = [line for line in errors.splitlines() if line != LOOKING and not BEFORE_FIRST.match(line)]
    trial.check(not wrongly, f"killed, it had printed: {errors}")
    shown = [number - 1 for line in lines if (number := said_number(line)) is not None]
    trial.check(shown == path[: len(shown)], f"after {answers} from {done} it showed {shown}")
    try:
        after = now(home, design)
    except Refused as refused:
        trial.was_lost(f"{len(shown)} lines were shown, then: {refused}")
        return 0
    found = _done(after)
    # Each answer is saved before it is shown, so at most one was saved and not shown.
    last = max(0, len(shown) - 1)
    if found not in path[last : last + 2]:
        if shown and found < shown[-1]:
            trial.was_lost(f"{shown[-1]} were shown as done, {found} are found")
        else:
            trial.told_wrongly(f"{shown[-1:]} were shown as done, {found} are found")
    return found


def _lines_until_killed(
    trial: Trial, design: Path, home: Path, answers: list[str], options: tuple[str, ...]
) -> tuple[list[str], str]:
    """The whole lines of output, and all of standard error."""
    chance = trial.chance
    with subprocess.Popen(
        [*COMMAND, "follow", str(design), "--plain", *options],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=environment(home, {"TMPDIR": str(trial.folder)}),
    ) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdin.write("".join(answer + "\n" for answer in answers).encode())
        process.stdin.flush()
        output = b""
        if chance.random() < 0.4:
            time.sleep(chance.uniform(0.0, UNTIL_SHOWN))
        else:
            for _ in range(chance.randint(1, len(answers))):
                output += process.stdout.readline()
            time.sleep(chance.uniform(0.0, 0.003))
        process.kill()
        output += process.stdout.read()
        errors = process.stderr.read().decode()
    return output.decode().split("\n")[:-1], errors


FAULT = Fault("killed in plain mode", 6, 400, attack)
