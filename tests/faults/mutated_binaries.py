"""Mutated images and saved plans: each is read as something sound, or refused in a line."""

import io
import json
import random
import sys
from pathlib import Path
from typing import Any

from PIL import Image

from benchmate.craft.orders import by_rows, can_be_followed
from benchmate.craft.start_band_finish import whole_piece
from benchmate.craft.ways import Way, order_of
from benchmate.design_files.load import parse
from benchmate.store.plans import packed, unpacked
from tests.faults.commands import forked, in_fork
from tests.faults.homes import BAND
from tests.faults.mutated_texts import check_output
from tests.faults.mutations import bytes_changed, numbers_changed
from tests.faults.trial import Fault, Trial

MODES = ("RGB", "P", "L", "RGBA", "1", "CMYK", "I;16")
SIZE = (23, 17)
LISTED = "formats.json"
READ = ("PNG", "JPEG", "GIF", "WEBP", "BMP", "TIFF", "PPM", "MPO")
"""Formats that the program takes; most images are of these."""


def prepare_images(prepared: Path) -> None:
    """Writes a small image in every format and mode that can be written here, and a moving one where it can move."""
    Image.init()
    chance = random.Random(7)
    base = Image.new("RGB", SIZE)
    base.putdata([chance.choice([(200, 30, 40), (20, 60, 120), (240, 230, 200)]) for _ in range(SIZE[0] * SIZE[1])])
    modes = {mode: base.convert("L").convert(mode) if mode == "I;16" else base.convert(mode) for mode in MODES}
    made = []
    for name in sorted(Image.SAVE):
        for mode, image in modes.items():
            data = _written(image, name)
            if data:
                file = prepared / f"{name}-{mode.replace(';', '')}"
                file.write_bytes(data)
                made.append(file.name)
    for name in sorted(Image.SAVE_ALL):
        data = _written(base, name, save_all=True, append_images=[base.rotate(180), modes["L"].convert("RGB")])
        if data:
            (prepared / f"{name}-moving").write_bytes(data)
            made.append(f"{name}-moving")
    assert len(made) > 20, made
    (prepared / LISTED).write_text(json.dumps(made), encoding="utf-8")


def _written(image: Image.Image, name: str, **options: Any) -> bytes:
    """The image as a file of this format; nothing where the format has no such images."""
    buffer = io.BytesIO()
    try:
        image.save(buffer, name, **options)
    except (OSError, ValueError, KeyError, AttributeError, TypeError):
        return b""
    return buffer.getvalue()


def attack_image(trial: Trial) -> None:
    """Makes a design from a mutated image."""
    chance, home = trial.chance, trial.folder / "home"
    names = json.loads((trial.prepared / LISTED).read_text(encoding="utf-8"))
    if chance.random() < 0.7:
        names = [name for name in names if name.startswith(READ)]
    name = chance.choice(names)
    data = (trial.prepared / name).read_bytes()
    for _ in range(chance.randint(1, 2)):
        data = chance.choice([bytes_changed, numbers_changed])(data or b"\0", chance)
    file, made = trial.folder / "image", trial.folder / "made.yaml"
    file.write_bytes(data)
    columns = chance.choice(["1", "7", "40"])
    done = forked("picture", file, "--columns", columns, "-o", made, home=home)
    what = f"{name}, {columns} columns"
    if not check_output(trial, done, what):
        return
    if done.status == 0:
        checked = forked("check", made, home=home)
        trial.check(checked.status == 0, f"{what}: `check` refuses what was made: {checked.err[:200]}")
        return
    trial.check(done.status == 1, f"{what}: status {done.status}: {done.err[:200]!r}")
    trial.check(not made.exists() and not done.out, f"{what}: refused, but something was written")
    trial.check(done.err.startswith(f"{file}: ") and done.err.count("\n") == 1, f"{what}: {done.err[:200]!r}")


def attack_plan(trial: Trial) -> None:
    """Unpacks a mutated plan: it is an order that can be followed, or none."""
    chance = trial.chance
    design, problems = parse(BAND.replace("repeats: 700", f"repeats: {chance.randint(1, 30)}"))
    assert design is not None, problems
    whole = whole_piece(design, None, None, design.repeats)
    order = order_of(whole, Way("segments"), []) if chance.random() < 0.5 else by_rows(whole)
    plan = bytes_changed(packed(order), chance)

    def unpack() -> None:
        found = unpacked(plan, whole)
        if found is not None and not can_be_followed(whole, found.sequence):
            sys.exit("an order that cannot be followed")

    done = in_fork(unpack)
    check_output(trial, done, f"a plan of {len(plan)} bytes")
    trial.check(done.status == 0, f"a plan of {len(plan)} bytes: {done.err[:200]!r}")


IMAGES = Fault("mutated images", 8, 5000, attack_image, prepare_images)
PLANS = Fault("mutated plans", 14, 5000, attack_plan)
