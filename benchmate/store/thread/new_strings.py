"""The new strings of a piece: each took over from one that ran short or broke, with its number."""

import sqlite3
from collections.abc import Callable, Sequence
from typing import NamedTuple

from benchmate.store.checksum import checksum, intact
from benchmate.store.thread.strings_left import MeasuredString, MeasuredStrings


class NewString(NamedTuple):
    """A new string that took over from a string after a step, and was cut so long, mm.

    `after` is the last step of the band that the string before it was in, -1 for none. `thread` is the number of the
    thread in the box that it was cut from, if any. `before` is what was measured of the string until then, or since,
    while the new one was out again. `back` is when it was taken back: then it never was. Times are in UTC as in the
    log.
    """

    string: int
    after: int
    colour: str
    mm: float
    thread: int | None
    before: MeasuredString | None
    at: str
    back: str | None = None

    @property
    def without_thread(self) -> "NewString":
        """The same where the box is another one, or where nothing is to be taken from it twice."""
        return self._replace(thread=None)

    @property
    def told(self) -> tuple[int, str, float, str]:
        """What tells it from every other one, on any machine."""
        return self.string, self.colour, self.mm, self.at


def standing(new_strings: Sequence[NewString]) -> list[NewString]:
    """Those that were not taken back."""
    return [each for each in new_strings if each.back is None]


def as_it_hangs(measured: MeasuredString | None, new_strings: Sequence[NewString]) -> MeasuredString | None:
    """What was measured of a string, by all that is known of its new ones; None where nothing is.

    Of a new string that was taken back, what was measured before holds again.
    """
    taken_back = {each.at: each for each in new_strings if each.back is not None}
    while measured is not None and measured.joined and measured.at in taken_back:
        measured = taken_back[measured.at].before
    if measured is None or not new_strings:
        return measured
    first = new_strings[0].before
    joined = any(each.at <= measured.at for each in standing(new_strings)) or (first is not None and first.joined)
    return measured._replace(joined=joined)


def taken_over(new_strings: Sequence[NewString], is_tied: Callable[[int], bool]) -> list[NewString]:
    """Those that stand and are in by what is tied: one is out again while its step, and so its last knot, is undone.

    One that took over before the first knot of its string stays in, and one before another that is in is not out.
    """
    found, strings = list[NewString](), set[int]()
    for each in reversed(standing(new_strings)):
        if each.string in strings or each.after < 0 or is_tied(each.after):
            strings.add(each.string)
            found.append(each)
    return found[::-1]


def out_again(new_strings: Sequence[NewString], is_tied: Callable[[int], bool]) -> list[NewString]:
    """Those that stand and are not in, by what is tied."""
    known = taken_over(new_strings, is_tied)
    return [each for each in standing(new_strings) if each not in known]


def by_what_is_tied(
    measured: MeasuredStrings, new_strings: Sequence[NewString], is_tied: Callable[[int], bool]
) -> MeasuredStrings:
    """What was measured of the strings that hang by what is tied: of a new one that is out again, that before it."""
    found = dict(measured)
    out = out_again(new_strings, is_tied)
    for each in reversed(out):
        others = [new for new in new_strings if new.string == each.string and new not in out]
        before = as_it_hangs(each.before, others)
        found.pop(each.string, None)
        if before is not None:
            found[each.string] = before
    return found


def of_two_machines(ours: Sequence[NewString], theirs: Sequence[NewString], *, newer: bool) -> list[NewString]:
    """The new strings that two machines know, in the order in which their maker said so.

    One that was taken back on one of them is taken back. With `newer`, steps are numbered as they are there.
    """
    found = {each.told: each for each in ours}
    for each in theirs:
        known = found.get(each.told, each)
        back = min((back for back in (known.back, each.back) if back is not None), default=None)
        both = (each, known) if newer else (known, each)
        # What was measured last counts; of the same, the one whose steps are numbered as they are now.
        before = max((of.before for of in both if of.before is not None), key=lambda of: of.at, default=None)
        found[each.told] = known._replace(back=back, after=both[0].after, before=before)
    return sorted(found.values(), key=lambda each: each.at)


def new_strings_in(connection: sqlite3.Connection, piece: int) -> list[NewString]:
    """The new strings of a piece, in the order in which their maker said so.

    One whose row is damaged is as if it never had been.
    """
    query = (
        "SELECT string, step, colour, mm, thread, before, at, back FROM new_string"
        f" WHERE piece = ? AND {intact('new_string')} ORDER BY number"
    )
    rows = connection.execute(query, (piece,)).fetchall()
    if not rows:
        return []
    # Few pieces have one, and every list of pieces would wait for it.
    import json

    return [
        NewString(
            *(string, step, colour, mm, thread),
            None if before is None else MeasuredString(*json.loads(before)),
            *(at, back),
        )
        for string, step, colour, mm, thread, before, at, back in rows
    ]


def put_new_strings(connection: sqlite3.Connection, piece: int, strings: Sequence[NewString]) -> None:
    """Writes all new strings of a piece in the place of those kept before, inside a transaction.

    Damaged rows stay where they are: they say that there was one more.
    """
    connection.execute(f"DELETE FROM new_string WHERE piece = ? AND {intact('new_string')}", (piece,))
    damaged = {number for (number,) in connection.execute("SELECT number FROM new_string WHERE piece = ?", (piece,))}
    numbers = (number for number in range(len(strings) + len(damaged)) if number not in damaged)
    import json

    for number, each in zip(numbers, strings, strict=False):
        before = None if each.before is None else json.dumps(each.before)
        told = each.string, each.after, each.colour, float(each.mm), each.thread, before, each.at, each.back
        row = piece, number, *told
        total = checksum(*(of.encode() if isinstance(of, str) else of for of in row))
        connection.execute(f"INSERT INTO new_string VALUES ({', '.join('?' * 11)})", (*row, total))


def is_newest(connection: sqlite3.Connection, piece: int, new: NewString) -> bool:
    """Whether no damaged row says that there was another new string after this one."""
    query = (
        f"SELECT count(*) FROM new_string WHERE piece = ? AND NOT {intact('new_string')} AND number >"
        " (SELECT max(number) FROM new_string WHERE piece = ? AND string = ? AND at = ?)"
    )
    (later,) = connection.execute(query, (piece, piece, new.string, new.at)).fetchone()
    return not later
