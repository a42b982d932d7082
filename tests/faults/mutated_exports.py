"""Mutated files of pieces: they are taken in whole, or refused with a place and nothing is changed."""

import hashlib
import json
import shutil
from pathlib import Path
from random import Random
from typing import Any

from tests.faults.commands import forked, has_option
from tests.faults.mutated_texts import check_lines, check_output
from tests.faults.mutations import bytes_changed, text_changed
from tests.faults.tampered_homes import make_all, template
from tests.faults.trial import Fault, NotTried, Trial

EXPORTED = "exported"
KINDS = ("small", "many")
"""Kinds of homes; those with a long log would be no other here."""
NUMBERS = (0, 1, -1, 2**31, 2**63, 1.5, 1e308)
TEXTS = ("", "x", "\x1b[2J", "\ud800", "\u202e", "9" * 400)
MORE: tuple[Any, ...] = (*NUMBERS, *TEXTS, None, True, [], {}, [[]])
"""Values that take the place of others."""


def prepare(prepared: Path) -> None:
    """Exports pieces of every family and state."""
    if not has_option("pieces", "--export", prepared):
        raise NotTried("there is no pieces --export")
    make_all(prepared, KINDS)
    for kind in KINDS:
        done = forked("pieces", "--export", prepared / f"{EXPORTED}-{kind}", home=template(prepared, kind).home)
        assert done.status == 0, done


def attack(trial: Trial) -> None:
    """Takes in a mutated file, in a home with a piece of it or with none."""
    chance, home = trial.chance, trial.folder / "home"
    text = (trial.prepared / f"{EXPORTED}-{chance.choice(KINDS)}").read_text(encoding="utf-8")
    if chance.random() < 0.5:
        shutil.copytree(template(trial.prepared, "small").home, home)
    kind = chance.randrange(4)
    if kind == 0:
        data = bytes_changed(text.encode(), chance)
    elif kind == 1:
        data = text_changed(text, [text], chance)
    else:
        data = _sealed_again(text, chance)
    file = trial.folder / "pieces"
    file.write_bytes(data)
    before = forked("pieces", "--json", home=home)
    done = forked("pieces", "--import", file, home=home)
    what = f"import of {len(data)} bytes"
    if not check_output(trial, done, what):
        return
    after = forked("pieces", "--json", home=home)
    check_output(trial, after, f"{what}, then pieces")
    check_output(trial, forked("pieces", home=home), f"{what}, then pieces")
    if done.status == 1:
        check_lines(trial, done.err.splitlines(), str(file), data, what)
        trial.check(after == before, f"{what}: refused, but the pieces are others: {after}")
        return
    trial.check(done.status == 0, f"{what}: status {done.status}: {done.err[:200]!r}")
    for piece in json.loads(after.out) if after.status == 0 else []:
        opened = forked("follow", piece["file"], "--plain", home=home, given="q\n")
        check_output(trial, opened, f"{what}, then follow")
        # A design's file that is gone is refused where its piece is finished.
        fine = opened.status in ((0, 1) if piece["finished"] else (0,))
        trial.check(fine, f"{what}: taken in, then follow: {opened.status} {opened.err[:300]!r}")


def _sealed_again(text: str, chance: Random) -> bytes:
    """Values inside are changed, and the sums that hold the file together made to fit."""
    head, *lines = text.splitlines()
    at = chance.randrange(len(lines))
    document = json.loads(lines[at])
    document.pop("sha256", None)
    for _ in range(chance.choice([1, 1, 2, 4])):
        _value_changed(document, chance)
    summed = json.dumps(document, sort_keys=True, separators=(",", ":"))
    document["sha256"] = hashlib.sha256(summed.encode()).hexdigest()
    lines[at] = json.dumps(document, separators=(",", ":"))
    return "".join(f"{line}\n" for line in [head, *lines]).encode()


def _value_changed(node: Any, chance: Random) -> None:
    """One value somewhere below becomes another, goes, or stands twice."""
    while True:
        if isinstance(node, dict):
            place: Any = chance.choice(list(node)) if node else None
        elif isinstance(node, list):
            place = chance.randrange(len(node)) if node else None
        if place is None:
            return
        value = node[place]
        if isinstance(value, dict | list) and value and chance.random() < 0.85:
            node = value
            continue
        break
    kind = chance.randrange(4)
    if kind == 0:
        del node[place]
    elif kind == 1 and isinstance(node, list):
        node.insert(chance.randrange(len(node) + 1), value)
    elif kind == 2 and isinstance(value, str) and value:
        cut = chance.randrange(len(value))
        node[place] = value[:cut] + chance.choice(TEXTS) + value[cut + 1 :]
    elif kind == 2 and isinstance(value, int):
        node[place] = value + chance.choice([-1, 1, 7])
    else:
        node[place] = chance.choice(MORE)


FAULT = Fault("mutated exports", 8, 5000, attack, prepare)
