"""The report of a fault in the program itself, for whoever can fix it."""

from pathlib import Path

from benchmate import __version__
from benchmate.files.atomic_write import NotWritten, write_atomically
from benchmate.files.safe_text import shown


def write_report(file: Path, error: BaseException) -> bool:
    """Writes the report to `file`, replacing an older one; False when it cannot be written."""
    import platform
    import shlex
    import sqlite3
    import sys
    import traceback

    name, *arguments = sys.argv
    lines = [
        "A fault in benchmate. Please send this file to whoever gave you the program, and say what you did.",
        "It contains names of folders on your machine. It contains no designs and nothing about your pieces.",
        "",
        f"benchmate {__version__}, Python {platform.python_version()}, SQLite {sqlite3.sqlite_version}, "
        f"{platform.platform()}",
        shlex.join([Path(name).name, *arguments]),
        "",
        *"".join(traceback.format_exception(error)).splitlines(),
    ]
    try:
        write_atomically(file, ("\n".join(map(shown, lines)) + "\n").encode(), force=True)
    except NotWritten:
        return False
    return True
