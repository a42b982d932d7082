"""A fault of the program itself: written down for whoever can mend it."""

from pathlib import Path

from benchmate import __version__
from benchmate.files.atomic_write import NotWritten, write_atomically
from benchmate.files.words import shown


def write_report(file: Path, error: BaseException) -> bool:
    """Writes down what happened, in the place of any report before; False when it cannot be written."""
    import platform
    import shlex
    import sqlite3
    import sys
    import traceback

    name, *arguments = sys.argv
    lines = [
        "A fault of benchmate. Please hand this file to whoever gave you the program, and say what you did.",
        "It holds the names of folders on your machine. It holds no designs and nothing of your pieces.",
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
