"""Writing what a command made, to standard output or to a file."""

import argparse
import sys

from benchmate.commands.shared.exit_status import BAD_INPUT, DONE
from benchmate.files.atomic_write import AlreadyExists, NotWritten, write_atomically
from benchmate.files.safe_text import shown


def write_output(parser: argparse.ArgumentParser, content: str | bytes, options: argparse.Namespace) -> int:
    """Writes where the options of `output_options` say; returns the exit status."""
    try:
        write_content(content, options.output, force=options.force)
    except AlreadyExists as error:
        parser.error(f"{shown(options.output)}: {error}")
    except NotWritten as error:
        print(f"{shown(options.output)}: {error}", file=sys.stderr)
        return BAD_INPUT
    return DONE


def write_content(content: str | bytes, file: str | None, *, force: bool = False) -> None:
    """Writes to standard output, or to a file completely or not at all. Raises AlreadyExists and NotWritten.

    An existing file is replaced only with `force`.
    """
    data = content.encode() if isinstance(content, str) else content
    if file is not None:
        write_atomically(file, data, force=force)
        return
    sys.stdout.flush()
    sys.stdout.buffer.write(data)
    sys.stdout.buffer.flush()
