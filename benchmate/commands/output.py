"""Writing what a command made: to standard output, or whole or not at all to a file, never over one unasked."""

import argparse
import sys

from benchmate.commands.shared.exit_status import BAD_INPUT, DONE
from benchmate.files.whole_file import Exists, NotWritten, write_whole
from benchmate.files.words import shown


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
    if file is not None:
        write_whole(file, data, force=force)
        return
    sys.stdout.flush()
    sys.stdout.buffer.write(data)
    sys.stdout.buffer.flush()
