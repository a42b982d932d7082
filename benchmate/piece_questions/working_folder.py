"""Saves a file in the working folder, never over another one."""

import os
from itertools import count

from benchmate.files.atomic_write import AlreadyExists, NotWritten, write_atomically
from benchmate.files.safe_text import shown


def saved_as(name: str, ending: str, data: bytes) -> str:
    """Saves `data` as `NAME.ENDING`, or with a number where there is one; says where, or why not.

    The name is the program's own: nothing in a design decides where anything is written.
    """
    try:
        folder = os.getcwd()
    except OSError as error:
        return f"Not saved: the working folder is gone ({error.strerror})."
    for number in count(1):
        file = os.path.join(folder, f"{name}{f'-{number}' if number > 1 else ''}.{ending}")
        try:
            write_atomically(file, data)
        except AlreadyExists:
            continue
        except NotWritten as error:
            return f"Not saved: {shown(file)}: {error}."
        return f"Saved: {os.path.basename(file)} in {shown(folder)}"
    raise AssertionError("the numbers do not end")
