"""The path of every file and folder the program keeps."""

import os
from pathlib import Path

HOME = "BENCHMATE_HOME"


def data_folder() -> Path:
    """The folder of the pieces: `BENCHMATE_HOME` when set, otherwise the platform's folder for user data."""
    home = os.environ.get(HOME)
    if home:
        return Path(home)
    from platformdirs import user_data_path

    return user_data_path("benchmate", appauthor=False)


def settings_file() -> Path:
    """The settings: in `BENCHMATE_HOME` when set, otherwise in the platform's folder for settings."""
    if os.environ.get(HOME):
        return data_folder() / "settings.yaml"
    from platformdirs import user_config_path

    return user_config_path("benchmate", appauthor=False) / "settings.yaml"


def database_file() -> Path:
    """The database of the pieces."""
    return data_folder() / "pieces.db"


def copy_file() -> Path:
    """The daily copy of the database, made only while the database is undamaged."""
    return data_folder() / "pieces-copy.db"


def fault_report(database: Path) -> Path:
    """The report of the last fault in the program itself, beside the database."""
    return database.with_name("fault-report.txt")


def holders_folder() -> Path:
    """The folder where each running program that can hold a piece keeps its lock."""
    return data_folder() / "open"


def resolved(given: str) -> str:
    """The absolute path of a file as saved with a piece, links followed."""

    return os.path.realpath(given)
