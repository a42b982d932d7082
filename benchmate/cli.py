"""The commands. Each imports what it needs when it runs, so that none pays for another."""

import argparse
import errno
import io
import os
import sys
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, NamedTuple, NoReturn

from benchmate import __version__

if TYPE_CHECKING:
    from benchmate.craft.design import Design
    from benchmate.craft.orders import Order
    from benchmate.craft.ways import Way
    from benchmate.craft.work import Work
    from benchmate.design_files.load import DesignFile
    from benchmate.piece_opening import Kept, Opening

DONE, BAD_INPUT, BAD_COMMAND, BAD_STORE = 0, 1, 2, 3
"""Exit statuses."""


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
    parser = _parser()
    options = parser.parse_args(arguments)
    command = options.command or "app"
    return COMMANDS[command](parser, options)


class _Parser(argparse.ArgumentParser):
    """A parser whose messages, which repeat what was typed, cannot drive a terminal."""

    def error(self, message: str) -> NoReturn:
        """Prints the message and leaves with status 2."""
        super().error(_plain(message))


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(
        prog="benchmate",
        description="Follows along at the bench while a band is knotted. Without a command it opens on your pieces.",
    )
    parser.add_argument("--version", action="version", version=__version__)
    commands = parser.add_subparsers(dest="command", metavar="COMMAND")

    follow = commands.add_parser("follow", help="open the bench on a design, or go on with its unfinished piece")
    follow.add_argument("design", metavar="DESIGN")
    _working(follow, None)
    follow.add_argument("--new", action="store_true", help="begin a new piece, whatever is unfinished")
    follow.add_argument("--plain", action="store_true", help="line by line, without the full screen")

    check = commands.add_parser("check", help="say whether design files are good, and where they are not")
    check.add_argument("designs", metavar="DESIGN", nargs="+")

    order = commands.add_parser("order", help="list every step in working order")
    order.add_argument("design", metavar="DESIGN")
    _working(order, "rows")
    order.add_argument("--json", action="store_true", help="as one JSON document")

    pieces = commands.add_parser("pieces", help="list the pieces under way and finished")
    pieces.add_argument("--json", action="store_true", help="as one JSON document")

    untie = commands.add_parser("untie", help="say which steps must come out to reach a wrong one")
    untie.add_argument("design", metavar="DESIGN")
    _working(untie, "rows")
    untie.add_argument("--done", metavar="N", type=_number, required=True, help="how many steps are done")
    untie.add_argument("--knot", metavar="K", type=_number, required=True, help="the step that is wrong, from 1")
    untie.add_argument("--json", action="store_true", help="as one JSON document")

    letters = commands.add_parser("letters", help="write a design of letters, knotted along the band")
    letters.add_argument("text", metavar="TEXT")
    letters.add_argument("--rows", type=int, choices=[5, 7, 9], default=7, help="how many knots tall the capitals are")
    letters.add_argument(
        "--upside-down", action="store_true", help="the other way up: read from the end of the band to its beginning"
    )
    _made(letters)

    picture = commands.add_parser("picture", help="write a design that shows an image, knotted along the band")
    picture.add_argument("image", metavar="IMAGE")
    picture.add_argument("--columns", metavar="N", type=_number, required=True, help="how many knots wide")
    picture.add_argument(
        "--colours",
        metavar="NAME=COLOUR",
        nargs="+",
        default=[],
        help="your own threads to choose from, such as deep=#0b3c5d foam=ivory (else found in the image)",
    )
    picture.add_argument("--count", metavar="N", type=_number, default=4, help="how many colours to find (4)")
    picture.add_argument("--ground", metavar="COLOUR", default="white", help="behind what is transparent (white)")
    picture.add_argument("--tidy", action="store_true", help="without stray single knots")
    picture.add_argument("--dither", action="store_true", help="mix colours knot by knot where none fits")
    picture.add_argument("--title", metavar="TEXT", help="the design's title (the image's name)")
    _made(picture)

    draw = commands.add_parser("draw", help="show the finished band, in the terminal or as a PNG or SVG picture")
    draw.add_argument("design", metavar="DESIGN")
    draw.add_argument("--repeats", metavar="N", type=_number, help="in place of the design's own number of repeats")
    _made(draw, "FILE.png|FILE.svg", "write a picture to this file (shown in the terminal)")
    return parser


def _made(
    parser: argparse.ArgumentParser, file: str = "FILE", says: str = "write to this file (standard output)"
) -> None:
    parser.add_argument("-o", "--output", metavar=file, help=says)
    parser.add_argument("--force", action="store_true", help="write over FILE if there is one")


def _working(parser: argparse.ArgumentParser, default: str | None) -> None:
    parser.add_argument(
        "--by",
        choices=["rows", "segments"],
        default=default,
        help="row by row, or in segments: each string kept in hand as long as can be (rows)",
    )
    parser.add_argument("--from-right", action="store_true", help="work from the right, as left-handed makers may")
    parser.add_argument("--mirror", action="store_true", help="work the design as its own mirror image")
    parser.add_argument("--repeats", metavar="N", type=_number, help="in place of the design's own number of repeats")


def _number(text: str) -> int:
    """A whole number from 1, in plain digits."""
    if not (text.isascii() and text.isdigit() and len(text) <= 9) or int(text) < 1:
        raise argparse.ArgumentTypeError(f"{_plain(text)[:40]!r} is not a whole number from 1 to 999999999")
    return int(text)


def _plain(text: str) -> str:
    return "".join(letter if letter.isprintable() else "?" for letter in text)


def app(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """The full screen, on the pieces under way and the designs that ship."""
    if not _terminal():
        parser.error("this needs a terminal; name a command, such as: benchmate follow DESIGN --plain")
    return _stored(lambda: _read(_bench_at_home))


def _bench_at_home() -> int:
    from benchmate.bench.start import open_home

    return open_home()


def _terminal() -> bool:
    return all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout))


def follow(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """The bench on one design."""
    plain = options.plain
    if not plain and not _terminal():
        print("Not in a terminal: going on in plain lines.", file=sys.stderr)
        plain = True

    def opened() -> int:
        from benchmate import piece_opening as opening

        kept = opening.Kept()
        try:
            try:
                wish = opening.Wish(options.by, options.repeats, options.from_right, options.mirror)
                found = opening.follow(kept, options.design, wish, new=options.new)
            except opening.OutOfRange as error:
                parser.error(f"--repeats: {error}")
            if plain:
                return _plainly(parser, kept, found)
            from benchmate.bench.start import open_bench

            return open_bench(kept, found)
        finally:
            kept.close()

    return _stored(lambda: _read(opened))


def _plainly(parser: argparse.ArgumentParser, kept: "Kept", found: "Opening") -> int:
    from benchmate import plain
    from benchmate.store.database import StoreError
    from benchmate.store.pieces import TakenOver

    if found.asked:
        parser.error(f"the piece under way is {found.asked}; add --new to begin another")
    try:
        found.held.hold()
    except TakenOver:
        print("This piece is open in another window. Leave it there first.", file=sys.stderr)
        return BAD_INPUT
    try:
        status = plain.run(found, sys.stdin or io.StringIO(), sys.stdout, sys.stderr)
    finally:
        found.held.let_go()
    try:
        kept.keep_copy()
    except StoreError as error:
        print(f"benchmate: {error}", file=sys.stderr)
    return status


def check(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """One line a good file on standard output; every problem on standard error."""
    from benchmate.design_files.load import load
    from benchmate.files.tree import BadFile, format_problem
    from benchmate.files.words import shown

    status = DONE
    for given in options.designs:
        try:
            file = load(given)
        except BadFile as bad:
            print("\n".join(bad.lines()), file=sys.stderr)
            status = BAD_INPUT
            continue
        for warning in file.warnings:
            print(format_problem(given, warning), file=sys.stderr)
        print(f"{shown(given)}: ok, {_summary(file.design)}{_with_ends(file)}")
    return status


def _summary(design: "Design") -> str:
    what = design.family.summary(design.body, design.repeats)
    if design.repeats > 1:
        what.append(f"{design.repeats} repeats")
    return ", ".join([design.family.name, *what])


def _with_ends(file: "DesignFile") -> str:
    from benchmate.craft.design import steps_in

    ends = [(called, end.design) for called, end in (("start", file.start), ("finish", file.finish)) if end]
    if not ends:
        return ""
    steps = steps_in(file.design) + sum(steps_in(design) for _, design in ends)
    return f", with its {' and '.join(called for called, _ in ends)} {_count(steps, 'step')}"


def _count(number: int, called: str) -> str:
    return f"{number} {called}" if number == 1 else f"{number} {called}s"


def order(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Every step in working order."""

    def listed() -> int:
        from benchmate import listing

        worked = _worked(parser, options)
        write = listing.order_json if options.json else listing.order_lines
        sys.stdout.write(write(worked.design, worked.work, worked.order, worked.way))
        return DONE

    return _read(listed)


def untie(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """The fewest steps that have to come out to reach a wrong one."""

    def listed() -> int:
        from benchmate import listing

        worked = _worked(parser, options)
        if options.done > worked.work.size:
            parser.error(f"--done: this design has {worked.work.size} steps, not {options.done}")
        if options.knot > options.done:
            parser.error(f"--knot: only steps 1 to {options.done} are done, not {options.knot}")
        write = listing.untie_json if options.json else listing.untie_lines
        sys.stdout.write(write(worked.design, worked.work, worked.order, options.done, options.knot))
        return DONE

    return _read(listed)


class _Worked(NamedTuple):
    """A design as the command line says that it is worked."""

    design: "Design"
    work: "Work"
    way: "Way"
    order: "Order"


def _worked(parser: argparse.ArgumentParser, options: argparse.Namespace) -> _Worked:
    from benchmate.craft.design import repeats_fault, work_for
    from benchmate.craft.ways import Way, order_of, way_for, worked_as
    from benchmate.design_files.load import load

    design = load(options.design).design
    if options.repeats is not None:
        fault = repeats_fault(design, options.repeats)
        if fault is not None:
            parser.error(f"--repeats: {fault}")
    way = way_for(design, Way(options.by, options.from_right, options.mirror))
    design = worked_as(design, way)
    work = work_for(design, options.repeats)
    return _Worked(design, work, way, order_of(work, way))


def pieces(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """The pieces under way and finished, last touched first."""

    def listed() -> int:
        from benchmate import piece_list
        from benchmate.store import places
        from benchmate.store.pieces import pieces_kept

        found = pieces_kept(places.database_file(), places.copy_file(), places.holders_folder())
        sys.stdout.write(piece_list.pieces_json(found) if options.json else piece_list.pieces_lines(found))
        return DONE

    return _stored(listed)


def make(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Makes a design, or a drawing of one."""
    from benchmate import making

    return _read(lambda: making.COMMANDS[options.command](parser, options))


COMMANDS = {
    "app": app,
    "follow": follow,
    "check": check,
    "order": order,
    "untie": untie,
    "pieces": pieces,
    "letters": make,
    "picture": make,
    "draw": make,
}
"""Every command by its name on the command line; `app` stands for none."""


def _read(action: Callable[[], int]) -> int:
    from benchmate.files.tree import BadFile

    try:
        return action()
    except BadFile as bad:
        print(bad, file=sys.stderr)
        return BAD_INPUT


def _stored(action: Callable[[], int]) -> int:
    from benchmate.store.database import StoreError

    try:
        return action()
    except StoreError as error:
        print(f"benchmate: {error}", file=sys.stderr)
        return BAD_STORE
