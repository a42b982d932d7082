"""The shipped designs to choose from, read from their files."""

from collections.abc import Sequence
from typing import NamedTuple

from benchmate.choosing.shelves import is_to_begin
from benchmate.design_files.load import DesignFile, load
from benchmate.design_files.shelf import LESSON_PREFIX, easy_to_hard, name_of, shipped
from benchmate.files.tree import BadFile


class ShippedDesigns(NamedTuple):
    """The designs to begin with their efforts, easy to hard, and the lessons in order.

    `faulty` says what is wrong with one that cannot be read.
    """

    designs: Sequence[tuple[DesignFile, float]]
    lessons: Sequence[DesignFile]
    faulty: str


def shipped_designs() -> ShippedDesigns:
    """Reads all shipped designs."""
    files: dict[str, DesignFile] = {}
    faulty = ""
    for path in shipped():
        try:
            files[path] = load(path)
        except BadFile as bad:
            faulty = str(bad).splitlines()[0]
    lessons = [file for path, file in files.items() if name_of(path).startswith(LESSON_PREFIX)]
    shelved = easy_to_hard((file.design, path) for path, file in files.items() if is_to_begin(file))
    return ShippedDesigns([(files[each.path], each.effort) for each in shelved], lessons, faulty)
