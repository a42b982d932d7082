"""Full, failing and read-only disks, by a small library of ours that makes the calls of a program fail."""

import errno
import os
import re
import shutil
import subprocess
from pathlib import Path

from tests.faults.commands import broken, forked
from tests.faults.homes import BAND, Refused, last_number, now, work_on
from tests.faults.trial import Fault, NotTried, Trial
from tests.running import COMMAND, Done, count, environment, run
from tests.terminal import Terminal

SOURCE = Path(__file__).with_name("failing_calls.c")
LIBRARY = "failing_calls.so"
ERRORS = (errno.ENOSPC, errno.ENOSPC, errno.EIO, errno.EPERM, errno.EROFS)
READING = (
    *(("pieces", "--json"), ("pieces",), ("help", "keys"), ("designs", "--json")),
    *(("box",), ("box", "--json"), ("box", "export"), ("gauge", "--json")),
)
"""Commands that need nothing written."""
AMISS = "the output is incomplete"
"""Untrue where standard output is not on the failing disk."""


def prepare(prepared: Path) -> None:
    """Compiles the library."""
    compiler = shutil.which("cc") or shutil.which("gcc")
    if compiler is None:
        raise NotTried("no compiler")
    command = [compiler, "-O1", "-shared", "-fPIC", "-o", str(prepared / LIBRARY), str(SOURCE), "-ldl"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode:
        raise NotTried(f"the compiler failed: {done.stderr.splitlines()[:1]}")
    failing = {**os.environ, **_failing(prepared, prepared, 0, -1, errno.ENOSPC)}
    probe = subprocess.run(["touch", str(prepared / "probe")], env=failing, capture_output=True, check=False)
    if probe.returncode == 0:
        raise NotTried("programs here do not take the preloaded library")


def _failing(prepared: Path, folder: Path, after: int, many: int, error: int) -> dict[str, str]:
    """What makes calls below `folder` fail: after so many of them, so many (all for -1)."""
    return {
        "LD_PRELOAD": str(prepared / LIBRARY),
        "FAIL_FOLDER": str(folder),
        "FAIL_AFTER": str(after),
        "FAIL_COUNT": str(many),
        "FAIL_WITH": str(error),
        "FAIL_OPENS": str(int(error == errno.EROFS)),
    }


def _begun(trial: Trial) -> tuple[Path, Path, int]:
    """A design, a home with its piece or none yet, and how many steps are done."""
    design, home = trial.folder / "band.yaml", trial.folder / "home"
    design.write_text(BAND, encoding="utf-8")
    done = trial.chance.choice([0, 0, 3, 12])
    if done:
        work_on(design, home, "\n" * done)
    elif trial.chance.random() < 0.5:
        home.mkdir()
    return design, home, done


def _attempt(trial: Trial, home: Path) -> tuple[str, dict[str, str]]:
    chance = trial.chance
    error = chance.choice(ERRORS)
    after = chance.choice([0, chance.randint(0, 15), chance.randint(0, 150)])
    many = chance.choice([-1, chance.randint(1, 5)])
    what = f"{errno.errorcode[error]} after {after} calls, {'all' if many < 0 else many}"
    return what, _failing(trial.prepared, home, after, many, error)


def attack_plain(trial: Trial) -> None:
    """Follows a piece while calls fail; each answer was saved and shown, or neither."""
    design, home, before = _begun(trial)
    what, failing = _attempt(trial, home)
    answers = [trial.chance.choice(["", "", "", "b"]) for _ in range(trial.chance.randint(1, 12))]
    done = run("follow", design, "--plain", home=home, given="".join(f"{each}\n" for each in answers), env=failing)
    what += f", from {before} steps"
    _check_end(trial, done, what)
    shown = last_number(done.out.splitlines())
    _check_found(trial, design, home, before if shown is None else shown - 1, what)


def _check_end(trial: Trial, done: Done, what: str) -> None:
    wrong = broken(done)
    trial.check(not wrong, f"{what}: {wrong}")
    trial.check(AMISS not in done.err, f"{what}: {done.err.strip().splitlines()[-1:]}, and nothing was amiss with it")
    trial.check(done.status in (0, 3), f"{what}: status {done.status}: {done.err}")
    if done.status == 3:
        trial.check(done.err != "", f"{what}: status 3 without a word")


def _check_found(trial: Trial, design: Path, home: Path, shown: int, what: str) -> None:
    try:
        found = now(home, design)
    except Refused as refused:
        trial.was_lost(f"{what}: {shown} shown, then: {refused}")
        return
    steps = found.done if found else 0
    if steps < shown:
        trial.was_lost(f"{what}: {shown} were shown as done, {steps} are found")
    trial.check(steps <= shown, f"{what}: {steps} are saved, {shown} were shown as done")


def attack_bench(trial: Trial) -> None:
    """Presses on the full screen while calls fail."""
    design, home, before = _begun(trial)
    what, failing = _attempt(trial, home)
    what += f", from {before} steps on the full screen"
    command = [*COMMAND, "follow", str(design)]
    with Terminal(command, columns=200, rows=30, env=environment(home, failing)) as terminal:
        terminal.wait_until(lambda terminal: count(terminal) is not None or not terminal.alive)
        if terminal.alive:
            for _ in range(trial.chance.randint(1, 6)):
                terminal.press(trial.chance.choice(["space", "space", "backspace"]), gap=0.25)
            shown = count(terminal)
            trial.check(shown is not None, f"{what}: no count on the screen")
            terminal.press("q")
            status = terminal.wait()
            saved = re.search(r"(\d+)/\d+, saved", terminal.text)
            if saved and shown:
                trial.check(int(saved[1]) == shown[0], f"{what}: left with {saved[0]}, shown {shown[0]}")
            steps = shown[0] if shown else before
        else:
            status, steps = terminal.wait(), before
        trial.check("Traceback" not in terminal.text, f"{what}: a traceback: {terminal.text[-300:]}")
        trial.check(AMISS not in terminal.text, f"{what}: {AMISS}")
        trial.check(status in (0, 3), f"{what}: status {status}: {terminal.text[:300]}")
    _check_found(trial, design, home, steps, what)


def attack_reading(trial: Trial) -> None:
    """Commands that only read work with no byte free, and on a read-only disk."""
    design, home, before = _begun(trial)
    error = trial.chance.choice(ERRORS)
    failing = _failing(trial.prepared, trial.folder, 0, -1, error)
    for command in (*READING, ("order", str(design), "--json"), ("check", str(design)), ("draw", str(design))):
        expected = forked(*command, home=home)
        done = run(*command, home=home, env=failing)
        trial.check(
            done == expected, f"{errno.errorcode[error]}, {before} steps: {command}: {done.status} {done.err[-200:]}"
        )


def attack_box(trial: Trial) -> None:
    """A change of the box or a gauge is there when the command says so, and not there when it says that it is not."""
    home = trial.folder / "home"
    file = trial.folder / "box.csv"
    file.write_text("name,colour,length_mm\n" + "thread,teal,800\n" * 300, encoding="utf-8")
    forked("box", "add", "skein", "--colour", "teal", "--skeins", "3", home=home)
    command = trial.in_turn(
        [
            ("box", "add", "skein", "--colour", "teal"),
            ("box", "take", "1", "2"),
            ("gauge", "floss", "--used", "20,20,0,0:250", "--json"),
            ("box", "undo"),
            ("box", "import", str(file), "--replace"),
            ("gauge", "twine", "--tex", "300", "--used", "20,20,0,0:250", "--json"),
        ]
    )
    control = trial.folder / "control"
    shutil.copytree(home, control)
    forked(*command, home=control)
    before, after = _thread_state(home), _thread_state(control)
    what, failing = _attempt(trial, home)
    what = f"{' '.join(command[:3])}, {what}"
    done = run(*command, home=home, env=failing)
    _check_end(trial, done, what)
    found = _thread_state(home)
    if done.status == 0 and found != after:
        trial.was_lost(f"{what}: status 0, and {found} in place of {after}")
    if done.status == 3:
        trial.check(found == before, f"{what}: {done.err!r}, and {found} in place of {before}")


def _thread_state(home: Path) -> tuple[str, str]:
    """The box and the gauges, as a new start finds them."""
    found = [forked(name, "--json", home=home) for name in ("box", "gauge")]
    assert [(done.status, done.err) for done in found] == [(0, "")] * 2, found
    return found[0].out, found[1].out


def attack_output(trial: Trial) -> None:
    """A file that a command writes is whole, or the old one."""
    chance = trial.chance
    design, home, _ = _begun(trial)
    folder = trial.folder / "out"
    folder.mkdir()
    command: tuple[str, ...] = chance.choice(
        [("letters", "Pier", "-o", "made.yaml"), ("draw", str(design), "--repeats", "4", "-o", "made.svg")]
    )
    file = folder / command[-1]
    reference = trial.folder / command[-1]
    forked(*command[:-1], reference, home=home)
    whole, old = reference.read_bytes(), b"an older one\n"
    force = chance.random() < 0.5
    if force:
        file.write_bytes(old)
        command = (*command, "--force")
    error, after, many = chance.choice(ERRORS), chance.randint(0, 9), chance.choice([-1, 1])
    what = f"{' '.join(command)}: {errno.errorcode[error]} after {after} calls, {many}"
    failing = _failing(trial.prepared, folder, after, many, error)
    done = run(*command, home=home, env=failing, cwd=folder)
    wrong = broken(done)
    trial.check(not wrong, f"{what}: {wrong}")
    found = file.read_bytes() if file.exists() else None
    if done.status == 0:
        trial.check(found == whole, f"{what}: status 0, but the file is not whole")
    else:
        last = done.err.splitlines()[-1:]
        trial.check(file.name in "".join(last), f"{what}: status {done.status}: {done.err!r}")
        trial.check(found == (old if force else None), f"{what}: status {done.status}, but the file has changed")


PLAIN = Fault("full, failing or read-only disk, plain mode", 8, 600, attack_plain, prepare)
BENCH = Fault("full, failing or read-only disk, full screen", 2, 150, attack_bench, prepare)
BOX = Fault("full, failing or read-only disk, box and gauges", 6, 300, attack_box, prepare)
READS = Fault("full, failing or read-only disk, reading", 1, 60, attack_reading, prepare)
WRITES = Fault("full, failing or read-only disk, files written", 5, 300, attack_output, prepare)
