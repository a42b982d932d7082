"""Large pictures: how much memory `picture` takes for each kind of file."""

import os
import subprocess
from collections.abc import Mapping
from math import isqrt
from pathlib import Path

from PIL import Image

from tests.measure.starting import Scripts, changes_of_environment
from tests.measure.table import Row

MOST = 200 * 1_000_000 / 2**20
"""The most memory for any picture, in MiB."""
KINDS: Mapping[str, tuple[str, str]] = {
    "PNG, RGB": ("PNG", "RGB"),
    "PNG, RGBA": ("PNG", "RGBA"),
    "PNG, palette": ("PNG", "P"),
    "PNG, 16 bits": ("PNG", "I;16"),
    "JPEG": ("JPEG", "RGB"),
    "GIF": ("GIF", "P"),
}


def measure(scripts: Scripts, folder: Path, pixels: int) -> list[Row]:
    """The peak of each kind with so many pixels; the limit is the same for all."""
    env = dict(os.environ) | changes_of_environment(folder / "nothing-kept")
    rows = []
    for name, (kind, mode) in KINDS.items():
        file = folder / "large-picture"
        _write(file, kind, mode, isqrt(pixels))
        argv = scripts.peak("picture", str(file), "--columns", "40")
        run = subprocess.run(argv, env=env, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, check=True)
        peak = 1024 * int(run.stderr.split()[-1])
        rows.append(Row(f"picture of {pixels:,} pixels: memory", name, "MiB", peak / 2**20, MOST, 1.0))
        file.unlink()
    return rows


def _write(file: Path, kind: str, mode: str, side: int) -> None:
    level = Image.linear_gradient("L").resize((side, side))
    if mode == "I;16":
        level = level.convert("I").point(lambda each: each * 257).convert(mode)
    elif mode != "P":
        level = Image.merge(mode, [level, level.transpose(Image.Transpose.ROTATE_90), level, level][: len(mode)])
    level.save(file, kind, compress_level=1)
