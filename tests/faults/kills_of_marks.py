"""SIGKILL while what was really made, cut and left of strings is saved: a press is there whole, or not at all."""

import json
import subprocess
import sys
import time
from pathlib import Path

from benchmate.store.inspection import damages_in_file
from tests.faults.homes import write_designs
from tests.faults.trial import Fault, Trial
from tests.running import environment

MAKER = """
import json
import sys
from random import Random

from benchmate.craft.trouble.made_otherwise import EVERY_KIND, token
from benchmate.craft.thread.length_to_cut import Length
from benchmate.piece_opening import NO_OPTIONS, Kept, follow
from benchmate.store.thread.cuts import Cut

kept, chance = Kept(), Random(sys.argv[2])
held = follow(kept, sys.argv[1], NO_OPTIONS, new=False).held
held.hold()


def other_ways(steps):
    return {step: chance.choice([way for way in EVERY_KIND if way != held.charted.how_made(step)]) for step in steps}


LENGTHS = [Cut(Length("a", (string,), 400.0), string) for string in (1, 2, 3)]


def keeps_cut(cut):
    if len(cut) == len(LENGTHS):
        held.keep_cut(("floss", LENGTHS))
    elif cut:
        held.tick(cut)
    else:
        held.take_cut_back(LENGTHS[:1])


def press():
    tied = list(held.progress.history)
    last = tied[-6:]
    later = held.progress.coming(8)
    some = chance.sample(last, min(len(last), 2))
    kinds = "tie", "tie", "mark", "leave", "out", "jump", "measure", "join", "undo join", "tick", "drop", "back"
    kind = chance.choice(kinds)
    if kind == "tick":
        keeps_cut(chance.sample(LENGTHS, chance.randint(0, len(LENGTHS))))
    elif kind == "measure":
        held.measure(chance.randint(1, 2), chance.randint(0, 900), by_eye=chance.random() < 0.5)
    elif kind == "tie" or not tied:
        held.tie(held.progress.coming(chance.randint(1, 3)))
    elif kind == "mark":
        held.mark_made({**other_ways(some), tied[0]: chance.choice(EVERY_KIND)})
    elif kind == "leave":
        held.leave(other_ways(some), other_ways(chance.sample(later, min(len(later), 2))))
    elif kind == "out":
        held.take_out(other_ways(some))
        while held.wrong is not None:
            held.finish_step()
    elif kind == "jump":
        target = held.order.sequence[: chance.randint(1, min(held.whole.size, len(tied) + 5))]
        held.jump_to(target, other_ways(target[-1:]))
    elif kind == "join":
        hangs = chance.randint(0, 900)
        done = chance.randint(0, len(tied))
        held.join(chance.randint(1, 2), hangs, hangs + 90, done=done, thread=chance.choice((None, 3)))
    elif kind == "undo join" and held.new_strings:
        held.take_new_string_back(chance.choice(held.new_strings).string)
    elif kind == "drop":
        held.drop_changes()
    else:
        held.back()


def told():
    made = sorted((step, token(how)) for step, how in held.altered.mistakes.items())
    changes = sorted((step, token(how)) for step, how in held.altered.changes.items())
    measured = sorted((string, *each[:4]) for string, each in held.measured.items())
    new = [each._replace(before=None if each.before is None else each.before[:4], at="") for each in held.new_strings]
    told = [made, changes, held.wrong, list(held.progress.hanging), measured, new, held.ticked, held.was_cut]
    return [list(held.progress.history), *told]


for _ in range(int(sys.argv[3])):
    press()
    print(json.dumps([len(held.record().log), told()]), flush=True)
if sys.argv[3] == "0" and held.piece is not None:
    print(json.dumps([len(held.record().log), told()]), flush=True)
"""
"""Works on a piece, with mistakes that stay, mends, measured and new strings, and lengths that are cut.

It tells all that is kept after every press. Asked for no press, it tells what it finds.
"""
MANY = 200
"""Presses until it ends by itself, which it never comes to."""


def attack(trial: Trial) -> None:
    """Kills a maker at some moment, and compares what is kept with what another one with the same presses told."""
    design = write_designs(trial.folder / "designs")["band"]
    seed, presses = trial.chance.random(), trial.chance.randint(1, 25)
    with _maker(trial.folder / "home", design, seed, MANY) as process:
        assert process.stdout is not None
        said = [process.stdout.readline() for _ in range(presses)]
        time.sleep(trial.chance.uniform(0, 0.004))
        process.kill()
        # What was read ahead with the lines before is there too, as it would not be from `communicate`.
        assert process.stderr is not None
        rest, errors = process.stdout.read(), process.stderr.read()
    trial.check(not errors, f"at work: {errors!r}")
    said += [line for line in rest.splitlines(keepends=True) if line.endswith("\n")]
    with _maker(trial.folder / "other", design, seed, len(said) + 4) as process:
        told = [json.loads(line) for line in process.communicate()[0].splitlines()]
    found = damages_in_file(trial.folder / "home" / "pieces.db")
    if found:
        trial.was_lost(f"afterwards {found[0].why}")
        return
    with _maker(trial.folder / "home", design, seed, 0) as process:
        kept, errors = process.communicate()
    trial.check(not errors, f"afterwards: {errors!r}")
    at = [number for number, each in enumerate(told) if kept and each == json.loads(kept)]
    # Each press is saved before it is told, and the steps on the way to a wrong knot are presses of their own.
    if not any(len(said) - 1 <= number for number in at) and not _on_the_way(told, len(said), kept):
        trial.was_lost(f"after {len(said)} presses there is {kept!r}")


def _on_the_way(told: list[list[object]], pressed: int, kept: str) -> bool:
    """True when a wrong knot was marked, and not all of the steps that rest on it were undone yet."""
    if not kept or pressed >= len(told):
        return False
    (entries, state), before, after = json.loads(kept), told[pressed - 1][0], told[pressed][0]
    assert isinstance(before, int)
    assert isinstance(after, int)
    return before < entries < after and state[3] is not None


def _maker(home: Path, design: Path, seed: float, presses: int) -> "subprocess.Popen[str]":
    return subprocess.Popen(
        [sys.executable, "-c", MAKER, str(design), str(seed), str(presses)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=environment(home),
    )


FAULT = Fault("killed while a mistake is kept", 3, 200, attack)
