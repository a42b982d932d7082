"""Opening a picture, whatever is in its file: either an image to work from, or one line that says what is wrong."""

import warnings
from io import BytesIO
from typing import TYPE_CHECKING, NamedTuple

from benchmate.files.regular_file import CannotRead, read_regular

if TYPE_CHECKING:
    from PIL.Image import Image

MOST_BYTES = 50_000_000
MOST_PIXELS = 64_000_000
MOST_STRETCHED = 100
"""How many times as long as the other a side of a picture may be."""

FORMATS = ("PNG", "JPEG", "GIF", "WEBP", "BMP", "TIFF", "PPM")

_SAVE_AS = "save it as PNG or JPEG"
_NOT_READ = f"this is no picture in a format that is read ({', '.join(FORMATS)}): {_SAVE_AS}"
_DAMAGED = "this picture is damaged or cut short: save or copy it anew"
_EMPTY = "this file is empty: a picture has at least one pixel"

# A file of these begins so, by the published descriptions of the formats; none of them is read.
_OTHERS = (
    (b"<svg", "this is a drawing of lines (SVG), not a picture of pixels"),
    (b"%PDF", "this is a page (PDF), not a picture"),
)
_HIGH_EFFICIENCY = (b"heic", b"heix", b"hevc", b"mif1", b"msf1", b"avif", b"avis")

# Exif 2.3, 4.6.4, tag 0x0112: what has to be done to see the picture upright.
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
    """A file that no chart can be made from: one line of plain words, of which nothing stands in the file."""


class Picture(NamedTuple):
    """An upright image in mode RGB, and what the maker should know about how it was read, in plain lines."""

    image: "Image"
    notes: tuple[str, ...]


def open_picture(name: str, ground: str = "#ffffff") -> Picture:
    """The picture in the file `name`, with the colour `ground` (`#rrggbb`) behind whatever is see-through in it.

    Of several pictures in one file the first is used. A picture is turned upright as its camera noted, if it noted it
    readably. A profile of colours (ICC) is passed over: levels are taken for sRGB. Blending with the ground is done on
    levels, as browsers do it. Nothing is decoded before the header has shown how large the picture is. Raises BadImage.
    """
    data = _read_bytes(name)
    _refuse_by_beginning(data)
    with warnings.catch_warnings():
        # A library's doubts about a file are no words for a maker; what it cannot read it raises.
        warnings.simplefilter("ignore")
        image, several = _decoded(data)
        flat = _on_ground(_turned(image), ground)
    note = "the file holds several pictures: the first of them is used"
    return Picture(flat, (note,) if several else ())


def _read_bytes(name: str) -> bytes:
    """All bytes of a regular file of at most `MOST_BYTES`; raises BadImage."""
    try:
        data = read_regular(name, MOST_BYTES)
    except CannotRead as error:
        raise BadImage(str(error)) from None
    if len(data) > MOST_BYTES:
        raise BadImage(f"this file is longer than {MOST_BYTES // 1_000_000} MB, the most that is read: make it smaller")
    return data


def _refuse_by_beginning(data: bytes) -> None:
    """Raise BadImage for an empty file, and for formats of which one can say what they are."""
    if not data:
        raise BadImage(_EMPTY)
    if data[4:8] == b"ftyp" and data[8:12] in _HIGH_EFFICIENCY:
        raise BadImage(f"this is a HEIC or AVIF picture, which is not read: {_SAVE_AS}")
    beginning = data[:1000].lstrip(b"\xef\xbb\xbf \t\r\n")
    for mark, what in _OTHERS:
        if beginning.startswith(mark) or (beginning.startswith((b"<?xml", b"<!")) and mark in beginning):
            raise BadImage(f"{what}: {_SAVE_AS}")


def _decoded(data: bytes) -> tuple["Image", bool]:
    """The first picture in `data`, decoded, and whether there are several; raises BadImage."""
    from PIL import Image, UnidentifiedImageError

    try:
        # Where there are sums over parts of a file they are compared; what was compared cannot be read from again.
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
        # A decoder of hostile files raises whatever its code trips over, from struct.error to KeyError.
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
            "so cut it to the part you want"
        )


def _too_large(width: int = 0, height: int = 0) -> str:
    size = f"{width} by {height} pixels" if width else "larger"
    return f"this picture is {size}, more than {MOST_PIXELS // 1_000_000} million pixels: make it smaller"


def _turned(image: "Image") -> "Image":
    """The image turned upright."""
    from PIL import Image

    try:
        orientation = image.getexif().get(_ORIENTATION)
    except Exception:
        # Notes of a camera that cannot be read, however they fail, are as good as none: the picture itself is sound.
        return image
    how = _UPRIGHT.get(orientation) if isinstance(orientation, int) else None
    return image if how is None else image.transpose(Image.Transpose[how])


def _on_ground(image: "Image", ground: str) -> "Image":
    """The image in mode RGB, on a colour where it is see-through; raises BadImage when it holds no colours."""
    from PIL import Image

    if image.mode == "F" or (image.mode == "I" and image.format == "TIFF"):
        raise BadImage("this picture holds measured numbers, not colours: save it as PNG with 8 bits a channel")
    if image.mode.startswith("I"):
        # 16 bits a pixel, of which the upper 8 are seen.
        image = image.convert("I").point([level >> 8 for level in range(65_536)], "L")
        image.info.pop("transparency", None)
    try:
        if not image.has_transparency_data:
            return image.convert("RGB")
        seen = image.convert("RGBA")
    except Exception:
        # As above: what a palette or a mask says that is not so comes to light only here.
        raise BadImage(_DAMAGED) from None
    flat = Image.new("RGB", seen.size, ground)
    flat.paste(seen, mask=seen.getchannel("A"))
    return flat
