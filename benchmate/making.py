"""Designs made by a command: told before they are written, written where they are wanted, never over a file unasked."""

import argparse
import os
import shutil
import sys
from contextlib import suppress
from typing import TYPE_CHECKING

from benchmate.files.words import is_name, quoted, shown

if TYPE_CHECKING:
    from benchmate.craft.drawing import Layout

DONE, BAD_INPUT = 0, 1


def letters(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """A text as an alpha design."""
    from benchmate.letters.setting import CannotSet, design_text, measures, set_text

    try:
        setting = set_text(options.text, options.rows, upside_down=options.upside_down)
    except CannotSet as error:
        parser.error(str(error))
    print(f"{measures(setting).words}. {setting.words}", file=sys.stderr)
    return _written(parser, design_text(setting), options)


def picture(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """An image as an alpha design."""
    from benchmate.files.css import parse_colour
    from benchmate.picture.as_design import design_text, size_in_words
    from benchmate.picture.charting import BadChart, chart_of
    from benchmate.picture.image_file import BadImage, open_picture

    if options.tidy and options.dither:
        parser.error("--tidy and --dither: colours mixed knot by knot are nothing but single knots; choose one")
    threads = _threads(parser, options.colours)
    ground = parse_colour(options.ground)
    if ground is None:
        parser.error(f"--ground: {quoted(options.ground)} is no CSS colour")
    try:
        image, notes = open_picture(options.image, ground)
        chart = chart_of(
            image, options.columns, threads or None, count=options.count, dither=options.dither, tidy=options.tidy
        )
        title = options.title or os.path.splitext(os.path.basename(options.image))[0]
        text = design_text(chart, shown(title)[:60] or "A picture")
    except BadImage as error:
        print(f"{shown(options.image)}: {error}", file=sys.stderr)
        return BAD_INPUT
    except BadChart as error:
        parser.error(str(error))
    for note in (*notes, size_in_words(chart.columns, len(chart.rows))):
        print(note, file=sys.stderr)
    return _written(parser, text, options)


def _threads(parser: argparse.ArgumentParser, given: list[str]) -> dict[str, str]:
    """The maker's own threads, each given as `name=colour`."""
    from benchmate.files.css import parse_colour

    threads: dict[str, str] = {}
    for text in (part for each in given for part in each.split(",") if part):
        name, equals, colour = text.partition("=")
        value = parse_colour(colour if equals else name)
        if value is None or not is_name(name):
            parser.error(f"--colours: {quoted(text)} is no thread: give each as NAME=COLOUR, such as deep=#0b3c5d")
        if name in threads:
            parser.error(f"--colours: {quoted(name)} is given twice")
        threads[name] = value
    return threads


def draw(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """The finished band: in the terminal, or as a picture in a file."""
    from benchmate.craft.design import repeats_fault
    from benchmate.craft.drawing import CannotDraw
    from benchmate.design_files.load import load
    from benchmate.draw.drawn_words import drawn_words
    from benchmate.draw.layout import lay_out

    kind = os.path.splitext(options.output)[1].lower() if options.output is not None else ""
    if options.output is not None and kind not in (".png", ".svg"):
        parser.error(f"-o: {quoted(options.output)} ends neither in .png nor in .svg")
    design = load(options.design).design
    if options.repeats is not None and (fault := repeats_fault(design, options.repeats)) is not None:
        parser.error(f"--repeats: {fault}")
    try:
        layout = lay_out(design, options.repeats)
    except CannotDraw as error:
        print(f"{shown(options.design)}: {error}", file=sys.stderr)
        return BAD_INPUT
    if options.output is None:
        return _shown(layout)
    print(drawn_words(layout), file=sys.stderr)
    if kind == ".svg":
        from benchmate.draw.vector import svg

        return _written(parser, svg(layout), options)
    from benchmate.draw.raster import png

    return _written(parser, png(layout), options)


COMMANDS = {"letters": letters, "picture": picture, "draw": draw}
"""What can be made, by its name on the command line."""


def _shown(layout: "Layout") -> int:
    """The band in as much of the terminal as there is; all of it where there is none."""
    from benchmate.draw.in_terminal import in_terminal

    on_terminal = sys.stdout.isatty()
    width, height = shutil.get_terminal_size((80, 24))
    colours = on_terminal and not os.environ.get("NO_COLOR")
    lines = in_terminal(layout, width, height - 1 if on_terminal else None, colours=colours)
    print("\n".join(lines))
    return DONE


def _written(parser: argparse.ArgumentParser, content: str | bytes, options: argparse.Namespace) -> int:
    try:
        write_out(content, options.output, force=options.force)
    except Exists as error:
        parser.error(f"{shown(options.output)}: {error}")
    except NotWritten as error:
        print(f"{shown(options.output)}: {error}", file=sys.stderr)
        return BAD_INPUT
    return DONE


class NotWritten(Exception):
    """A file could not be written: one line of plain words."""


class Exists(NotWritten):
    """There is a file of that name already."""

    def __init__(self) -> None:
        super().__init__("there is such a file already: add --force to write over it")


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
