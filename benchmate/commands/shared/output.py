"""Writing what a command made, to standard output or to a file."""

import argparse
import sys

from benchmate.commands.shared.standard_streams import print_bytes
from benchmate.exit_status import BAD_INPUT, BAD_STORE, DONE
from benchmate.files.atomic_write import AlreadyExists, DiskFull, NotWritten, write_atomically
from benchmate.files.pipe_or_device import is_pipe_or_device, write_through
from benchmate.files.safe_text import printable, shown

STANDARD_OUTPUT = ("-", "/dev/stdout", "/dev/fd/1", "/proc/self/fd/1")
STANDARD_ERROR = ("/dev/stderr", "/dev/fd/2", "/proc/self/fd/2")
"""Names of the standard streams. By its name a stream cannot be opened where it is a socket, nor where it is a file."""


def write_output(parser: argparse.ArgumentParser, content: str | bytes, options: argparse.Namespace) -> int:
    """Writes where the options of `output_options` say; returns the exit status.

    See `write_content`. Exits with status 2 where a file exists and `--force` was not given.
    """
    try:
        write_content(content, options.output, force=options.force)
    except AlreadyExists as error:
        parser.error(f"{shown(options.output)}: {error}")
    except NotWritten as error:
        print(f"{shown(options.output)}: {error}", file=sys.stderr)
        return BAD_STORE if isinstance(error, DiskFull) else BAD_INPUT
    return DONE


def write_content(content: str | bytes, file: str | None, *, force: bool = False) -> None:
    """Writes to standard output (for None, `-` and /dev/stdout) or to a file. Raises AlreadyExists and NotWritten.

    A plain file is written completely or not at all, and replaced only with `force`. A named pipe and a device such as
    a terminal are never replaced: what was made goes into them, with or without `force`. A pipe that nobody reads yet
    is waited for, and a line on standard error says so.
    """
    data = content.encode() if isinstance(content, str) else content
    if file is None or file in (*STANDARD_OUTPUT, *STANDARD_ERROR):
        printed = printable(content).encode() if isinstance(content, str) else content
        print_bytes(printed, on_error_stream=file in STANDARD_ERROR)
    elif is_pipe_or_device(file):
        write_through(file, data, lambda: _say_waiting(file))
    else:
        write_atomically(file, data, force=force)


def _say_waiting(file: str) -> None:
    print(f"{shown(file)}: waiting for a program to read this pipe", file=sys.stderr)
