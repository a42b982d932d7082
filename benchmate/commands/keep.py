"""`keep`: everything saved, in one file."""

import argparse
import os
import sys

from benchmate.commands.shared.options import output_options
from benchmate.exit_status import BAD_INPUT, DONE

NAME = "keep"
SUMMARY = "write all your pieces to one file, to put in a safe place"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Adds the file."""
    output_options(parser, help_text="write to this file", required=True)
    parser.epilog = "It may run while a window is open. benchmate restore FILE takes the pieces back."


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Writes the file."""
    from contextlib import closing

    from benchmate.commands.shared.output import write_output
    from benchmate.craft.wording.counting import counted
    from benchmate.files.safe_text import shown
    from benchmate.store import places
    from benchmate.store.database import opened_to_read
    from benchmate.store.inspection import as_file
    from benchmate.store.safekeeping.copies import known_in, thread_known_in
    from benchmate.store.safekeeping.keeping import intact_content
    from benchmate.store.safekeeping.restoration import is_own_file

    home = places.home()
    if is_own_file(home, options.output):
        parser.error(f"{shown(options.output)}: the program keeps this file itself; choose another name")
    present = opened_to_read(home)
    if present is None:
        print("There are no pieces yet.", file=sys.stderr)
        return BAD_INPUT
    present.close()
    content, damage, lacks_piece = intact_content(home)
    with closing(content):
        if damage is not None and os.path.isfile(options.output):
            lacks = "the piece that is damaged" if lacks_piece else "what is damaged"
            print(f"{shown(options.output)}: not replaced, as it may have {lacks}", file=sys.stderr)
            raise damage
        count, threads = len(known_in(content)), thread_known_in(content)
        status = write_output(parser, as_file(content), options)
    if status == DONE:
        kept = f"the other {counted(count, 'piece')}" if lacks_piece else counted(count, "piece")
        if threads:
            kept = f"{kept}, the box and the gauges" if count else "the box and the gauges"
        print(f"{shown(options.output)}: {kept} kept", file=sys.stderr)
        if damage is not None:
            raise damage
    return status
