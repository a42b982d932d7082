"""The path of every file and folder the program keeps."""

import os
from pathlib import Path
from typing import NamedTuple

from benchmate.files.tree import BadFile

HOME = "BENCHMATE_HOME"
DATABASE = "pieces.db"
"""The name of the database of the pieces."""


class Home(NamedTuple):
    """The folder of the pieces, and what lies in it."""

    folder: Path

    @property
    def database(self) -> Path:
        """The database of the pieces."""
        return self.folder / DATABASE

    @property
    def copies(self) -> Path:
        """The folder with a copy of the database for each day of work, and with what `restore` has set aside."""
        return self.folder / "copies"

    @property
    def old_copy(self) -> Path:
        """The only copy that earlier versions made."""
        return self.folder / "pieces-copy.db"

    @property
    def holders(self) -> Path:
        """The folder where each running program that can hold a piece keeps its lock."""
        return self.folder / "open"

    @property
    def fault_report(self) -> Path:
        """The report of the last fault in the program itself."""
        return self.folder / "fault-report.txt"


def home() -> Home:
    """The folder of the pieces: `BENCHMATE_HOME` when set, otherwise the platform's folder for user data."""
    named = os.environ.get(HOME)
    if named:
        return Home(Path(named))
    from platformdirs import user_data_path

    return Home(user_data_path("benchmate", appauthor=False))


def settings_file() -> Path:
    """The settings: in `BENCHMATE_HOME` when set, otherwise in the platform's folder for settings."""
    named = os.environ.get(HOME)
    if named:
        return Path(named) / "settings.yaml"
    from platformdirs import user_config_path

    return user_config_path("benchmate", appauthor=False) / "settings.yaml"


def resolved(given: str) -> str:
    """The absolute path of a file as saved with a piece, links followed. Raises BadFile for a name no file can have."""
    if "\0" in given:
        raise BadFile(given, message="no file can have this name")
    return os.path.realpath(given)
