"""A damaged database, any byte of it: every command is right, or says so in one line whose advice brings all back."""

import json
import re
import shutil
import sqlite3
import tempfile
from collections.abc import Callable
from contextlib import closing
from functools import cache
from pathlib import Path
from random import Random

from tests.faults.advice import advice_in, follow
from tests.faults.commands import broken
from tests.faults.tampered_homes import KINDS, THREAD, Template, answers, make_all, template
from tests.faults.trial import Fault, Trial
from tests.running import Done

PAGE = 4096
MOST_ADVICE = 6
"""Advised commands followed one after the other, each for another damaged piece."""
Answers = list[tuple[str, Done]]
"""What every command said."""


def flip(data: bytearray, chance: Random) -> str:
    """One to eight bits anywhere."""
    places = sorted(chance.randrange(len(data)) for _ in range(chance.choice([1, 1, 1, 2, 8])))
    for place in places:
        data[place] ^= 1 << chance.randrange(8)
    return f"bits flipped in bytes {places}"


def change_byte(data: bytearray, chance: Random) -> str:
    """One byte anywhere gets another value."""
    place = chance.randrange(len(data))
    old = data[place]
    data[place] = chance.choice([value for value in (*range(48, 123), 0, 255) if value != old])
    return f"byte {place} from {old} to {data[place]}"


def change_text(data: bytearray, chance: Random) -> str:
    """One byte gets another value where the byte is a printed character, as in designs, paths and times."""
    texts = [place for place, byte in enumerate(data) if 32 <= byte < 127]
    place = chance.choice(texts)
    old = data[place]
    data[place] = chance.choice([value for value in range(33, 127) if value != old])
    return f"character {place} from {chr(old)!r} to {chr(data[place])!r}"


def overwrite(data: bytearray, chance: Random) -> str:
    """A run of bytes is overwritten with random ones."""
    length = chance.randint(1, 700)
    place = chance.randrange(max(1, len(data) - length))
    data[place : place + length] = chance.randbytes(length)
    return f"{length} bytes overwritten from {place}"


def zero(data: bytearray, chance: Random) -> str:
    """A sector or a page is zeros."""
    length = chance.choice([512, PAGE])
    place = chance.randrange(len(data) // length) * length
    data[place : place + length] = bytes(length)
    return f"{length} zeros from {place}"


def swap(data: bytearray, chance: Random) -> str:
    """Two pages change places."""
    pages = len(data) // PAGE
    one, two = chance.randrange(pages), chance.randrange(pages)
    if one == two:
        return zero(data, chance)
    first, second = (bytes(data[page * PAGE : (page + 1) * PAGE]) for page in (one, two))
    data[one * PAGE : (one + 1) * PAGE], data[two * PAGE : (two + 1) * PAGE] = second, first
    return f"pages {one + 1} and {two + 1} swapped"


def double(data: bytearray, chance: Random) -> str:
    """A page is written where another one was."""
    pages = len(data) // PAGE
    one, two = chance.randrange(pages), chance.randrange(pages)
    data[two * PAGE : (two + 1) * PAGE] = data[one * PAGE : (one + 1) * PAGE]
    return f"page {one + 1} written over page {two + 1}"


def shorten(data: bytearray, chance: Random) -> str:
    """The end is cut off."""
    length = chance.choice([chance.randrange(len(data)), chance.randrange(len(data) // PAGE) * PAGE])
    del data[length:]
    return f"cut to {length} bytes"


def lengthen(data: bytearray, chance: Random) -> str:
    """Something is added at the end."""
    length = chance.choice([1, 100, PAGE, 3 * PAGE])
    data += bytes(length) if chance.random() < 0.5 else chance.randbytes(length)
    return f"{length} bytes added"


DAMAGES: tuple[Callable[[bytearray, Random], str], ...] = (
    *(flip, change_byte, change_text, overwrite, zero, swap, double, shorten, lengthen),
    *(flip, change_byte, change_text, overwrite),
)
"""The first are all there are: a few trials take each once. Those that fit anywhere come more often in many."""


def prepare(prepared: Path) -> None:
    """Makes the homes to damage."""
    make_all(prepared)


def attack(trial: Trial) -> None:
    """Damages a database, asks every command, and follows the advice of the first that refuses."""
    sound = template(trial.prepared, trial.chance.choice(KINDS))
    home = trial.folder / "home"
    shutil.copytree(sound.home, home)
    copies = trial.chance.random() >= 0.2
    if not copies:
        _without_copies(home)
    expected = _expected(sound, copies)
    database = home / "pieces.db"
    data = bytearray(database.read_bytes())
    what = f"{home.name} {sound.home.parent.name}: {trial.in_turn(DAMAGES)(data, trial.chance)}"
    database.write_bytes(data)
    judge(trial, sound, home, what, expected)


@cache
def _expected(sound: Template, copies: bool) -> Answers:
    """What every command says before the damage, with or without copies: the same in all trials."""
    with tempfile.TemporaryDirectory(dir=sound.home.parent) as folder:
        home = _copied(sound.home, Path(folder) / "home")
        if not copies:
            _without_copies(home)
        return answers(sound, home)


def judge(trial: Trial, sound: Template, home: Path, what: str, expected: Answers) -> None:
    """Compares what every command says with what it said before the damage, then follows the advice."""
    refused = _compare(trial, answers(sound, home), expected, what)
    for _ in range(MOST_ADVICE):
        if refused is None:
            return
        refused = _follow_advice(trial, sound, home, what, refused, expected)
    trial.was_lost(f"{what}: after {MOST_ADVICE} advised commands: {refused}")


def _compare(trial: Trial, found: Answers, expected: Answers, what: str) -> Done | None:
    """Notes what is neither as before the damage nor a refusal in one line; returns the first refusal."""
    refused: Done | None = None
    for (name, said), (_, before) in zip(found, expected, strict=True):
        if said == before or _differs_in_plan(name, said, before):
            continue
        if name in THREAD and said.status == 0 and _tells_damage(said, before):
            trial.check(_lists_no_other(name, said, before), f"{what}; {name}: {_differing(said, before)}")
            refused = refused or said
            continue
        told = said._replace(err=before.err)
        if (told == before or _differs_in_plan(name, told, before)) and _tells_damage(said, before):
            # It did what it was asked, and told what it came by: damage in another piece, which has no copy now.
            refused = refused or said
            continue
        wrong = broken(said)
        if wrong:
            trial.told_wrongly(f"{what}; {name}: {wrong}")
        elif said.status != 3:
            trial.told_wrongly(f"{what}; {name}: status {said.status}, {_differing(said, before)}")
        elif said.out and name.startswith("follow"):
            # Steps may have been shown before the damage was met; none of them may be another.
            trial.check(before.out.startswith(said.out), f"{what}; {name}: {_differing(said, before)}")
        elif said.out or len(said.err.splitlines()) != 1:
            trial.told_wrongly(f"{what}; {name}: not one line but {said}")
        if said.status == 3 and refused is None:
            refused = said
    return refused


def _follow_advice(
    trial: Trial, sound: Template, home: Path, what: str, refused: Done, expected: Answers
) -> Done | None:
    """Follows the advice of a refusal; everything that the named copy has must be back. Returns the next refusal."""
    advice = next(iter(advice_in(refused.err.replace("HOME", str(home)))), None)
    if advice is None:
        helpful = [copy for copy in _copies(home) if _has_what_is_damaged(copy, refused)]
        trial.check(not helpful, f"{what}: no command to follow, though there is a copy: {refused.err.strip()}")
        return None
    if not advice.file.exists():
        trial.told_wrongly(f"{what}: the advice names {advice.file.name}, which is not there")
        return None
    elsewhere = Path(tempfile.mkdtemp(prefix="named-", dir=trial.folder))
    shutil.copy(advice.file, elsewhere / "pieces.db")
    named = answers(sound, elsewhere)
    done = follow(advice, home)
    if done.status:
        trial.was_lost(f"{what}: the advised command {advice.arguments} ended with {done}")
        return None
    again: Done | None = None
    for (name, said), (_, copied), (_, before) in zip(answers(sound, home), named, expected, strict=True):
        if advice.of_a_part and (said.status == 3 or _tells_damage(said, copied)):
            # Another piece is damaged too.
            again = again or said
        elif said != copied and not (
            advice.of_a_part and (said == before or name.startswith("pieces") or _differs_in_plan(name, said, before))
        ):
            trial.was_lost(f"{what}: after {advice.arguments}, {name}: {_differing(said, copied)}")
    return again


def _tells_damage(said: Done, before: Done) -> bool:
    """Whether it told, in one line beside what it otherwise tells, that something is damaged."""
    more = said.err.removeprefix(before.err) if said.err.startswith(before.err) else ""
    return more.count("\n") == 1 and " is damaged (" in more


def _lists_no_other(name: str, said: Done, before: Done) -> bool:
    """Whether a list has nothing but what was in it before; what a gauge expects changes when it rests on less."""
    now, then = json.loads(said.out), json.loads(before.out)
    return name == "gauge" or all(each in then for each in now)


def _differs_in_plan(name: str, said: Done, before: Done) -> bool:
    """Whether the same steps are told for the piece with a plan, counted in another order.

    A damaged plan is made again, but not while a knot is marked wrong: until then the order is that of the rows.
    """

    def steps(done: Done) -> Done:
        return done._replace(out=re.sub(r"^\d+/", "", done.out, flags=re.MULTILINE))

    return name == "follow other" and steps(said) == steps(before)


def _differing(said: Done, before: Done) -> str:
    """The first line that differs, and what it was."""
    for stream in ("out", "err"):
        new, old = getattr(said, stream).splitlines(), getattr(before, stream).splitlines()
        for one, two in zip([*new, *[""] * len(old)], [*old, *[""] * len(new)], strict=False):
            if one != two:
                at = next((at for at, (a, b) in enumerate(zip(one, two, strict=False)) if a != b), 0)
                return f"{one[max(0, at - 60) : at + 60]!r} in place of {two[max(0, at - 60) : at + 60]!r}"
    return f"status {said.status} in place of {before.status}"


def _copied(home: Path, to: Path) -> Path:
    shutil.copytree(home, to)
    return to


def _copies(home: Path) -> list[Path]:
    """Every copy of the database in a home."""
    return [*home.glob("pieces-copy.db"), *home.glob("copies/*.db")]


def _has_what_is_damaged(copy: Path, refused: Done) -> bool:
    """Whether a copy has the piece that a refusal names, or a box; any copy helps where it names none."""
    piece = re.search(r"Piece (\d+) in ", refused.err)
    query = f"SELECT 1 FROM piece WHERE piece = {piece[1]}" if piece else "SELECT 1"
    if "A part of your box and gauges in " in refused.err:
        query = "SELECT 1 FROM sqlite_schema WHERE name = 'booking'"
    with closing(sqlite3.connect(f"{copy.as_uri()}?mode=ro", uri=True)) as connection:
        return bool(connection.execute(query).fetchall())


def _without_copies(home: Path) -> None:
    for file in _copies(home):
        file.unlink()


FAULT = Fault("a damaged database", 9, 1000, attack, prepare)
