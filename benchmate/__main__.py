"""`python -m benchmate`: the same as the command."""

from benchmate.cli import run

run()
