"""Writing what a command made: to standard output, or whole or not at all to a file, never over one unasked."""

import argparse
import os
import sys
from contextlib import suppress

from benchmate.commands.shared.exit_status import BAD_INPUT, DONE
from benchmate.files.words import shown


class NotWritten(Exception):
    """A file could not be written: one line of plain words."""


class Exists(NotWritten):
    """There is a file of that name already."""

    def __init__(self) -> None:
        super().__init__("there is such a file already: add --force to write over it")


def deliver(parser: argparse.ArgumentParser, content: str | bytes, options: argparse.Namespace) -> int:
    """Writes to where the options of `output_options` say; answers the exit status."""
    try:
        write_out(content, options.output, force=options.force)
    except Exists as error:
        parser.error(f"{shown(options.output)}: {error}")
    except NotWritten as error:
        print(f"{shown(options.output)}: {error}", file=sys.stderr)
        return BAD_INPUT
    return DONE


def write_out(content: str | bytes, file: str | None, *, force: bool = False) -> None:
    """Writes to standard output, or whole or not at all to a file. Raises Exists and NotWritten.

    A file that exists is left as it is unless `force`.
    """
    data = content.encode() if isinstance(content, str) else content
    if file is None:
        sys.stdout.flush()
        sys.stdout.buffer.write(data)
        sys.stdout.buffer.flush()
        return
    if os.path.isdir(file):
        raise NotWritten("this is a folder, not a file")
    if os.path.lexists(file) and not force:
        raise Exists
    fresh = f"{file}.{os.getpid()}.new"
    try:
        with open(fresh, "xb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        if force:
            os.replace(fresh, os.path.realpath(file))
        else:
            # Unlike a rename this fails when the file has come to be meanwhile.
            os.link(fresh, file)
            os.unlink(fresh)
    except FileExistsError:
        _remove(fresh)
        raise Exists from None
    except OSError as error:
        _remove(fresh)
        raise NotWritten(f"this file cannot be written: {error.strerror}") from error


def _remove(file: str) -> None:
    with suppress(OSError):
        os.unlink(file)
