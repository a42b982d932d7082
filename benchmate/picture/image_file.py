"""Opens a picture file safely: the result is an image, or one line that says what is wrong."""

import logging
import warnings
from io import BytesIO
from typing import TYPE_CHECKING, NamedTuple

from benchmate.files.regular_file import CannotRead, read_regular
from benchmate.picture.bad_image import DAMAGED, BadImage
from benchmate.picture.large_image import IN_STRIPS, in_strips
from benchmate.picture.upright import on_ground, turn_of

if TYPE_CHECKING:
    from PIL.Image import Image

    from benchmate.picture.strips import Strips

MOST_BYTES = 50_000_000
MOST_PIXELS = 64_000_000
MOST_STRETCHED = 100
"""How many times longer one side of a picture may be than the other."""

FORMATS = ("PNG", "JPEG", "GIF", "WEBP", "BMP", "TIFF", "PPM")

_SAVE_AS = "save it as PNG or JPEG"
_NOT_READ = f"this is not a {', '.join(FORMATS[:-1])} or {FORMATS[-1]} picture: {_SAVE_AS}"
_EMPTY = "this file is empty: a picture needs at least one pixel"

# How files of these formats start, by the published specifications. None of them can be read.
_UNSUPPORTED = (
    (b"<svg", "this is a drawing of lines (SVG), not a picture of pixels"),
    (b"%PDF", "this is a page (PDF), not a picture"),
)
_HIGH_EFFICIENCY = (b"heic", b"heix", b"hevc", b"mif1", b"msf1", b"avif", b"avis")


class Picture(NamedTuple):
    """An upright image in mode RGB, or a large one in strips, and notes for the maker on how it was read."""

    image: "Image | Strips"
    notes: tuple[str, ...]


def open_picture(name: str, ground: str = "#ffffff") -> Picture:
    """The picture in the file `name`, with the colour `ground` (`#rrggbb`) behind transparent parts.

    If a file has several pictures, the first is used. A picture is turned upright if its camera recorded how. An ICC
    colour profile is ignored: all levels count as sRGB. Transparent parts are blended in levels, as browsers do.
    Nothing is decoded until the header has given the size. Raises BadImage.
    """
    data = _read_bytes(name)
    _refuse_by_beginning(data)
    log = logging.getLogger("PIL")
    if not log.handlers:
        # Without one, Python prints what the library logs.
        log.addHandler(logging.NullHandler())
    with warnings.catch_warnings():
        # The library's warnings are no use to the maker; a file it cannot read raises an error.
        warnings.simplefilter("ignore")
        image, several = _decoded(data, ground)
    note = "the file has several pictures; the first is used"
    return Picture(image, (note,) if several else ())


def _read_bytes(name: str) -> bytes:
    """All bytes of a regular file of at most `MOST_BYTES`; raises BadImage."""
    try:
        data = read_regular(name, MOST_BYTES)
    except CannotRead as error:
        raise BadImage(str(error)) from None
    if len(data) > MOST_BYTES:
        raise BadImage(f"this file is larger than the limit of {MOST_BYTES // 1_000_000} MB: make it smaller")
    return data


def _refuse_by_beginning(data: bytes) -> None:
    """Raise BadImage for an empty file, and for known formats that cannot be read."""
    if not data:
        raise BadImage(_EMPTY)
    if data[4:8] == b"ftyp" and data[8:12] in _HIGH_EFFICIENCY:
        raise BadImage(f"this is a HEIC or AVIF picture, which cannot be read: {_SAVE_AS}")
    beginning = data[:1000].lstrip(b"\xef\xbb\xbf \t\r\n")
    for mark, what in _UNSUPPORTED:
        if beginning.startswith(mark) or (beginning.startswith((b"<?xml", b"<!")) and mark in beginning):
            raise BadImage(f"{what}: {_SAVE_AS}")


def _decoded(data: bytes, ground: str) -> tuple["Image | Strips", bool]:
    """The first picture in `data`, upright and in mode RGB, and whether there are several; raises BadImage."""
    from PIL import Image, UnidentifiedImageError

    try:
        # `verify` compares the checksums in the file. The image cannot be loaded after that, so it is opened again.
        with Image.open(BytesIO(data), formats=FORMATS) as image:
            _refuse_by_size(*image.size)
            image.verify()
        image = Image.open(BytesIO(data), formats=FORMATS)
        several = bool(getattr(image, "is_animated", False))
        if image.width * image.height > IN_STRIPS:
            return in_strips(image, data, ground), several
        image.load()
        _refuse_by_size(*image.size)
    except BadImage:
        raise
    except Image.DecompressionBombError:
        raise BadImage(_too_large()) from None
    except UnidentifiedImageError:
        raise BadImage(_NOT_READ) from None
    except Exception:
        # On a hostile file a decoder can raise anything, from struct.error to KeyError.
        raise BadImage(DAMAGED) from None
    how = turn_of(image)
    return on_ground(image if how is None else image.transpose(how), ground), several


def _refuse_by_size(width: int, height: int) -> None:
    if width < 1 or height < 1:
        raise BadImage(_EMPTY)
    if width * height > MOST_PIXELS:
        raise BadImage(_too_large(width, height))
    if max(width, height) > MOST_STRETCHED * min(width, height):
        raise BadImage(
            f"this picture is {width} by {height} pixels: one side may be at most {MOST_STRETCHED} times the other, "
            "so crop it to the part you want"
        )


def _too_large(width: int = 0, height: int = 0) -> str:
    size = f" is {width} by {height} pixels and" if width else ""
    return f"this picture{size} is larger than the limit of {MOST_PIXELS // 1_000_000} million pixels: make it smaller"
