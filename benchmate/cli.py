"""The command line: lists the commands, runs one and exits with its status. Each command is a module of `commands`."""

import argparse
import errno
import os
import stat
import sys
from collections.abc import Sequence
from contextlib import suppress
from importlib import import_module
from typing import Any, NamedTuple, NoReturn, Protocol, cast

from benchmate import __version__
from benchmate.commands.shared.standard_streams import SafeStream, prepare
from benchmate.exit_status import BAD_INPUT, BAD_STORE, DONE, FAULT

PREPARING = ("thread", "gauge", "fit", "cut", "box", "time")
"""The commands for what comes before the first knot, in a folder of their own."""
TROUBLE = ("why", "mend", "where", "lasts")
"""The commands for when something went wrong, likewise."""
COMMANDS = (
    "follow",
    "check",
    "order",
    "untie",
    *TROUBLE,
    *PREPARING,
    "designs",
    "pieces",
    "keep",
    "restore",
    "letters",
    "picture",
    "draw",
    "help",
    "completion",
)
"""The names of the commands, in the order of the help."""
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
    out, err = prepare()
    status = DONE
    try:
        status = main(sys.argv[1:])
    except SystemExit as left:
        status = left.code if isinstance(left.code, int) else DONE
    except KeyboardInterrupt:
        pass
    except Exception as error:
        # What the streams met is reported below. Any other error is a fault of the program and is shown in full.
        if error is not out.failure:
            import traceback

            status = FAULT
            traceback.print_exception(error)
    # Nothing may be left for Python to print at its end, where errors can no longer be told.
    with suppress(OSError, KeyboardInterrupt):
        out.flush()
    if out.failure is not None:
        status = _lost_output(out, out.failure, status)
    if status == DONE and err.failure is not None and not _reader_left(err, err.failure):
        status = BAD_STORE
    sys.exit(status)


def _reader_left(stream: SafeStream, failure: OSError) -> bool:
    """True when the program or the terminal that was to take the output is gone, so that nobody misses it."""
    hung_up = failure.errno == errno.EIO and stat.S_ISCHR(os.fstat(stream.fileno()).st_mode)
    return hung_up or isinstance(failure, BrokenPipeError)


def _lost_output(out: SafeStream, failure: OSError, status: int) -> int:
    """Says that not all output was written, unless its reader has left; returns the exit status."""
    left = _reader_left(out, failure)
    os.dup2(os.open(os.devnull, os.O_WRONLY), out.fileno())
    if left:
        return status
    from benchmate.files.safe_text import shown

    why = f"standard output cannot be written to ({shown(failure.strerror or str(failure))})"
    if failure.errno in (errno.ENOSPC, errno.EDQUOT):
        why = "disk full"
    print(f"benchmate: {why}; the output is incomplete", file=sys.stderr)
    return BAD_STORE


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
    from benchmate.store.errors import StoreError

    if isinstance(error, StoreError):
        from benchmate.files.safe_text import shown

        print(f"benchmate: {shown(str(error))}", file=sys.stderr)
        return BAD_STORE
    return None


class _Parsed(NamedTuple):
    """A parsed command line."""

    command: Command
    parser: argparse.ArgumentParser
    options: argparse.Namespace


def _parsed(arguments: Sequence[str]) -> _Parsed:
    if arguments and arguments[0] in COMMANDS:
        # Only the named command is imported.
        command = _command(arguments[0])
        own = _Parser(prog=f"benchmate {command.NAME}", description=_description(command))
        command.add_arguments(own)
        options = own.parse_args(arguments[1:])
        wants_all = getattr(command, "WANTS_ALL_COMMANDS", False)
        return _Parsed(command, all_commands() if wants_all else own, options)
    if all(each.startswith(("--plain", "--width")) or each.isdigit() for each in arguments):
        # So is none where none is named.
        alone = _whole_parser()
        return _Parsed(_command(NO_COMMAND), alone, alone.parse_args(arguments))
    whole = all_commands()
    options = whole.parse_args(arguments)
    if options.command is not None and (options.plain_list or options.list_width is not None):
        whole.error("--plain and --width before a command are for the list alone; follow has its own, after its name")
    return _Parsed(_command(options.command or NO_COMMAND), whole, options)


def all_commands() -> argparse.ArgumentParser:
    """The parser of the whole command line."""
    parser = _whole_parser()
    parsers = parser.add_subparsers(dest="command", metavar="COMMAND")
    for command in map(_command, COMMANDS):
        own = parsers.add_parser(command.NAME, help=command.SUMMARY, description=_description(command))
        command.add_arguments(own)
    return parser


def _whole_parser() -> argparse.ArgumentParser:
    """The parser of the command line without commands."""
    parser = _Parser(
        prog="benchmate",
        description="Follows along while you knot a band. Without a command, it opens the list of your pieces.",
    )
    parser.add_argument("--version", action="version", version=__version__, help="print the version")
    _command(NO_COMMAND).add_arguments(parser)
    return parser


def _command(name: str) -> Command:
    return cast(Command, import_module(module_of(name)))


def module_of(name: str) -> str:
    """The full name of a command's module."""
    folder = "preparing." if name in PREPARING else "trouble." if name in TROUBLE else ""
    return f"benchmate.commands.{folder}{name}"


def _description(command: Command) -> str:
    return f"{command.SUMMARY[0].upper()}{command.SUMMARY[1:]}."


class _Parser(argparse.ArgumentParser):
    """A parser that prints plain text, and each message on one line although it repeats what was typed."""

    def __init__(self, *arguments: Any, **options: Any) -> None:
        super().__init__(*arguments, **options)
        # From Python 3.14, a parser adds colours by default.
        self.color = False

    def error(self, message: str) -> NoReturn:
        """Prints the message and exits with status 2."""
        from benchmate.files.safe_text import shown

        super().error(shown(message))
