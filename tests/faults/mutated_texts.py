"""Mutated design files and settings: each is read and works, or is refused with lines that name a place in it."""

import json
import re
import sys
import unicodedata
from collections.abc import Sequence
from functools import cache, partial
from pathlib import Path

from benchmate.design_files.shelf import shipped
from benchmate.files.tree import BadFile
from benchmate.settings import DEFAULTS, as_text, read_settings
from tests.faults.commands import broken, forked, in_fork
from tests.faults.homes import BAND, FAMILIES, PICTURE, WRITTEN
from tests.faults.mutations import structure_changed, text_changed
from tests.faults.trial import Fault, Trial
from tests.running import Done

VARIEGATED = '"#d9dfe0"', '{css: [navy 40, "#fff 2.5", teal 1], say: dusk}'
"""An ordinary colour, and a variegated one in its place."""
EVERYTHING = {
    "diagonal": BAND.replace("repeats: 700", "  - {start: 2, knots: 'f b'}\n  - '- f*2'").replace(*VARIEGATED)
    + "repeats: 3\nthread: floss\nstart: fold-over-a-pin\nfinish: braided-tie\n"
    + "notes: |\n  One line.\n  Another.\nauthor: nobody\nlicence: CC0\n",
    "alpha": PICTURE.replace("repeats: 60", "repeats: 2\nfirst: right\nthread: floss"),
    "braid": FAMILIES["rope"].replace("repeats: 64", "repeats: 5"),
    "steps": WRITTEN,
}
"""A design of each family with every key that it may have."""
BY_STRUCTURE = 0.5
"""The part of the designs that stay YAML, and have other values, keys or items."""
TROUBLE = frozenset(("Cc", "Cf", "Cs", "Zl", "Zp"))
"""Categories of characters that may steer a terminal or reorder a text."""
PLACED = re.compile(r"(\d+):(\d+): (?:warning: )?.+")


def trouble_in(text: str) -> str:
    """The characters in an output that may steer a terminal; line ends apart."""
    return ascii("".join(sorted({sign for sign in text if sign != "\n" and unicodedata.category(sign) in TROUBLE})))[
        1:-1
    ]


def check_lines(trial: Trial, lines: Sequence[str], name: str, data: bytes, what: str) -> None:
    """Every line is `FILE:LINE:COLUMN: message`, with a line and a column that the file has."""
    text = data.decode("utf-8", "replace").removeprefix("\ufeff")
    rows = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    for line in lines:
        placed = PLACED.fullmatch(line.removeprefix(f"{name}:"))
        if placed is None:
            trial.told_wrongly(f"{what}: not FILE:LINE:COLUMN: {line[:200]!r}")
            continue
        row, column = int(placed[1]), int(placed[2])
        # Where bytes are no text, one that is replaced may stand for several.
        longest = max(len(rows[row - 1]), len(data)) if "�" in text and row <= len(rows) else 0
        there = 1 <= row <= len(rows) and 1 <= column <= max(longest, len(rows[row - 1])) + 1
        trial.check(there, f"{what}: no such place: {line[:200]!r} in {len(rows)} lines")


def check_output(trial: Trial, done: Done, what: str) -> bool:
    """True when a command ended as it may, without a character that steers the terminal."""
    wrong = broken(done)
    trial.check(not wrong, f"{what}: {wrong}")
    for name, text in (("output", done.out), ("error output", done.err)):
        found = trouble_in(text)
        trial.check(not found, f"{what}: {name} has {found}")
    return not wrong


def attack_design(family: str, trial: Trial) -> None:
    """A mutated design of one family."""
    chance = trial.chance
    corpus = _corpus(family)
    home, file = trial.folder / "home", trial.folder / "design.yaml"
    text = chance.choice(corpus)
    if chance.random() < BY_STRUCTURE:
        data = structure_changed(text, chance)
    else:
        data = text_changed(text, [*EVERYTHING.values(), *corpus], chance)
    file.write_bytes(data)
    checked = forked("check", file, home=home)
    if not check_output(trial, checked, "check"):
        return
    check_lines(trial, checked.err.splitlines(), str(file), data, "check")
    trial.check(checked.status in (0, 1), f"check: status {checked.status}")
    trial.check(bool(checked.out) == (checked.status == 0), f"check: status {checked.status}, {checked.out!r}")
    _use(trial, file, home, checked)


@cache
def _corpus(family: str) -> list[str]:
    texts = [Path(file).read_text(encoding="utf-8") for file in shipped()]
    return [EVERYTHING[family]] * 4 + [text for text in texts if f"\nfamily: {family}\n" in text and len(text) < 20_000]


def _use(trial: Trial, file: Path, home: Path, checked: Done) -> None:
    """Uses the design: it works where `check` found it good, and is refused with the same lines where it did not."""
    command = trial.chance.choice(["order", "follow", "draw", "order --by"])
    if command == "follow":
        done = forked("follow", file, "--plain", home=home, given="\n\nb\n")
    elif command == "draw":
        done = forked("draw", file, "-o", trial.folder / "band.svg", home=home)
    else:
        by = ("--by", "segments") if command == "order --by" else ()
        done = forked("order", file, "--json", *by, home=home)
    if not check_output(trial, done, command):
        return
    if checked.status:
        trial.check((done.status, done.out) == (1, ""), f"{command} on a bad design: {done.status} {done.out[:100]!r}")
        errors = [line for line in checked.err.splitlines() if ": warning: " not in line]
        trial.check(done.err.splitlines()[-len(errors) :] == errors, f"{command}: {done.err[:200]!r}, not as `check`")
        return
    if command == "draw" and done.status == 1 and "steps" in checked.out:
        return
    trial.check(done.status == 0, f"{command} on a good design: {done.status} {done.err[:200]!r}")
    if done.status == 0 and command.startswith("order"):
        steps = json.loads(done.out)["steps"]
        trial.check([step["n"] for step in steps] == list(range(1, len(steps) + 1)), f"{command}: steps not 1 to n")


def settings_attack(trial: Trial) -> None:
    """Mutated settings."""
    chance = trial.chance
    text = as_text(DEFAULTS)
    short = "press: row\nguard: 150\nvoice: on\nrate: 200\nkeys:\n  done: [space, x]\n  back: 'y'\n  jump: []\n"
    data = text_changed(chance.choice([text, short]), [short, text, BAND], chance)
    file = trial.folder / "settings.yaml"
    file.write_bytes(data)

    def read() -> None:
        try:
            settings = read_settings(file)
        except BadFile as bad:
            print(bad, file=sys.stderr)
            sys.exit(1)
        file.write_text(as_text(settings), encoding="utf-8")
        assert read_settings(file) == settings, "written settings are read as others"

    done = in_fork(read)
    if check_output(trial, done, "settings"):
        check_lines(trial, done.err.splitlines(), str(file), data, "settings")
        trial.check((done.status == 1) == bool(done.err), f"settings: status {done.status}, {done.err[:100]!r}")


DESIGNS = tuple(Fault(f"mutated designs, {family}", 14, 5000, partial(attack_design, family)) for family in EVERYTHING)
SETTINGS = Fault("mutated settings", 14, 5000, settings_attack)
