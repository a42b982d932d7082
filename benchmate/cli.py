"""The command line: lists the commands, runs one and exits with its status. Each command is a module of `commands`."""

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
"""The names of the commands, in the order of the help; each is the module of that name in `commands`."""
NO_COMMAND = "app"
"""The module that runs when no command is given."""


class Command(Protocol):
    """What a command's module contains.

    `run` gets the command's own parser, or with `WANTS_ALL_COMMANDS = True` in the module, the parser of all commands.
    """

    NAME: str
    SUMMARY: str

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        """Adds the command's arguments to its parser."""

    def run(self, parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
        """Runs the command; returns the exit status. May raise BadFile and StoreError, which `main` prints."""


def run() -> None:
    """The console script: runs the command line and exits with its status."""
    # Python has no object for a stream that was closed before the start, and would print to the other one instead.
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
        # The reader of the output has left. The rest of it must not fail again when Python closes the stream.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        status = DONE
    except OSError as error:
        if error.errno != errno.ENOSPC:
            raise
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        print("benchmate: disk full; the output is incomplete", file=sys.stderr)
        status = BAD_STORE
    sys.exit(status)


def main(arguments: Sequence[str]) -> int:
    """Runs one command line; returns the exit status. A faulty one prints its message and raises SystemExit(2)."""
    command, parser, options = _parsed(arguments)
    try:
        return command.run(parser, options)
    except Exception as error:
        # The two kinds that are printed are imported only when something was raised; every other is raised again.
        status = _print_error(error)
        if status is None:
            raise
        return status


def _print_error(error: Exception) -> int | None:
    """Prints a BadFile or StoreError and returns the exit status; None for every other error."""
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
    """A parsed command line."""

    command: Command
    parser: argparse.ArgumentParser
    options: argparse.Namespace


def _parsed(arguments: Sequence[str]) -> _Parsed:
    if arguments and arguments[0] in COMMANDS:
        # Import only the named command.
        command = _command(arguments[0])
        own = _Parser(prog=f"benchmate {command.NAME}", description=_description(command))
        command.add_arguments(own)
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
        description="Follows along while you knot a band. Without a command, it opens the list of your pieces.",
    )
    parser.add_argument("--version", action="version", version=__version__, help="print the version")
    parsers = parser.add_subparsers(dest="command", metavar="COMMAND")
    for command in map(_command, COMMANDS):
        own = parsers.add_parser(command.NAME, help=command.SUMMARY, description=_description(command))
        command.add_arguments(own)
    return parser


def _command(name: str) -> Command:
    return cast(Command, import_module(f"benchmate.commands.{name.replace('-', '_')}"))


def _description(command: Command) -> str:
    return f"{command.SUMMARY[0].upper()}{command.SUMMARY[1:]}."


class _Parser(argparse.ArgumentParser):
    """A parser whose messages cannot control the terminal, although they repeat what was typed."""

    def error(self, message: str) -> NoReturn:
        """Prints the message and exits with status 2."""
        from benchmate.files.safe_text import shown

        super().error(shown(message))
