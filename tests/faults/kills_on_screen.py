"""SIGKILL on the full screen at any moment of anything that changes something."""

import time
from pathlib import Path

from tests.choosing import open_title
from tests.faults.homes import BAND, PICTURE, Now, Refused, now, work_on
from tests.faults.screen_actions import ACTIONS, Action, State, finish_step, press, read_settings
from tests.faults.trial import Fault, Trial
from tests.running import COMMAND, bench, count, environment
from tests.terminal import Terminal

SHORT_BAND = BAND.replace("repeats: 700", "repeats: 60")
"""600 knots."""
SOON = 1.3
"""Times as long as a press took to be shown, now on this machine, within which the kill comes: most come early."""
MOST_TRIES = 20
"""Times that a piece is opened from the list until it is open."""
WIDE, HIGH = 100, 30


def attack(trial: Trial) -> None:
    """Changes a few things, and is killed at the last of them."""
    chance, home = trial.chance, trial.folder / "home"
    design = trial.folder / "band.yaml"
    design.write_text(SHORT_BAND, encoding="utf-8")
    done = chance.randint(2, 25)
    work_on(design, home, "\n" * done)
    state = State(Now(done), None)
    with bench(design, home, columns=WIDE, rows=HIGH) as terminal:
        for _ in range(chance.randint(1, 2)):
            action = finish_step(chance, state, design)
            press(terminal, action)
            began = time.monotonic()
            terminal.press(action.last)
            terminal.wait_until(action.saved, what=f"{action.name} done")
            taken = time.monotonic() - began
            state = action.after
            terminal.pump(0.16)
        make = trial.in_turn(ACTIONS)
        action = make(chance, state, design)
        press(terminal, action)
        sent = chance.random() < 0.9
        if sent:
            terminal.press(action.last)
            terminal.pump(SOON * taken * chance.random() ** 2)
        terminal.kill()
        saved = sent and action.saved(terminal) and action.name != "changed design"
    _check(trial, home, design, state, action, sent=sent, saved=saved)


def _check(trial: Trial, home: Path, design: Path, before: State, action: Action, *, sent: bool, saved: bool) -> None:
    """Compares what the next start finds with what the killed one had shown."""
    try:
        found = now(home, design)
    except Refused as refused:
        trial.was_lost(f"killed at {action.name}: {refused}")
        return
    expected = [before.piece, action.after.piece] if sent else [before.piece]
    if action.name == "changed design":
        # As long as the piece has its old copy, the file is another.
        expected[0] = before.piece._replace(changed=True)
    if saved and found != expected[-1]:
        trial.was_lost(f"{action.name} was shown as {expected[-1]}; found: {found}")
    elif found not in expected:
        trial.told_wrongly(f"killed at {action.name}: {found}; expected one of {expected}")
    _check_settings(trial, read_settings(home), action, saved=saved)
    left = sorted(file.name for file in home.glob("settings*") if file.name != "settings.yaml")
    trial.check(len(left) <= 1, f"left beside the settings: {left}")


def _check_settings(trial: Trial, found: dict[str, object] | None, action: Action, *, saved: bool) -> None:
    """The settings are the old ones or the new ones; the new ones where the screen said so."""
    for name, value in (action.after.settings or {}).items():
        if found is None:
            holds = False
        elif name == "new key":
            holds = isinstance(found["keys"], dict) and any(value in keys for keys in found["keys"].values())
        else:
            holds = found[name] == value
        if saved and not holds:
            trial.was_lost(f"the setting {name} {value!r} was shown as saved")


FAULT = Fault("killed on the full screen", 10, 500, attack)


def attack_several(trial: Trial) -> None:
    """Goes from the list of pieces to one, back, to another, and is killed there."""
    chance, home = trial.chance, trial.folder / "home"
    done = {}
    designs = {}
    for name, text in (("band", SHORT_BAND), ("picture", PICTURE)):
        designs[name] = trial.folder / f"{name}.yaml"
        designs[name].write_text(text, encoding="utf-8")
        done[name] = chance.randint(1, 9)
        work_on(designs[name], home, "\n" * done[name])
    titles = {"band": "Peat and bracken", "picture": "Two gulls"}
    shown = dict(done)
    with Terminal([*COMMAND], columns=WIDE, rows=HIGH, env=environment(home)) as terminal:
        names = chance.sample(sorted(designs), 2)
        for name in names:
            _open(terminal, titles[name])
            state = State(Now(done[name]), None)
            for _ in range(chance.randint(1, 3)):
                action = finish_step(chance, state, designs[name])
                press(terminal, action)
                began = time.monotonic()
                terminal.press(action.last)
                shown[name] = state.piece.done
                state = action.after
                if chance.random() < 0.8 or name != names[-1]:
                    terminal.wait_until(action.saved, what="the next step")
                    shown[name], taken = state.piece.done, time.monotonic() - began
            done[name] = state.piece.done
            if name != names[-1]:
                terminal.pump(0.2)
                terminal.press("q")
        terminal.pump(SOON * taken * chance.random() ** 2)
        terminal.kill()
    for name in names:
        found = now(home, designs[name])
        steps = found.done if found else 0
        if steps < shown[name]:
            trial.was_lost(f"{name} was shown at {shown[name]}; found: {found}")
        trial.check(shown[name] <= steps <= done[name], f"{name}: {shown[name]} to {done[name]} done, found: {found}")


def _open(terminal: Terminal, title: str) -> None:
    """Waits until a piece is listed, and opens it; again where the key came too soon after another one."""
    for _ in range(MOST_TRIES):
        open_title(terminal, title)
        terminal.pump(0.5)
        if count(terminal) is not None:
            return


SEVERAL = Fault("killed, more than one piece", 1, 100, attack_several)
