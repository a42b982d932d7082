"""The command line: which commands there are, and how one ends. Each is a module of `commands`."""

import argparse
import errno
import io
import os
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import NamedTuple, NoReturn, Protocol, cast

from benchmate import __version__
from benchmate.commands.shared.exit_status import BAD_INPUT, BAD_STORE, DONE

COMMANDS = (
    "follow",
    "check",
    "order",
    "untie",
    "designs",
    "pieces",
    "letters",
    "picture",
    "draw",
    "help",
    "completion",
)
"""Every command by its name, in the order they are listed; each is the module of that name in `commands`."""
NO_COMMAND = "app"
"""The module that runs when no command is named."""


class Command(Protocol):
    """What a command's module holds.

    A module may hold `WANTS_ALL_COMMANDS = True` beside this: its `run` is handed the parser of all commands then, and
    otherwise that of its own.
    """

    NAME: str
    SAYS: str

    def arguments(self, parser: argparse.ArgumentParser) -> None:
        """Adds what the command takes."""

    def run(self, parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
        """Does it; answers the exit status. BadFile and StoreError are said by the caller."""


def run() -> None:
    """The console script: runs the command line and exits with its status."""
    # Where one was closed before the program began, Python has none, and would print to the other in its place.
    sys.stdout = sys.stdout or open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115
    sys.stderr = sys.stderr or open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115
    for stream in (sys.stdin, sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
    try:
        status = main(sys.argv[1:])
        sys.stdout.flush()
    except KeyboardInterrupt:
        status = DONE
    except BrokenPipeError:
        # Whoever read the output has had enough; what is left of it must not fail again when Python closes it.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        status = DONE
    except OSError as error:
        if error.errno != errno.ENOSPC:
            raise
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        print("benchmate: what was to be printed found no room: the disk behind the output is full", file=sys.stderr)
        status = BAD_STORE
    sys.exit(status)


def main(arguments: Sequence[str]) -> int:
    """Runs one command line; returns the exit status. A faulty command line raises SystemExit(2) with its message."""
    command, parser, options = _parsed(arguments)
    try:
        return command.run(parser, options)
    except Exception as error:
        status = _said(error)
        if status is None:
            raise
        return status


def _said(error: Exception) -> int | None:
    """Says what is wrong with a file or the store; None for every other error, of which nothing is said."""
    from benchmate.files.tree import BadFile

    if isinstance(error, BadFile):
        print(error, file=sys.stderr)
        return BAD_INPUT
    from benchmate.store.database import StoreError

    if isinstance(error, StoreError):
        print(f"benchmate: {error}", file=sys.stderr)
        return BAD_STORE
    return None


class _Parsed(NamedTuple):
    """A command line that has been read."""

    command: Command
    parser: argparse.ArgumentParser
    options: argparse.Namespace


def _parsed(arguments: Sequence[str]) -> _Parsed:
    if arguments and arguments[0] in COMMANDS:
        # Only the command that is asked for is imported.
        command = _command(arguments[0])
        own = _Parser(prog=f"benchmate {command.NAME}", description=_description(command))
        command.arguments(own)
        options = own.parse_args(arguments[1:])
        wants_all = getattr(command, "WANTS_ALL_COMMANDS", False)
        return _Parsed(command, all_commands() if wants_all else own, options)
    whole = all_commands()
    options = whole.parse_args(arguments)
    return _Parsed(_command(options.command or NO_COMMAND), whole, options)


def all_commands() -> argparse.ArgumentParser:
    """The parser of the whole command line."""
    parser = _Parser(
        prog="benchmate",
        description="Follows along at the bench while a band is knotted. Without a command it opens on your pieces.",
    )
    parser.add_argument("--version", action="version", version=__version__, help="print the version")
    parsers = parser.add_subparsers(dest="command", metavar="COMMAND")
    for command in map(_command, COMMANDS):
        command.arguments(parsers.add_parser(command.NAME, help=command.SAYS, description=_description(command)))
    return parser


def _command(name: str) -> Command:
    return cast(Command, import_module(f"benchmate.commands.{name.replace('-', '_')}"))


def _description(command: Command) -> str:
    return f"{command.SAYS[0].upper()}{command.SAYS[1:]}."


class _Parser(argparse.ArgumentParser):
    """A parser whose messages, which repeat what was typed, cannot drive a terminal."""

    def error(self, message: str) -> NoReturn:
        """Prints the message and leaves with status 2."""
        from benchmate.files.words import shown

        super().error(shown(message))
