"""`box`: list, add and correct the threads you own."""

import argparse
import sys
from collections.abc import Callable

from benchmate.commands.shared.options import design_argument, json_option, number, output_options
from benchmate.exit_status import BAD_INPUT, DONE

NAME = "box"
SUMMARY = "list, add and correct the threads you own"
_EPILOG = (
    "Without a word it lists your threads, each with the number that the other words take. Lengths are in mm, or with "
    "their unit, such as 8m, 94cm or 26ft. See: benchmate help box"
)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Adds the words of the command, each with its arguments."""
    json_option(parser)
    parser.epilog = _EPILOG
    words = parser.add_subparsers(dest="word", metavar="WORD", help="what to do with the box (default: list it)")

    def word(name: str, says: str) -> argparse.ArgumentParser:
        return words.add_parser(name, help=says, description=f"{says[0].upper()}{says[1:]}.")

    add = word("add", "put a thread in")
    add.add_argument("name", metavar="NAME", help="its name, as you know it")
    _colour_option(add, required=True)
    _thread_options(add, "how long it is (default: 8000, a skein)")
    add.add_argument("--skeins", metavar="N", type=number, default=1, help="put in N of them (default: 1)")
    add.add_argument("--offcut", action="store_true", help="it is an offcut, or a skein that was cut into")
    change = word("change", "correct a thread")
    _number_argument(change)
    change.add_argument("--name", metavar="NAME", help="its name")
    _colour_option(change)
    _thread_options(change, "how long it is")
    sort = change.add_mutually_exclusive_group()
    sort.add_argument("--offcut", action="store_true", help="it is an offcut, or a skein that was cut into")
    sort.add_argument("--skein", action="store_true", help="it is a skein that was not cut into yet")
    take = word("take", "take threads out")
    _number_argument(take, nargs="+")
    word("undo", "undo the last change of the box")
    taking_in = word("import", "put in the threads of a CSV file")
    taking_in.add_argument("source", metavar="FILE", help="the file; its first line names the columns")
    taking_in.add_argument("--replace", action="store_true", help="take everything else out")
    writing = word("export", "write your threads as a CSV file, for a spreadsheet")
    output_options(writing)
    match = word("match", "list the threads nearest to a colour")
    match.add_argument("colour", metavar="COLOUR", help="a CSS colour, such as teal or #0b3c5d")
    _json_here(match)
    for_design = word("for", "say which of your threads is nearest to each colour of a design")
    design_argument(for_design)
    _json_here(for_design)


def _colour_option(parser: argparse.ArgumentParser, *, required: bool = False) -> None:
    parser.add_argument("--colour", metavar="COLOUR", required=required, help="a CSS colour, such as teal or #0b3c5d")


def _thread_options(parser: argparse.ArgumentParser, length: str) -> None:
    parser.add_argument("--length", metavar="LENGTH", help=length)
    parser.add_argument("--kind", metavar="KIND", help="the name of its gauge, such as floss (see: benchmate gauge)")
    parser.add_argument("--price", metavar="PRICE", help="what a whole skein costs, such as 1.20")


def _number_argument(parser: argparse.ArgumentParser, nargs: str | None = None) -> None:
    dest = "number" if nargs is None else "numbers"
    parser.add_argument(dest, metavar="NUMBER", type=number, nargs=nargs, help="the number it has in the list")


def _json_here(parser: argparse.ArgumentParser) -> None:
    """Adds --json after the word; where it is not given there, what was given before the word stays."""
    parser.add_argument("--json", action="store_true", default=argparse.SUPPRESS, help="print one JSON document")


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Lists the box, changes it, or looks for a colour in it."""
    if options.json and options.word not in (None, "match", "for"):
        parser.error(f"{options.word} prints no document")
    reading: dict[str | None, Callable[[argparse.ArgumentParser, argparse.Namespace], int]] = {
        None: _list,
        "export": _export,
        "match": _match,
        "for": _for,
    }
    return reading.get(options.word, _change)(parser, options)


def _list(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    from benchmate.commands.shared.thread import box_text
    from benchmate.commands.shared.thread.lengths_said import units

    found = box_text.threads_in_box()
    sys.stdout.write(box_text.document(found) if options.json else box_text.lines(found, units()))
    return DONE


def _export(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    from benchmate.commands.shared.output import write_output
    from benchmate.commands.shared.thread import box_text
    from benchmate.files.safe_text import shown
    from benchmate.store import places
    from benchmate.store.safekeeping.restoration import is_own_file
    from benchmate.store.thread import box_file

    if options.output is not None and is_own_file(places.home(), options.output):
        parser.error(f"-o: {shown(options.output)}: the program keeps this file itself; choose another name")
    return write_output(parser, box_file.written(box_text.threads_in_box()), options)


def _match(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    from benchmate.commands.shared.thread import box_text
    from benchmate.commands.shared.thread.box_changes import typed
    from benchmate.commands.shared.thread.lengths_said import units
    from benchmate.craft.thread.matching import matches
    from benchmate.store.thread.typed_thread import colour_of

    colour = typed(parser, "COLOUR", colour_of, options.colour)
    found = box_text.threads_in_box()
    if not found:
        return _say_empty()
    near = matches(colour, found)
    sys.stdout.write(box_text.matches_document(near) if options.json else box_text.match_lines(near, units()))
    return DONE


def _for(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    from benchmate.commands.shared.thread import box_text
    from benchmate.craft.thread.matching import in_threads
    from benchmate.design_files.load import load

    design = load(options.design).design
    found = box_text.threads_in_box()
    if not found:
        return _say_empty()
    chosen = in_threads(design, found)
    if options.json:
        sys.stdout.write(box_text.chosen_document(chosen))
    else:
        sys.stdout.write("".join(f"{line}\n" for line in box_text.chosen_lines(chosen, design.thread)))
    return DONE


def _say_empty() -> int:
    from benchmate.commands.shared.thread.box_text import EMPTY

    print(EMPTY, file=sys.stderr)
    return BAD_INPUT


def _change(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Changes the box; prints what was done, and makes a copy of all that is kept."""
    from contextlib import closing

    from benchmate.commands.shared.thread.box_changes import CHANGES
    from benchmate.files.safe_text import shown
    from benchmate.store import places
    from benchmate.store.database import Database
    from benchmate.store.errors import StoreError
    from benchmate.store.safekeeping.keeping import make_copy
    from benchmate.store.thread.box import Box, BoxFull, CannotUndo, NoSuchThread

    # Whatever was typed or is in a file is checked before a database is made for it.
    change = CHANGES[options.word](parser, options)
    home = places.home()
    try:
        with closing(Database(home)) as database:
            lines = change(Box(database))
    except NoSuchThread as error:
        parser.error(f"there is no thread {error.number} in your box; benchmate box lists them")
    except (BoxFull, CannotUndo) as error:
        print(shown(str(error)), file=sys.stderr)
        return BAD_INPUT
    for line in lines:
        print(shown(line))
    try:
        make_copy(home)
    except StoreError as error:
        print(f"benchmate: {shown(str(error))}", file=sys.stderr)
    return DONE
