"""Hostile and damaged pictures: refused quickly, in one plain line that quotes nothing from them."""

import os
import struct
import subprocess
import sys
import time
import zlib
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image
from PIL.PngImagePlugin import PngImageFile

from benchmate.picture import image_file
from benchmate.picture.bad_image import BadImage
from benchmate.picture.charting import chart_of
from benchmate.picture.image_file import FORMATS, MOST_BYTES, MOST_PIXELS, Picture, open_picture

ROOT = Path(__file__).resolve().parents[2]


def held(picture: Picture) -> Image.Image:
    """The image of a picture that is not so large that it is read in strips."""
    assert isinstance(picture.image, Image.Image)
    return picture.image


def drawn(width: int = 60, height: int = 40) -> Image.Image:
    """A varied picture, so that its files are not just one repeated pattern."""
    image = Image.linear_gradient("L").resize((width, height))
    return Image.merge("RGB", [image, image.transpose(Image.Transpose.ROTATE_180), Image.new("L", image.size, 90)])


def written(image: Image.Image, kind: str, **options: Any) -> bytes:
    out = BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def chunk(name: bytes, data: bytes) -> bytes:
    """A chunk of a PNG file, with its length and checksum (PNG, third edition, 5.3)."""
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def png(width: int, height: int, data: bytes = b"", more: bytes = b"") -> bytes:
    """A handmade true-colour PNG whose header claims any size."""
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    body = chunk(b"IDAT", zlib.compress(data, 9))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + more + body + chunk(b"IEND", b"")


def refused(file: Path) -> str:
    """The message for a refused file: one printable line without the file's name."""
    with pytest.raises(BadImage) as caught:
        open_picture(str(file))
    message = str(caught.value)
    assert message.isprintable()
    assert file.name not in message
    # The library's own error is no help to a maker.
    assert caught.value.__cause__ is None
    assert caught.value.__suppress_context__ or caught.value.__context__ is None
    return message


def opened(file: Path) -> Picture | None:
    """The picture in a file; None when it is refused."""
    try:
        return open_picture(str(file))
    except BadImage:
        return None


def refused_bytes(data: bytes, tmp_path: Path, name: str = "picture.png") -> str:
    file = tmp_path / name
    file.write_bytes(data)
    return refused(file)


BOMBS = {
    "png": png(60_000, 60_000, bytes(1_000_000)),
    "png of one row": png(2_000_000_000, 1),
    "png just over": png(8_001, 8_000),
    "png of nearly 2^31": png(2**31 - 1, 2**31 - 1),
    "gif": b"GIF89a" + struct.pack("<HHBBB", 65_535, 65_535, 0, 0, 0) + b"\x2c" + bytes(4) + b"\xff" * 4 + b"\0\2\0;",
    "bmp": b"BM" + struct.pack("<IHHIIiiHHIIiiII", 54, 0, 0, 54, 40, 50_000, 50_000, 1, 24, 0, 0, 0, 0, 0, 0),
    "ppm": b"P6 60000 60000 255\n",
    "ppm of endless digits": b"P6 " + b"9" * 100_000 + b" 1 255\n",
    "jpeg": b"\xff\xd8\xff\xc0\x00\x11\x08\xff\xff\xff\xff\x03\x01\x22\x00\x02\x11\x01\x03\x11\x01\xff\xd9",
    "tiff": b"II*\0\x08\0\0\0\x08\0"
    + b"".join(
        struct.pack("<HHII", tag, 4, 1, value)
        for tag, value in (
            *((256, 1_000_000), (257, 1_000_000), (258, 8), (259, 1), (262, 1), (273, 8), (278, 1_000_000)),
            (279, 4),
        )
    )
    + bytes(4),
    "webp": b"RIFF\x1e\0\0\0WEBPVP8X\x0a\0\0\0\0\0\0\0" + b"\xff\xff\xff\xff\xff\xff" + b"VP8 \0\0\0\0",
}


@pytest.mark.parametrize("data", BOMBS.values(), ids=BOMBS)
def test_decompression_bombs_are_refused_by_their_headers(data: bytes, tmp_path: Path) -> None:
    begun = time.process_time()
    message = refused_bytes(data, tmp_path)
    assert any(what in message for what in ("million pixels", "at most 100 times", "damaged", "this is not a PNG"))
    # Decoding any of them would take minutes, even with enough memory.
    assert time.process_time() - begun < 5


def test_the_message_names_the_size_and_the_limit(tmp_path: Path) -> None:
    assert refused_bytes(BOMBS["png just over"], tmp_path) == (
        "this picture is 8001 by 8000 pixels and is larger than the limit of 64 million pixels: make it smaller"
    )
    assert MOST_PIXELS == 8_000 * 8_000


def test_decompression_bombs_take_little_memory(tmp_path: Path) -> None:
    files = []
    for name, data in BOMBS.items():
        files.append(str(tmp_path / name))
        (tmp_path / name).write_bytes(data)
    program = f"""
import resource
from PIL import Image
from PIL.PngImagePlugin import PngImageFile
from benchmate.picture.bad_image import BadImage
from benchmate.picture.image_file import open_picture
resource.setrlimit(resource.RLIMIT_DATA, (400_000_000,) * 2)
for file in {files!r}:
    try:
        open_picture(file)
    except BadImage:
        continue
    raise SystemExit(file)
"""
    done = subprocess.run([sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


@pytest.mark.parametrize("kind", [kind for kind in FORMATS if kind != "GIF"])
@pytest.mark.parametrize("part", range(30))
def test_a_truncated_file(kind: str, part: int, tmp_path: Path) -> None:
    whole = written(drawn(), kind)
    message = refused_bytes(whole[: len(whole) * part // 30], tmp_path)
    assert message.startswith(("this picture is damaged", "this is not a PNG", "this file is empty"))


@pytest.mark.parametrize("part", range(30))
def test_a_truncated_gif(part: int, tmp_path: Path) -> None:
    whole = written(drawn(), "GIF")
    message = refused_bytes(whole[: len(whole) * part // 30], tmp_path)
    assert message.startswith(("this picture is damaged", "this is not a PNG", "this file is empty"))


@pytest.mark.parametrize("part", ["IHDR", "IDAT"])
def test_a_png_with_a_wrong_checksum(part: str, tmp_path: Path) -> None:
    data = bytearray(written(drawn(), "PNG"))
    at = data.index(part.encode()) - 4
    (length,) = struct.unpack(">I", data[at : at + 4])
    data[at + 8 + length] ^= 0xFF
    message = refused_bytes(bytes(data), tmp_path)
    assert message.startswith({"IHDR": "this is not a PNG", "IDAT": "this picture is damaged"}[part])


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"", "this file is empty"),
        (
            b"not a picture, only its name is one\n",
            "this is not a PNG, JPEG, GIF, WEBP, BMP, TIFF or PPM picture: save it as PNG or JPEG",
        ),
        (b"\x89PNG\r\n\x1a\n", "this is not a PNG"),
        (bytes(range(256)) * 40, "this is not a PNG"),
        (b'<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"/>', "this is a drawing of lines (SVG)"),
        (b'\xef\xbb\xbf<?xml version="1.0"?>\n<!-- x -->\n<svg/>', "this is a drawing of lines (SVG)"),
        (b'<!DOCTYPE svg [<!ENTITY a "aaaa">]><svg>&a;</svg>', "this is a drawing of lines (SVG)"),
        (b"%PDF-1.7\n", "this is a page (PDF)"),
        (b"\0\0\0\x18ftypheic\0\0\0\0", "this is a HEIC or AVIF picture"),
        (b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 9 9\n", "this is not a PNG"),
        (png(0, 4), "this "),
        (png(4, 0), "this "),
        (b"P6 0 4 255\n", "this "),
        (b"GIF89a" + bytes(7) + b";", "this "),
    ],
)
def test_files_that_are_not_pictures(data: bytes, message: str, tmp_path: Path) -> None:
    assert refused_bytes(data, tmp_path).startswith(message)


@pytest.mark.parametrize("kind", ["ICO", "TGA", "PCX", "SGI", "EPS", "ICNS", "DDS", "PDF"])
def test_other_formats_are_not_decoded(kind: str, tmp_path: Path) -> None:
    refused_bytes(written(drawn(64, 64), kind), tmp_path)


def test_extreme_proportions(tmp_path: Path) -> None:
    for size in ((1, 100_000), (100_000, 1), (5, 501)):
        message = refused_bytes(written(Image.new("RGB", size), "PNG"), tmp_path)
        assert message.startswith(f"this picture is {size[0]} by {size[1]} pixels: one side may be at most 100 times")
    file = tmp_path / "long.png"
    file.write_bytes(written(Image.new("RGB", (5, 500)), "PNG"))
    assert open_picture(str(file)).image.size == (5, 500)


def test_one_pixel_is_a_picture(tmp_path: Path) -> None:
    file = tmp_path / "one.png"
    file.write_bytes(written(Image.new("RGB", (1, 1), "#0b3c5d"), "PNG"))
    chart = chart_of(open_picture(str(file)).image, 1)
    assert list(chart.colours.values()) == ["#0b3c5d"]
    assert len(chart.rows) == 1


@pytest.mark.parametrize(("kind", "frames"), [("GIF", 1_000), ("PNG", 40), ("WEBP", 40), ("TIFF", 40)])
def test_the_first_of_many_pictures_is_used(kind: str, frames: int, tmp_path: Path) -> None:
    file = tmp_path / "many"
    images = [Image.new("RGB", (12, 9), (number % 256, 255 - number % 256, 40)) for number in range(frames)]
    file.write_bytes(written(images[0], kind, save_all=True, append_images=images[1:], lossless=True))
    picture = open_picture(str(file))
    assert picture.notes == ("the file has several pictures; the first is used",)
    assert picture.image.size == (12, 9)
    red, green, blue = held(picture).getpixel((5, 5))  # type: ignore[misc]
    assert max(abs(red), abs(255 - green), abs(40 - blue)) <= 3


def test_pictures_linked_in_a_ring(tmp_path: Path) -> None:
    data = bytearray(written(Image.new("RGB", (12, 9), "teal"), "TIFF"))
    (first,) = struct.unpack("<I", data[4:8])
    (entries,) = struct.unpack("<H", data[first : first + 2])
    data[first + 2 + 12 * entries : first + 6 + 12 * entries] = struct.pack("<I", first)
    file = tmp_path / "ring.tiff"
    file.write_bytes(bytes(data))
    assert held(open_picture(str(file))).getpixel((3, 3)) == (0, 128, 128)


def test_folders_devices_pipes_and_missing_files(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.png")
    (tmp_path / "a.png").symlink_to(tmp_path / "b.png")
    (tmp_path / "b.png").symlink_to(tmp_path / "a.png")
    assert refused(tmp_path) == "this is a folder, not a file"
    assert refused(tmp_path / "pipe.png") == "this is a device or a pipe, not a regular file"
    assert refused(tmp_path / "nowhere.png") == "no such file"
    assert refused(tmp_path / "a.png").startswith("this file cannot be read")
    for device in ("/dev/zero", "/dev/null", "/dev/stdin", "/dev/tty"):
        with pytest.raises(BadImage):
            open_picture(device)
    with pytest.raises(BadImage, match="no file name can contain"):
        open_picture("pic\0ture.png")


def test_a_file_that_is_too_large(tmp_path: Path) -> None:
    file = tmp_path / "long.bmp"
    with file.open("wb") as out:
        out.truncate(MOST_BYTES + 1)
    assert refused(file) == "this file is larger than the limit of 50 MB: make it smaller"


def test_texts_inside_a_picture_are_never_shown(tmp_path: Path) -> None:
    words = b"Comment\0\x1b[2J\x1b]0;owned\x07 spoken"
    for more in (chunk(b"tEXt", words), chunk(b"zTXt", b"Comment\0\0" + zlib.compress(bytes(200_000_000), 9))):
        file = tmp_path / "words.png"
        file.write_bytes(png(2, 2, (b"\0" + b"\x0b\x3c\x5d" * 2) * 2, more))
        picture = opened(file)
        # A text that unpacks to more than the library allows makes the whole file bad.
        if picture is None:
            assert refused(file) == "this picture is damaged or incomplete: save or copy it again"
        else:
            assert picture.notes == ()
            assert held(picture).getpixel((0, 0)) == (0x0B, 0x3C, 0x5D)


def test_nothing_is_printed_for_any_file(tmp_path: Path) -> None:
    files = []
    for kind in FORMATS:
        whole = written(drawn(), kind, **({"compression": "tiff_lzw"} if kind == "TIFF" else {}))
        for number, data in enumerate((whole, whole[:-60], whole[: len(whole) // 2], whole.replace(b"\0", b"\1"))):
            files.append(str(tmp_path / f"{kind}{number}"))
            Path(files[-1]).write_bytes(data)
    program = f"""
from benchmate.picture.bad_image import BadImage
from benchmate.picture.image_file import open_picture
for file in {files!r}:
    try:
        open_picture(file)
    except BadImage:
        pass
"""
    done = subprocess.run([sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


WHOLE = {kind: written(drawn(20, 14), kind) for kind in FORMATS}


@settings(
    max_examples=300, derandomize=True, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    kind=st.sampled_from(FORMATS),
    changes=st.lists(st.tuples(st.floats(0, 0.999), st.integers(0, 3), st.binary(max_size=4)), min_size=1, max_size=4),
)
def test_any_bytes_give_a_picture_or_one_line(
    kind: str, changes: list[tuple[float, int, bytes]], tmp_path: Path
) -> None:
    data = WHOLE[kind]
    for share, length, piece in changes:
        at = int(share * len(data))
        data = data[:at] + piece + data[at + length :]
    file = tmp_path / "changed"
    file.write_bytes(data)
    picture = opened(file)
    if picture is None:
        refused(file)
    else:
        assert held(picture).mode == "RGB"
        # Every picture that opens fits on so narrow a band.
        assert chart_of(picture.image, 3).columns == 3


@pytest.mark.parametrize("raised", [KeyError, struct.error, RecursionError, MemoryError, SyntaxError, OverflowError])
def test_any_error_in_a_decoder(raised: type[Exception], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "sound.png"
    file.write_bytes(written(drawn(), "PNG"))

    def fail(*_: object, **__: object) -> None:
        raise raised("secret words of the file")

    monkeypatch.setattr(Image.Image, "getexif", fail)
    assert open_picture(str(file)).image.size == (60, 40)
    monkeypatch.setattr(Image, "open", fail)
    assert refused(file) == "this picture is damaged or incomplete: save or copy it again"


def test_no_file_over_the_limits_is_decoded(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    data = written(drawn(), "PNG")
    decoded: list[object] = []
    monkeypatch.setattr(PngImageFile, "load", lambda image: decoded.append(image))
    monkeypatch.setattr(image_file, "MOST_PIXELS", 2_399)
    assert "larger than the limit" in refused_bytes(data, tmp_path)
    assert decoded == []
    monkeypatch.setattr(image_file, "MOST_PIXELS", 2_400)
    monkeypatch.setattr(image_file, "on_ground", lambda image, ground: image)
    assert open_picture(str(tmp_path / "picture.png")).image.size == (60, 40)
    assert decoded


PEAK = """
import sys
from benchmate.cli import main
try:
    status = main(["picture", sys.argv[1], "--columns", "12", "--count", "2"])
finally:
    with open("/proc/self/status") as lines:
        peak = next(line for line in lines if line.startswith("VmHWM:")).split()[1]
    print("peak", peak, file=sys.stderr)
sys.exit(status)
"""


@pytest.mark.parametrize(("kind", "mode"), [("PNG", "RGBA"), ("JPEG", "RGB")])
def test_a_large_picture_takes_little_memory(kind: str, mode: str, tmp_path: Path) -> None:
    pixels = 16_000_000
    file = tmp_path / "large"
    image = Image.linear_gradient("L").resize((4_000, 4_000))
    Image.merge(mode, [image] * len(mode)).save(file, kind, compress_level=1)
    argv = [sys.executable, "-c", PEAK, str(file)]
    done = subprocess.run(argv, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    # As a whole it would take 4 bytes for each pixel, and 3 more for its channels.
    assert 1024 * int(done.stderr.split()[-1]) < 50_000_000 + 2 * pixels
