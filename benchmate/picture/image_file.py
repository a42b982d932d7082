"""Opens a picture file safely: the result is an image, or one line that says what is wrong."""

import warnings
from io import BytesIO
from typing import TYPE_CHECKING, NamedTuple

from benchmate.files.regular_file import CannotRead, read_regular

if TYPE_CHECKING:
    from PIL.Image import Image

MOST_BYTES = 50_000_000
MOST_PIXELS = 64_000_000
MOST_STRETCHED = 100
"""How many times longer one side of a picture may be than the other."""

FORMATS = ("PNG", "JPEG", "GIF", "WEBP", "BMP", "TIFF", "PPM")

_SAVE_AS = "save it as PNG or JPEG"
_NOT_READ = f"this is not a {', '.join(FORMATS[:-1])} or {FORMATS[-1]} picture: {_SAVE_AS}"
_DAMAGED = "this picture is damaged or incomplete: save or copy it again"
_EMPTY = "this file is empty: a picture needs at least one pixel"

# How files of these formats start, by the published specifications. None of them can be read.
_UNSUPPORTED = (
    (b"<svg", "this is a drawing of lines (SVG), not a picture of pixels"),
    (b"%PDF", "this is a page (PDF), not a picture"),
)
_HIGH_EFFICIENCY = (b"heic", b"heix", b"hevc", b"mif1", b"msf1", b"avif", b"avis")

# Exif 2.3, 4.6.4, tag 0x0112: how to turn the picture upright.
_ORIENTATION = 0x0112
_UPRIGHT = {
    2: "FLIP_LEFT_RIGHT",
    3: "ROTATE_180",
    4: "FLIP_TOP_BOTTOM",
    5: "TRANSPOSE",
    6: "ROTATE_270",
    7: "TRANSVERSE",
    8: "ROTATE_90",
}


class BadImage(ValueError):
    """A file that cannot be charted. The message is one line and quotes nothing from the file."""


class Picture(NamedTuple):
    """An upright image in mode RGB, and notes for the maker on how it was read."""

    image: "Image"
    notes: tuple[str, ...]


def open_picture(name: str, ground: str = "#ffffff") -> Picture:
    """The picture in the file `name`, with the colour `ground` (`#rrggbb`) behind transparent parts.

    If a file has several pictures, the first is used. A picture is turned upright if its camera recorded how. An ICC
    colour profile is ignored: all levels count as sRGB. Transparent parts are blended in levels, as browsers do.
    Nothing is decoded until the header has given the size. Raises BadImage.
    """
    data = _read_bytes(name)
    _refuse_by_beginning(data)
    with warnings.catch_warnings():
        # The library's warnings are no use to the maker; a file it cannot read raises an error.
        warnings.simplefilter("ignore")
        image, several = _decoded(data)
        flat = _on_ground(_turned(image), ground)
    note = "the file has several pictures; the first is used"
    return Picture(flat, (note,) if several else ())


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


def _decoded(data: bytes) -> tuple["Image", bool]:
    """The first picture in `data`, decoded, and whether there are several; raises BadImage."""
    from PIL import Image, UnidentifiedImageError

    try:
        # `verify` compares the checksums in the file. The image cannot be loaded after that, so it is opened again.
        with Image.open(BytesIO(data), formats=FORMATS) as image:
            _refuse_by_size(*image.size)
            image.verify()
        image = Image.open(BytesIO(data), formats=FORMATS)
        several = bool(getattr(image, "is_animated", False))
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
        raise BadImage(_DAMAGED) from None
    return image, several


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


def _turned(image: "Image") -> "Image":
    """The image turned upright."""
    from PIL import Image

    try:
        orientation = image.getexif().get(_ORIENTATION)
    except Exception:
        # If the camera's record cannot be read, for whatever reason, the picture is used as stored.
        return image
    how = _UPRIGHT.get(orientation) if isinstance(orientation, int) else None
    return image if how is None else image.transpose(Image.Transpose[how])


def _on_ground(image: "Image", ground: str) -> "Image":
    """The image in mode RGB, with a colour behind transparent parts; raises BadImage when it has no colours."""
    from PIL import Image

    if image.mode == "F" or (image.mode == "I" and image.format == "TIFF"):
        raise BadImage("this picture has measurements instead of colours: save it as PNG with 8 bits per channel")
    if image.mode.startswith("I"):
        # 16 bits per pixel: keep the upper 8.
        image = image.convert("I").point([level >> 8 for level in range(65_536)], "L")
        image.info.pop("transparency", None)
    try:
        if not image.has_transparency_data:
            return image.convert("RGB")
        seen = image.convert("RGBA")
    except Exception:
        # As above: an invalid palette or mask is noticed only here.
        raise BadImage(_DAMAGED) from None
    flat = Image.new("RGB", seen.size, ground)
    flat.paste(seen, mask=seen.getchannel("A"))
    return flat
