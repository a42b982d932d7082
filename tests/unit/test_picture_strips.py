"""Large pictures are read in strips, and give the chart that they give as a whole."""

import random
import struct
import zlib
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from benchmate.picture import image_file, large_image, sampling
from benchmate.picture.bad_image import BadImage
from benchmate.picture.charting import chart_of
from benchmate.picture.image_file import Picture, open_picture
from benchmate.picture.png_strips import PngFile
from benchmate.picture.sampling import levels_of, sampled
from benchmate.picture.strips import Decoded, LightnessAndColour, Strips

WIDE, HIGH = 93, 71


def noise(mode: str, seed: int = 7) -> Image.Image:
    """A picture of large areas, with noise in every channel."""
    chance = random.Random(f"{mode} {seed}")
    bands = []
    for _ in Image.new(mode, (1, 1)).getbands():
        areas = Image.frombytes("L", (5, 4), chance.randbytes(20)).resize((WIDE, HIGH), Image.Resampling.NEAREST)
        bands.append(Image.blend(areas, Image.frombytes("L", (WIDE, HIGH), chance.randbytes(WIDE * HIGH)), 0.2))
    return Image.merge(mode, bands)


def sixteen() -> Image.Image:
    return noise("L").convert("I").point(lambda level: level * 257).convert("I;16")


def png(depth: int, colour_type: int, channels: int, more: bytes = b"", interlace: int = 0) -> bytes:
    """A PNG file of random pixels, whose rows take every filter in turn (PNG, third edition, 5 and 9)."""
    row = (WIDE * channels * depth + 7) // 8
    chance = random.Random(depth * 10 + colour_type)
    scan = b"".join(bytes([at % 5]) + chance.randbytes(row) for at in range(HIGH))

    def chunk(name: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))

    header = struct.pack(">IIBBBBB", WIDE, HIGH, depth, colour_type, 0, 0, interlace)
    data = zlib.compress(scan)
    parts = b"".join(chunk(b"IDAT", data[at : at + 1000]) for at in range(0, len(data), 1000))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + more + parts + chunk(b"IEND", b"")


def written(image: Image.Image, kind: str, **options: Any) -> bytes:
    out = BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def opened(data: bytes, folder: Path, monkeypatch: pytest.MonkeyPatch, *, strips: bool) -> Picture:
    """The picture in some bytes, read in strips or as a whole, however small it is."""
    file = folder / "picture"
    file.write_bytes(data)
    monkeypatch.setattr(image_file, "IN_STRIPS", 0 if strips else 10**9)
    picture = open_picture(str(file), "#f4c0d0")
    assert isinstance(picture.image, Strips) == strips
    return picture


def both(data: bytes, folder: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[Image.Image, Image.Image]:
    """A picture read as a whole, and put together from strips that share some of their rows."""
    whole = opened(data, folder, monkeypatch, strips=False).image
    strips = opened(data, folder, monkeypatch, strips=True).image
    assert isinstance(whole, Image.Image)
    assert isinstance(strips, Strips)
    edges = [(0, 1), (0, 7), (6, 30), (30, 31), (30, 31), (30, 70), (69, HIGH)]
    joined = Image.new("RGB", strips.stored)
    for (top, bottom), strip in zip(edges, strips.strips(edges), strict=True):
        assert (strip.mode, strip.size) == ("RGB", (strips.stored[0], bottom - top))
        joined.paste(strip, (0, top))
    return whole, joined


PALETTE = struct.pack(">I", 768) + b"PLTE" + (body := random.Random(1).randbytes(768))
PALETTE += struct.pack(">I", zlib.crc32(b"PLTE" + body))
PNGS = {
    **{f"grey {depth}": png(depth, 0, 1) for depth in (1, 2, 4, 8, 16)},
    **{f"colours {depth}": png(depth, 2, 3) for depth in (8, 16)},
    "palette": png(8, 3, 1, PALETTE),
    **{f"grey and alpha {depth}": png(depth, 4, 2) for depth in (8, 16)},
    **{f"alpha {depth}": png(depth, 6, 4) for depth in (8, 16)},
}


@pytest.mark.parametrize("data", PNGS.values(), ids=PNGS)
def test_a_png_file_has_the_same_pixels(data: bytes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    whole, strips = both(data, tmp_path, monkeypatch)
    assert strips.tobytes() == whole.tobytes()
    assert whole.getcolors(1) is None


OTHERS = {
    "GIF": written(noise("RGB").quantize(40), "GIF"),
    "GIF with a transparent colour": written(noise("RGB").quantize(40), "GIF", transparency=3),
    "PNG with a transparent colour": written(noise("RGB").quantize(40), "PNG", transparency=3),
    "PNG of few bits": written(noise("RGB").quantize(4), "PNG"),
    "grey PNG with a transparent level": written(noise("L").quantize(9).convert("L"), "PNG", transparency=100),
    "PNG of 16 bits": written(sixteen(), "PNG"),
    "WEBP": written(noise("RGBA"), "WEBP", lossless=True),
    "BMP": written(noise("RGB"), "BMP"),
    "TIFF": written(noise("RGB"), "TIFF", compression="tiff_deflate"),
    "TIFF in four inks": written(noise("CMYK"), "TIFF"),
    "PPM": written(noise("RGB"), "PPM"),
    "grey JPEG": written(noise("L"), "JPEG"),
    "JPEG in four inks": written(noise("CMYK"), "JPEG"),
    "JPEG in red, green and blue": written(noise("RGB"), "JPEG", keep_rgb=True),
}


@pytest.mark.parametrize("data", OTHERS.values(), ids=OTHERS)
def test_other_files_have_the_same_pixels(data: bytes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    whole, strips = both(data, tmp_path, monkeypatch)
    assert strips.tobytes() == whole.tobytes()
    assert whole.getcolors(1) is None


@pytest.mark.parametrize("dither", [False, True])
def test_the_chart_is_the_same(dither: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    data = written(noise("RGBA").resize((700, 560), Image.Resampling.NEAREST), "PNG")
    charts = [
        chart_of(opened(data, tmp_path, monkeypatch, strips=strips).image, 17, dither=dither)
        for strips in (False, True)
    ]
    assert charts[0] == charts[1]
    assert len(charts[0].colours) == 4


@pytest.mark.parametrize("subsampling", [0, 1, 2])
@pytest.mark.parametrize("progressive", [False, True])
def test_a_jpeg_file_keeps_its_light(
    subsampling: int, progressive: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    scene = noise("RGB").resize((WIDE * 4, HIGH * 4), Image.Resampling.NEAREST)
    data = written(scene, "JPEG", quality=95, subsampling=subsampling, progressive=progressive)
    whole = opened(data, tmp_path, monkeypatch, strips=False).image
    strips = opened(data, tmp_path, monkeypatch, strips=True).image
    assert isinstance(strips, LightnessAndColour)
    # Where the file has the colour of every pixel, that of four is taken together.
    most = {0: 6, 1: 6, 2: 1}[subsampling]
    for one, other in zip(sampled(whole, 17, 9).means, sampled(strips, 17, 9).means, strict=True):
        assert max(abs(levels_of(a) - levels_of(b)) for a, b in zip(one, other, strict=True)) <= most


def test_fine_black_and_white_is_averaged_as_light_however_large(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    checks = Image.new("L", (64, 64))
    checks.putdata([255 * ((x + y) % 2) for y in range(64) for x in range(64)])
    for kind, options in (("PNG", {}), ("JPEG", {"quality": 100, "subsampling": 0})):
        image = opened(written(checks.convert("RGB"), kind, **options), tmp_path, monkeypatch, strips=True).image
        (level,) = {sampled(image, 2, 2).mean(knot) for knot in range(4)}
        assert max(abs(188 - each) for each in level) <= 1


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("kind", ["PNG", "JPEG", "TIFF"])
def test_strips_are_turned_upright(
    kind: str, orientation: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    exif = Image.Exif()
    exif[0x0112] = orientation
    scene = noise("RGB").resize((WIDE * 4, HIGH * 4), Image.Resampling.NEAREST)
    data = written(scene, kind, exif=exif)
    whole = opened(data, tmp_path, monkeypatch, strips=False).image
    strips = opened(data, tmp_path, monkeypatch, strips=True).image
    assert strips.size == whole.size
    for one, other in zip(sampled(whole, 9, 7).means, sampled(strips, 9, 7).means, strict=True):
        assert max(abs(levels_of(a) - levels_of(b)) for a, b in zip(one, other, strict=True)) <= 2


def test_very_large_spots_have_the_same_light(monkeypatch: pytest.MonkeyPatch) -> None:
    image = noise("RGB")
    whole = sampled(image, 1, 1)
    monkeypatch.setattr(sampling, "_MOST_AT_A_TIME", 200)
    assert [levels_of(light[0]) for light in sampled(image, 1, 1).means] == list(whole.mean(0))


def test_no_strip_is_larger_than_needed(monkeypatch: pytest.MonkeyPatch) -> None:
    sizes: list[int] = []

    def seen(strip: Image.Image) -> Image.Image:
        sizes.append(strip.width * strip.height)
        return strip

    monkeypatch.setattr(sampling, "_AT_A_TIME", 500)
    monkeypatch.setattr(sampling, "_MOST_AT_A_TIME", 1_000)
    strips = Decoded(noise("RGB"), None, seen)
    for columns, rows in ((1, 1), (9, 7), (40, 30)):
        sampled(strips, columns, rows)
    assert max(sizes) <= 1_000 + 2 * WIDE


@pytest.mark.parametrize("share", [0.2, 0.6, 0.98])
@pytest.mark.parametrize("data", [PNGS["colours 8"], PNGS["colours 16"]])
def test_data_that_end_too_early_are_damage(data: bytes, share: float) -> None:
    header_end = data.index(b"IDAT") - 4
    file = PngFile(data[: header_end + int(share * (len(data) - header_end))])
    with pytest.raises(BadImage, match="damaged or incomplete"):
        list(file.strips([(0, 30), (30, HIGH)]))


def test_an_unknown_filter_is_damage() -> None:
    scan = b"\x09" + bytes(3 * WIDE)
    data = png(8, 2, 3)
    at = data.index(b"IDAT") - 4
    body = zlib.compress(scan * HIGH)
    data = data[:at] + struct.pack(">I", len(body)) + b"IDAT" + body + bytes(4)
    with pytest.raises(BadImage, match="damaged or incomplete"):
        list(PngFile(data).strips([(0, HIGH)]))


KINDS = {
    "PNG": png(8, 2, 3, interlace=1),
    "JPEG": written(noise("RGB"), "JPEG", progressive=True),
    "WEBP": written(noise("RGB"), "WEBP"),
    "TIFF": written(noise("RGB"), "TIFF"),
}


@pytest.mark.parametrize(("kind", "data"), KINDS.items())
def test_what_would_take_too_much_memory_is_refused_before_it_is_decoded(
    kind: str, data: bytes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(large_image, "MOST_HELD", len(data) + 6_000)
    with pytest.raises(BadImage) as caught:
        opened(data, tmp_path, monkeypatch, strips=True)
    assert str(caught.value) == (
        f"this picture is {WIDE} by {HIGH} pixels; in this kind of {kind} file, at most 0 million can be read: "
        "make it smaller, or save it as an ordinary PNG"
    )
