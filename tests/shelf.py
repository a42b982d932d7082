"""The shipped designs, read once for all tests of a process."""

from pathlib import Path

from benchmate.design_files.load import load
from benchmate.design_files.shelf import shipped

FILES = {Path(path).stem: load(path) for path in shipped()}
"""Every shipped design with its start and finish, by name."""
