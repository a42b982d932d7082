"""Every path the program keeps anything at."""

import os
from pathlib import Path

HOME = "BENCHMATE_HOME"


def data_folder() -> Path:
    """The folder of the pieces: `BENCHMATE_HOME` when set, else the platform's own for a person's data."""
    home = os.environ.get(HOME)
    if home:
        return Path(home)
    from platformdirs import user_data_path

    return user_data_path("benchmate", appauthor=False)


def settings_file() -> Path:
    """The settings: in `BENCHMATE_HOME` when set, else in the platform's own folder for settings."""
    if os.environ.get(HOME):
        return data_folder() / "settings.yaml"
    from platformdirs import user_config_path

    return user_config_path("benchmate", appauthor=False) / "settings.yaml"


def database_file() -> Path:
    """The database of the pieces."""
    return data_folder() / "pieces.db"


def copy_file() -> Path:
    """The copy of the database made at most once a day, from a database found to be sound."""
    return data_folder() / "pieces-copy.db"


def fault_report(database: Path) -> Path:
    """Where the last fault of the program itself is written down: beside the database."""
    return database.with_name("fault-report.txt")


def holders_folder() -> Path:
    """Where every running program that may hold a piece keeps its lock."""
    return data_folder() / "open"


def resolved(given: str) -> str:
    """The absolute path of a file as it is kept with a piece, links followed."""
    return os.path.realpath(given)
