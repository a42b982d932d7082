"""Opens a large picture in little memory.

A PNG file is decoded strip by strip. A JPEG file is decoded plane by plane: its lightness in full and its colour at
half the size, as most cameras keep it. Others are decoded whole, in the mode of their file, up to a size that fits.
"""

from functools import partial
from io import BytesIO
from typing import TYPE_CHECKING, cast

from benchmate.picture.bad_image import BadImage
from benchmate.picture.png_strips import PngFile, PngStrips
from benchmate.picture.strips import Decoded, LightnessAndColour, Strips
from benchmate.picture.upright import on_ground, refuse_measurements, turn_of

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.JpegImagePlugin import JpegImageFile

IN_STRIPS = 4_000_000
"""Pictures with more pixels than this are read in strips."""
MOST_HELD = 150_000_000
"""The most bytes for the file and what is decoded of it at a time. With the program itself that is under 200 MB."""

_OF_MODE = {"1": 1, "L": 1, "P": 1, "I;16": 2, "I;16B": 2, "I;16L": 2}
_DECODING = {"WEBP": 9.5}
"""Bytes for each pixel that a decoder needs beside the image it makes."""
_JPEG = ("JPEG", "MPO")
_RGB_NAMES = [ord(name) for name in "RGB"]


def in_strips(image: "Image", data: bytes, ground: str) -> Strips:
    """The picture `data`, opened as `image` but not decoded yet. Raises BadImage, or what a decoder raises."""
    to_rgb = partial(on_ground, ground=ground)
    if image.format == "PNG":
        file = PngFile(data)
        if not file.interlaced:
            from PIL import Image

            with Image.open(BytesIO(file.sample()), formats=("PNG",)) as sample:
                return PngStrips(file, turn_of(sample), to_rgb)
    planes = image.format in _JPEG and _in_planes(cast("JpegImageFile", image))
    _refuse_by_memory(image, len(data), 1.5 if planes else _OF_MODE.get(image.mode, 4))
    if planes:
        return _jpeg(data)
    image.load()
    refuse_measurements(image)
    return Decoded(image, turn_of(image), to_rgb)


def _in_planes(image: "JpegImageFile") -> bool:
    """Whether the file has lightness and colour, not red, green and blue (Adobe's note 5116, 18; JFIF 1.02)."""
    names = [layer[0] for layer in image.layer]
    return image.mode == "RGB" and names != _RGB_NAMES and image.info.get("adobe_transform") != 0


def _jpeg(data: bytes) -> Strips:
    def planes(mode: str, share: int) -> "Image":
        from PIL import Image

        image = Image.open(BytesIO(data), formats=("JPEG",))
        image.draft(mode, (-(-image.width // share), -(-image.height // share)))
        image.load()
        return image

    half = planes("YCbCr", 2)
    colour = half.getchannel("Cb"), half.getchannel("Cr")
    del half
    lightness = planes("L", 1)
    return LightnessAndColour(lightness, colour, turn_of(lightness))


def _refuse_by_memory(image: "Image", size: int, each: float) -> None:
    """Raises BadImage when the file and its decoded pixels, `each` bytes, take too much memory."""
    kind = str(image.format)
    each += _DECODING.get(kind, 0)
    if kind in _JPEG and image.info.get("progressive"):
        # All of its coefficients, two bytes each, are collected before the first pixel is made.
        layers = [across * down for _, across, down, _ in cast("JpegImageFile", image).layer]
        each += 2 * sum(layers) / max(layers)
    fits = int((MOST_HELD - size) / each)
    if image.width * image.height > fits:
        raise BadImage(
            f"this picture is {image.width} by {image.height} pixels; in this kind of {kind} file, at most "
            f"{fits // 1_000_000} million can be read: make it smaller, or save it as an ordinary PNG"
        )
