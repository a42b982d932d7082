"""Reads a PNG file strip by strip.

The image library can only decode a whole file. So for every strip it gets a small PNG file of its own: first one that
only undoes the filters, which start from the row above, then one with the rows as they are. Chunks, filters and their
order are those of the PNG specification (third edition, 2025: 5, 9 and 11).
"""

import zlib
from collections.abc import Callable, Iterable, Iterator
from io import BytesIO
from struct import error, pack, unpack
from typing import TYPE_CHECKING, NamedTuple

from benchmate.picture.bad_image import DAMAGED, BadImage
from benchmate.picture.strips import Rows, Strips

if TYPE_CHECKING:
    from PIL.Image import Image, Transpose

SIGNATURE = b"\x89PNG\r\n\x1a\n"
_CHANNELS = {0: 1, 2: 3, 3: 1, 4: 2, 6: 4}
_OF_SIZE = {1: 0, 2: 4, 3: 2, 4: 6}
"""The colour type whose pixels have so many bytes, with 8 bits per channel."""
_MODES = {0: "L", 2: "RGB", 4: "LA", 6: "RGBA"}
"""The modes of pictures with 8 bits per channel and neither a palette nor a transparent colour."""
_PALETTE = (b"PLTE", b"tRNS")
_RECORDED = (b"eXIf", b"tEXt", b"zTXt", b"iTXt")
_PIECE = 1 << 18
"""How many bytes are decompressed at a time."""


class _Header(NamedTuple):
    width: int
    height: int
    depth: int
    colour_type: int
    interlaced: bool

    @property
    def row(self) -> int:
        """The bytes of a row, without its filter."""
        return (self.width * self.depth * _CHANNELS[self.colour_type] + 7) // 8

    @property
    def pixel(self) -> int:
        """How many bytes to the left the filters look."""
        return max(1, self.depth * _CHANNELS[self.colour_type] // 8)


class PngFile:
    """The parts of a PNG file: the header, the palette, the compressed data, and what the camera recorded."""

    def __init__(self, data: bytes) -> None:
        """Raises BadImage."""
        self._parts: list[memoryview] = []
        self._palette: list[bytes] = []
        self._recorded: list[bytes] = []
        view, at = memoryview(data), len(SIGNATURE)
        header = None
        try:
            while at < len(data):
                (length,) = unpack(">I", view[at : at + 4])
                name, body = bytes(view[at + 4 : at + 8]), view[at + 8 : at + 8 + length]
                at += 12 + length
                if name == b"IHDR":
                    width, height, depth, colour_type, _, _, interlace = unpack(">IIBBBBB", body)
                    header = _Header(width, height, depth, colour_type, interlace != 0)
                elif name == b"IDAT":
                    self._parts.append(body)
                elif name == b"IEND":
                    break
                elif name in _PALETTE:
                    self._palette.append(_chunk(name, bytes(body)))
                elif name in _RECORDED:
                    self._recorded.append(_chunk(name, bytes(body)))
        except error:
            raise BadImage(DAMAGED) from None
        if header is None or header.colour_type not in _CHANNELS:
            raise BadImage(DAMAGED)
        self.header = header

    @property
    def interlaced(self) -> bool:
        """Whether the rows are not in order, so that the file cannot be read in strips."""
        return self.header.interlaced

    def sample(self) -> bytes:
        """A file of one row with what the camera recorded in this one."""
        return self._file(1, bytes(1 + self.header.row), self._recorded)

    def strips(self, bounds: Iterable[Rows]) -> "Iterator[Image]":
        """The strips in the mode of the file. No row is left out between two strips. Raises BadImage."""
        header, rows = self.header, self._rows()
        size = 1 + header.row
        above = bytes(header.row)
        have, first = b"", 0
        for top, bottom in bounds:
            have = have[(top - first) * header.row :]
            first = top
            missing = bottom - top - len(have) // header.row
            if missing > 0:
                filtered = b"".join([next(rows) for _ in range(missing)])
                if len(filtered) != missing * size:
                    raise BadImage(DAMAGED)
                plain = self._unfiltered(above, filtered, missing)
                above = plain[-header.row :]
                have += plain
            yield self._image(bottom - top, have[: (bottom - top) * header.row])

    def _image(self, count: int, plain: bytes) -> "Image":
        """The image of `count` rows without filters."""
        header = self.header
        mode = _MODES.get(header.colour_type)
        if header.depth == 8 and mode and not self._palette:
            from PIL import Image

            return Image.frombytes(mode, (header.width, count), plain)
        scan = b"".join([b"\0" + plain[at : at + header.row] for at in range(0, len(plain), header.row)])
        return _opened(self._file(count, scan))

    def _rows(self) -> Iterator[bytes]:
        """The filtered rows, each after its filter; raises BadImage where the data end too early."""
        size, waiting = 1 + self.header.row, b""
        for piece in self._decompressed():
            waiting += piece
            whole = len(waiting) // size * size
            for at in range(0, whole, size):
                yield waiting[at : at + size]
            waiting = waiting[whole:]
        raise BadImage(DAMAGED)

    def _decompressed(self) -> Iterator[bytes]:
        engine = zlib.decompressobj()
        most = max(_PIECE, 1 + self.header.row)
        try:
            for part in self._parts:
                for at in range(0, len(part), _PIECE):
                    yield engine.decompress(part[at : at + _PIECE], most)
                    while engine.unconsumed_tail:
                        yield engine.decompress(engine.unconsumed_tail, most)
        except zlib.error:
            raise BadImage(DAMAGED) from None

    def _unfiltered(self, above: bytes, filtered: bytes, count: int) -> bytes:
        """The bytes of `count` rows without their filters, from the row above them."""
        pixel, row = self.header.pixel, self.header.row
        if pixel in _OF_SIZE:
            return _without_filters(above, filtered, count, row, pixel)
        # The filters look at every byte of a pixel by itself, so pixels of other sizes are taken apart.
        plain = bytearray(count * row)
        for lane in range(pixel):
            parts = [
                filtered[at : at + 1] + filtered[at + 1 + lane : at + 1 + row : pixel]
                for at in range(0, len(filtered), 1 + row)
            ]
            plain[lane::pixel] = _without_filters(above[lane::pixel], b"".join(parts), count, row // pixel, 1)
        return bytes(plain)

    def _file(self, height: int, scan: bytes, more: Iterable[bytes] = ()) -> bytes:
        header = self.header
        before = [*more, *self._palette]
        return _small_file(header.width, height, header.depth, header.colour_type, scan, before)


def _without_filters(above: bytes, filtered: bytes, count: int, row: int, pixel: int) -> bytes:
    scan = b"\0" + above + filtered
    plain: bytes = _opened(_small_file(row // pixel, count + 1, 8, _OF_SIZE[pixel], scan)).tobytes()
    return plain[row:]


def _small_file(
    width: int, height: int, depth: int, colour_type: int, scan: bytes, before: Iterable[bytes] = ()
) -> bytes:
    header = pack(">IIBBBBB", width, height, depth, colour_type, 0, 0, 0)
    body = [*before, _chunk(b"IDAT", zlib.compress(scan, 0))]
    return b"".join([SIGNATURE, _chunk(b"IHDR", header), *body, _chunk(b"IEND", b"")])


def _chunk(name: bytes, body: bytes) -> bytes:
    return pack(">I", len(body)) + name + body + pack(">I", zlib.crc32(name + body))


def _opened(data: bytes) -> "Image":
    from PIL import Image

    try:
        image = Image.open(BytesIO(data), formats=("PNG",))
        image.load()
    except Exception:
        # On a hostile file a decoder can raise anything.
        raise BadImage(DAMAGED) from None
    return image


class PngStrips(Strips):
    """A PNG file read in strips as often as they are wanted; `to_rgb` changes the mode of a strip."""

    def __init__(self, file: PngFile, turn: "Transpose | None", to_rgb: "Callable[[Image], Image]") -> None:
        super().__init__((file.header.width, file.header.height), turn)
        self._file, self._to_rgb = file, to_rgb

    def strips(self, bounds: Iterable[Rows]) -> "Iterator[Image]":
        """Strips of the file. Raises BadImage."""
        return map(self._to_rgb, self._file.strips(bounds))
