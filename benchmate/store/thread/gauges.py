"""The maker's own gauges: what was seen of every kind of thread."""

import sqlite3
from collections.abc import Sequence
from contextlib import closing
from typing import NamedTuple

from benchmate.craft.thread.counts import Counts
from benchmate.craft.thread.estimate import Estimate
from benchmate.craft.thread.gauge import FLOSS
from benchmate.craft.thread.kinds import KINDS, SLIPPERY, scaled, with_longer_ends
from benchmate.craft.thread.observations import Measured, Seen, Used
from benchmate.store.checksum import intact, seal
from benchmate.store.database import Database, opened_to_read
from benchmate.store.errors import NotSaved, explained
from benchmate.store.pieces import utc_now
from benchmate.store.places import Home
from benchmate.store.thread.measurements_kept import Left, put_left

_STRING = "string"


class OwnThread(NamedTuple):
    """What a maker said of a thread of their own: its thickness in mm, if they know it; whether knots slip in it."""

    thickness_mm: float | None = None
    slippery: bool = False


def estimate_of(home: Home, name: str) -> Estimate | None:
    """What is known of a kind of thread, read without changing anything; None for an unknown name."""
    connection = opened_to_read(home)
    if connection is None:
        return _estimate(name, None, []) if name in KINDS else None
    with closing(connection), explained(home):
        connection.execute("BEGIN")
        own = _own(connection, name)
        if own is None and name not in KINDS:
            return None
        return _estimate(name, own, _sessions(connection, name))


def names(home: Home) -> list[str]:
    """Every gauge there is: the shipped kinds in their order, then the maker's own by name."""
    connection = opened_to_read(home)
    if connection is None:
        return list(KINDS)
    with closing(connection), explained(home):
        rows = connection.execute(
            f"SELECT name FROM gauge WHERE {intact('gauge')}"
            f" UNION SELECT gauge FROM session WHERE NOT taken_back AND {intact('session')} ORDER BY 1"
        ).fetchall()
    return [*KINDS, *(name for (name,) in rows if name not in KINDS)]


def damaged_in(home: Home) -> list[str]:
    """The gauges that leave something out because it is not what was written. Raises StoreError."""
    connection = opened_to_read(home)
    if connection is None:
        return []
    with closing(connection), explained(home):
        # The name itself may be what is damaged.
        connection.text_factory = lambda text: text.decode(errors="replace")
        rows = connection.execute(
            f"SELECT name FROM gauge WHERE NOT {intact('gauge')}"
            f" UNION SELECT gauge FROM session WHERE NOT {intact('session')}"
            " UNION SELECT gauge FROM session WHERE session IN"
            f" (SELECT session FROM seen WHERE NOT {intact('seen')}) ORDER BY 1"
        ).fetchall()
    return [name for (name,) in rows]


def own_thread(home: Home, name: str) -> OwnThread | None:
    """What the maker said of a thread of their own, read without changing anything; None for any other."""
    connection = opened_to_read(home)
    if connection is None:
        return None
    with closing(connection), explained(home):
        return _own(connection, name)


def estimate_with(home: Home, name: str, *, own: OwnThread | None = None, also: Sequence[Seen] = ()) -> Estimate:
    """What would be known of a thread if it were `own`, and if `also` were recorded; nothing is changed.

    One that is not known yet begins with the values of floss.
    """
    more = [list(also)] if also else []
    connection = opened_to_read(home)
    if connection is None:
        return _estimate(name, own, more)
    with closing(connection), explained(home):
        connection.execute("BEGIN")
        return _estimate(name, own or _own(connection, name), [*_sessions(connection, name), *more])


def record(
    database: Database,
    name: str,
    seen: Sequence[Seen],
    *,
    piece: int | None = None,
    own: OwnThread | None = None,
    left: Sequence[Left] = (),
) -> int:
    """Keeps what was seen in one piece, swatch or call, all or nothing; returns its number, to take it back.

    A name that is not known yet becomes a gauge of the maker's own. `own` is what is known of the thread from now on.
    `left` is what was left of the lengths of a piece.
    """
    connection = database.connection
    with database.writing():
        known = _own(connection, name)
        if name not in KINDS and (known is None or own not in (None, known)):
            thickness, slippery = own or OwnThread()
            connection.execute(
                "INSERT INTO gauge (name, at, thickness, slippery) VALUES (?, ?, ?, ?)"
                " ON CONFLICT (name) DO UPDATE"
                " SET at = excluded.at, thickness = excluded.thickness, slippery = excluded.slippery",
                (name, utc_now(), thickness, int(slippery)),
            )
            connection.execute(f"{seal('gauge')} WHERE name = ?", (name,))
        if not seen and not left:
            return 0
        session = connection.execute(
            "INSERT INTO session (gauge, at, piece) VALUES (?, ?, ?)", (name, utc_now(), piece)
        ).lastrowid
        assert session is not None
        connection.executemany(
            "INSERT INTO seen (session, number, what, made, carried, stayed, waited, mm)"
            " VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
            [(session, number, *_row(each)) for number, each in enumerate(seen, 1)],
        )
        for table in ("session", "seen"):
            connection.execute(f"{seal(table)} WHERE session = ?", (session,))
        put_left(connection, session, left)
    return session


def take_back(database: Database, number: int) -> None:
    """Forgets what was recorded under this number. Forgetting it twice changes nothing. Raises NotSaved."""
    connection = database.connection
    with database.writing():
        found = connection.execute(
            f"SELECT 1 FROM session WHERE session = ? AND {intact('session')}", (number,)
        ).fetchall()
        if not found:
            raise NotSaved("These measurements are gone. Nothing was changed.")
        connection.execute("UPDATE session SET taken_back = 1 WHERE session = ?", (number,))
        connection.execute(f"{seal('session')} WHERE session = ?", (number,))


def _estimate(name: str, own: OwnThread | None, sessions: list[list[Seen]]) -> Estimate:
    kind, caution = KINDS.get(name), ""
    if kind is not None:
        gauge, caution = kind.gauge, kind.caution
    else:
        own = own or OwnThread()
        gauge = FLOSS._replace(name=name) if own.thickness_mm is None else scaled(name, own.thickness_mm)
        if own.slippery:
            gauge, caution = with_longer_ends(gauge), SLIPPERY
    if not sessions:
        return Estimate(gauge, caution=caution)
    # Only those who measured wait for it.
    from benchmate.craft.thread.learning.learned import learned
    from benchmate.craft.thread.learning.prior import UNKNOWN, USUAL

    unknown = kind is None and (own is None or own.thickness_mm is None)
    found = learned(gauge, sessions, wide=UNKNOWN if unknown else USUAL)
    return Estimate(found.gauge, found, caution)


def _own(connection: sqlite3.Connection, name: str) -> OwnThread | None:
    """What the maker said of a thread; a gauge that only has measurements is known too. None for an unknown name."""
    query = f"SELECT thickness, slippery FROM gauge WHERE name = ? AND {intact('gauge')}"
    for thickness, slippery in connection.execute(query, (name,)):
        return OwnThread(thickness, bool(slippery))
    measured = f"SELECT 1 FROM session WHERE gauge = ? AND NOT taken_back AND {intact('session')}"
    return OwnThread() if connection.execute(measured, (name,)).fetchone() else None


def _sessions(connection: sqlite3.Connection, name: str) -> list[list[Seen]]:
    """What was measured of a thread and not taken back, a list for each piece or call; without what is damaged."""
    query = f"SELECT session, piece FROM session WHERE gauge = ? AND NOT taken_back AND {intact('session')}"
    pieces: dict[int, list[Seen]] = {}
    sessions = {
        session: pieces.setdefault(-session if piece is None else piece, [])
        for session, piece in connection.execute(query, (name,))
    }
    if not sessions:
        return []
    query = (
        "SELECT session, what, made, carried, stayed, waited, mm FROM seen"
        f" WHERE session IN (SELECT session FROM session WHERE gauge = ?) AND {intact('seen')}"
    )
    for session, what, made, carried, stayed, waited, mm in connection.execute(query, (name,)):
        if session in sessions:
            used = what == _STRING
            seen = Used(Counts(made, carried, stayed, waited), mm) if used else Measured(what, made, mm)
            sessions[session].append(seen)
    return [each for each in pieces.values() if each]


def _row(seen: Seen) -> tuple[str, int, int, int, int, float]:
    """What is kept of it; the units of a length are in the place of the knots made."""
    if isinstance(seen, Used):
        return (_STRING, *seen.counts, float(seen.mm))
    return (seen.what, seen.units, 0, 0, 0, float(seen.mm))
