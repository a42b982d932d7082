"""`picture`: an alpha design from an image."""

import argparse
import os
import sys
from collections.abc import Iterator

from benchmate.commands.shared.given_threads import EXAMPLE, colours_option, thread, unknown_colour
from benchmate.commands.shared.links import link_options, linked_text
from benchmate.commands.shared.options import number, output_options
from benchmate.exit_status import BAD_INPUT

NAME = "picture"
SUMMARY = "write a design from an image, knotted along the band"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Adds the image, how to chart it, and where to write the design."""
    image = parser.add_argument("image", metavar="IMAGE", help="a PNG, JPEG or other image file")
    # After `--colours`, argparse takes the image for another colour; `run` separates them.
    image.required = False
    parser.add_argument("--columns", metavar="N", type=number, required=True, help="the width of the band in knots")
    colours_option(
        parser, "your own threads to choose from, such as deep=#0b3c5d foam=ivory (default: colours found in the image)"
    )
    parser.add_argument(
        "--count", metavar="N", type=number, default=4, help="how many colours to find in the image (default: 4)"
    )
    parser.add_argument(
        "--ground", metavar="COLOUR", default="white", help="the colour behind transparent areas (default: white)"
    )
    parser.add_argument("--tidy", action="store_true", help="remove stray single knots")
    parser.add_argument("--dither", action="store_true", help="mix colours knot by knot where no thread matches")
    parser.add_argument("--title", metavar="TEXT", help="the design's title (default: the image's name)")
    link_options(parser)
    output_options(parser)


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Writes the design, and prints notes on the chart on standard error."""
    from benchmate.commands.shared.output import write_output
    from benchmate.commands.shared.thread.thread_needed import known_floss, thread_needed
    from benchmate.files.css import parse_colour
    from benchmate.files.safe_text import quoted, shown
    from benchmate.picture.as_design import design_text, size_in_words
    from benchmate.picture.bad_image import BadImage
    from benchmate.picture.charting import BadChart, chart_of
    from benchmate.picture.image_file import open_picture

    if options.tidy and options.dither:
        parser.error("--tidy removes the single knots that --dither makes; choose one of them")
    file, threads = _image_and_threads(parser, options.image, options.colours)
    ground = parse_colour(options.ground)
    if ground is None:
        parser.error(f"--ground: {quoted(options.ground)} is not a CSS colour")
    try:
        image, notes = open_picture(file, ground)
        chart = chart_of(
            image, options.columns, threads or None, count=options.count, dither=options.dither, tidy=options.tidy
        )
        title = options.title or os.path.splitext(os.path.basename(file))[0]
        title = shown(title)[:60] or "A picture"
        text = linked_text(parser, options, lambda start, finish: design_text(chart, title, start=start, finish=finish))
    except BadImage as error:
        print(f"{shown(file)}: {error}", file=sys.stderr)
        return BAD_INPUT
    except BadChart as error:
        parser.error(str(error))
    floss = known_floss()
    size = size_in_words(chart.columns, len(chart.rows), floss.estimate.gauge, floss.units)
    for note in (*notes, size, thread_needed(text, options.output, floss)):
        print(note, file=sys.stderr)
    return write_output(parser, text, options)


def _image_and_threads(
    parser: argparse.ArgumentParser, image: str | None, values: list[str]
) -> tuple[str, dict[str, str]]:
    """The image, which may be among the values of `--colours`, and the threads by name."""
    from benchmate.files.safe_text import quoted

    images = [] if image is None else [image]
    threads: dict[str, str] = {}
    for text in _split_at_commas(values):
        each = thread(text)
        if each is not None:
            name, colour = each
            if name in threads:
                parser.error(f"--colours: {quoted(name)} is given twice")
            threads[name] = colour
        elif image is None and os.path.lexists(text):
            images.append(text)
        elif (unknown := unknown_colour(text)) is not None:
            parser.error(f"--colours: {quoted(unknown)} is not a CSS colour")
        elif image is not None:
            parser.error(f"--colours: {quoted(text)} must be {EXAMPLE}")
        else:
            parser.error(f"--colours: {quoted(text)} must be {EXAMPLE}, or an image file")
    if not images:
        parser.error("the following arguments are required: IMAGE")
    if len(images) > 1:
        parser.error(f"choose one image: {' or '.join(map(quoted, images))}")
    return images[0], threads


def _split_at_commas(values: list[str]) -> Iterator[str]:
    """The values one by one, split at commas; the name of an existing file stays in one piece."""
    for value in values:
        parts = [part for part in value.split(",") if part]
        if os.path.lexists(value) and None in map(thread, parts):
            yield value
        else:
            yield from parts
