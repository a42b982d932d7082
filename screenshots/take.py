"""Take the pictures of the running program: `python screenshots/take.py [--font PATH] [NAME…]`.

Each scene runs the program in its own terminal with an empty home, presses its keys, and paints the screen to
`screenshots/NAME.png`. Letters are drawn with a monospaced font: `--font`, or the one fontconfig prefers. Block
elements and lines are drawn here, so they join between cells with any font.
"""

from __future__ import annotations

import argparse
import os
import re
import subprocess
import sys
import tempfile
import unicodedata
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from PIL import Image, ImageDraw, ImageFont

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from tests.player import Player  # noqa: E402 (the root has to be on the path first)
from tests.terminal import Cell, Terminal  # noqa: E402

FIRST = "tidewater-chevron"
"""The design the bench scenes follow: the name of a file in `designs/`, without `.yaml`."""

# The scenes

Action = Callable[[Terminal], None]

SIXTEEN_COLOURS = {"TERM": "xterm-16color", "COLORTERM": ""}
NO_COLOUR = {"NO_COLOR": "1"}
HOME = (sys.executable, "-m", "benchmate")


def shown(terminal: Terminal) -> None:
    """Wait until the first screen is complete."""
    terminal.wait_until(lambda terminal: any(terminal.lines), timeout=20, what="picture")
    terminal.settle(quiet=0.4)


def wait_for(text: str) -> Action:
    """Wait until one line has `text`."""
    return lambda terminal: terminal.wait_for(text)


def press(*names: str, times: int = 1, gap: float = 0.2) -> Action:
    """Press keys `gap` seconds apart (under 0.1 s counts as a held key), then let the screen settle."""

    def action(terminal: Terminal) -> None:
        terminal.press(*names * times, gap=gap)
        terminal.settle()

    return action


def later(terminal: Terminal) -> None:
    """Wait two seconds."""
    terminal.pump(2.0)


def follow(design: str, *options: str) -> tuple[str, ...]:
    """The command line that opens the bench on a shipped design."""
    return (*HOME, "follow", f"designs/{design}.yaml", *options)


def after(*actions: Action) -> tuple[Action, ...]:
    """The actions once the first screen is complete."""
    return (shown, *actions)


some = press("space", times=12)
far_in = (press("j", "r", "2", "4", "enter"), press("space", times=3))
"""To the first knots of row 24 of the band, after any start."""
HANGING = "kddfkf"
"""How the strings hang there when knot 49 was made forward-backward, a letter a string."""
to_the_end = (press("j", "e", "enter"), press("space"))
BY_SEGMENTS = follow("garden-path-stripe", "--by", "segments")


WRIST = follow(FIRST, "--wrist", "160")
MEASURED = after(press("j", "r", "4", "9", "enter"), press("e"), press("down", times=7), press("enter"))
"""To the question how long the band is now, after 48 rows."""
to_the_box = (press("tab", "h"), press("down", times=3), press("enter"))


def a_thread(name: str, colour: str) -> tuple[Action, ...]:
    """Puts a skein of 8 m into the open box."""
    return (press("a", *name, "enter", *colour, "enter", "enter", "enter", *"8 m", "enter", "enter", "enter"),)


@dataclass(frozen=True)
class Screen:
    """One screen of the program: the command, and the actions that lead to it."""

    argv: Sequence[str] = follow(FIRST)
    actions: Sequence[Action] = (shown, some)


SCREENS: Mapping[str, Screen] = {
    "home": Screen(HOME, after(press(*["down"] * 6))),
    "find": Screen(HOME, after(press(*"rope"))),
    "cutting": Screen(follow(FIRST), after(press("l"))),
    "cutting-folded": Screen(follow("bead-rail"), after(press("l"))),
    "laying-out": Screen(follow(FIRST), after(press("l", "l", "space", gap=0.3))),
    "loading": Screen(follow("mooring-line"), after(press("space", times=3), press("l", "space", "space"))),
    "start": Screen(follow("two-ropes"), after()),
    "bench": Screen(),
    "there-and-back": Screen(follow("bead-rail"), after(press("space", times=9))),
    "segments": Screen(BY_SEGMENTS),
    "row": Screen(actions=after(press("m", "m"), some)),
    "words": Screen(actions=after(some, press("r"))),
    "picture": Screen(follow("cherries-by-the-pair"), after(*far_in)),
    "braid": Screen(follow("mooring-line"), after(press("space", times=7))),
    "lesson": Screen(follow("lesson-2-forward"), after(press("space", times=4))),
    "pace": Screen(BY_SEGMENTS, after(some, press("p"), wait_for("DONE IN"), later)),
    "wrong": Screen(actions=after(some, press("u", "left", "left", "up"))),
    "undo": Screen(actions=after(some, press("u", "left", "left", "up", "enter"))),
    "hanging": Screen(actions=after(*far_in, press("u", "s"), press(*HANGING))),
    "what-went-wrong": Screen(actions=after(*far_in, press("u", "s"), press(*HANGING, "enter"))),
    "three-ways": Screen(actions=after(*far_in, press("u", "left", "left", "up", "c", "2"))),
    "lost-place": Screen(actions=after(*far_in, press("j", "w", "enter"))),
    "running-short": Screen(actions=after(*far_in, press("u", "l"))),
    "way": Screen(actions=after(some, press("w"))),
    "out-of-turn": Screen(follow(FIRST, "--by", "segments"), after(some, press("o", "down"))),
    "jump": Screen(actions=after(press("space", times=3), press("j", "1", "2"))),
    "length": Screen(actions=after(some, press("e", "down"))),
    "how-long-now": Screen(WRIST, (*MEASURED, press("7", ".", "2"))),
    "length-measured": Screen(WRIST, (*MEASURED, press("7", ".", "2", "enter"))),
    "all-done": Screen(follow("first-pointed-band"), after(*to_the_end)),
    "band": Screen(follow("first-pointed-band"), after(*to_the_end, press("b"))),
    "left-over": Screen(follow("first-pointed-band"), after(*to_the_end, press("a", "2", "1", ".", "5"))),
    "left-over-kept": Screen(
        follow("first-pointed-band"), after(*to_the_end, press("a", "2", "1", ".", "5", "enter", "tab", "escape"))
    ),
    "variegated": Screen(follow("dusk-over-the-ford"), after(press("j", "7", "8", "enter"), press("space", times=2))),
    "thread": Screen(HOME, after(press("tab", "h"))),
    "gauges": Screen(HOME, after(press("tab", "h", "enter"))),
    "swatch": Screen(HOME, after(press("tab", "h", "down"), press("enter", times=4), press("2", "2"))),
    "box": Screen(HOME, after(*to_the_box, *a_thread("night blue", "#1b2a49"), *a_thread("ivory", "ivory"))),
    "keys": Screen(actions=after(press("?"))),
    "pedal": Screen(actions=after(press("?"), press("p"))),
    "sound": Screen(actions=after(press("s"), wait_for("English"), press("down"))),
}
"""Every screen, taken at all `SIZES`."""

SIZES = ((80, 24), (40, 12), (120, 36))
LARGEST = (200, 60)
IN_LARGEST = ("home", "bench", "segments", "picture", "braid")
LOOKS: Mapping[str, Mapping[str, str]] = {
    "light": {},
    "16-colours": SIXTEEN_COLOURS,
    "256-colours": {"TERM": "xterm-256color", "COLORTERM": ""},
    "no-colour": NO_COLOUR,
}
IN_ALL_LOOKS = ("bench", "picture", "braid", "lesson", "laying-out", "cutting")


@dataclass(frozen=True)
class Scene:
    """One picture: a screen, the size and kind of terminal, and the actions before it is taken."""

    name: str
    columns: int
    rows: int
    argv: Sequence[str]
    actions: Sequence[Action]
    env: Mapping[str, str] = field(default_factory=dict)


def scenes() -> Iterator[Scene]:
    """Every screen at three sizes, some larger still, and some in every look."""
    for name, screen in SCREENS.items():
        for columns, rows in (*SIZES, *([LARGEST] if name in IN_LARGEST else [])):
            yield Scene(f"{name}-{columns}x{rows}", columns, rows, screen.argv, screen.actions)
    for name in IN_ALL_LOOKS:
        screen = SCREENS[name]
        for look, env in LOOKS.items():
            changed = (*screen.actions, press("d")) if look == "light" else screen.actions
            yield Scene(f"{name}-{look}-80x24", 80, 24, screen.argv, changed, env)


def act(scene: Scene) -> list[list[Cell]]:
    """Run a scene and return the rows of cells on the screen at its end.

    Raises AssertionError, with the screen, when the program does not get there or has ended.
    """
    with tempfile.TemporaryDirectory() as home:
        # A silent player, so the pictures are the same on a machine without a sound card.
        env = {"BENCHMATE_HOME": home, "PATH": Player(Path(home) / "player").path(), **scene.env}
        with Terminal(scene.argv, columns=scene.columns, rows=scene.rows, env=env, cwd=ROOT) as terminal:
            for action in scene.actions:
                action(terminal)
            terminal.wait_until(lambda terminal: terminal.alive, timeout=0, what="its picture")
            columns, rows = range(scene.columns), range(scene.rows)
            return [[terminal.cell(row, column) for column in columns] for row in rows]


# Colours

Colour = tuple[int, int, int]

FOREGROUND: Colour = (216, 216, 210)
BACKGROUND: Colour = (18, 20, 24)
# The sixteen named colours in xterm's default shades; every terminal has its own.
NAMED: Mapping[str, Colour] = {
    "black": (0, 0, 0),
    "red": (205, 0, 0),
    "green": (0, 205, 0),
    "brown": (205, 205, 0),
    "blue": (0, 0, 238),
    "magenta": (205, 0, 205),
    "cyan": (0, 205, 205),
    "white": (229, 229, 229),
    "brightblack": (127, 127, 127),
    "brightred": (255, 0, 0),
    "brightgreen": (0, 255, 0),
    "brightbrown": (255, 255, 0),
    "brightblue": (92, 92, 255),
    "brightmagenta": (255, 0, 255),
    "brightcyan": (0, 255, 255),
    "brightwhite": (255, 255, 255),
}


def colours_of(cell: Cell) -> tuple[Colour, Colour]:
    """The colours of a cell's character and its ground."""
    ink, ground = rgb(cell.fg, FOREGROUND), rgb(cell.bg, BACKGROUND)
    if cell.reverse:
        ink, ground = ground, ink
    if cell.dim:
        ink = ((ink[0] + ground[0]) // 2, (ink[1] + ground[1]) // 2, (ink[2] + ground[2]) // 2)
    return ink, ground


def rgb(colour: str, default: Colour) -> Colour:
    """A cell's colour, 8 bits per channel. Raises ValueError if it is neither named nor hexadecimal."""
    if colour == "default":
        return default
    if colour in NAMED:
        return NAMED[colour]
    red, green, blue = bytes.fromhex(colour)
    return red, green, blue


# Shapes drawn here: masks the size of a cell, 255 for ink

WIDTH, HEIGHT = 12, 24
LIGHT, HEAVY = 2, 4
SHADES = {"░": 64, "▒": 128, "▓": 191}
# The inked quarters as bits: upper left 1, upper right 2, lower left 4, lower right 8.
QUADRANTS = dict(zip("▖▗▘▙▚▛▜▝▞▟", (4, 8, 1, 13, 9, 7, 11, 2, 6, 14), strict=True))
ARMS = {
    "LEFT": ("left",),
    "RIGHT": ("right",),
    "UP": ("up",),
    "DOWN": ("down",),
    "HORIZONTAL": ("left", "right"),
    "VERTICAL": ("up", "down"),
}


def block(char: str) -> Image.Image:
    """The mask of a block element, U+2580 to U+259F; eighths of the width are rounded to whole pixels."""
    mask = Image.new("L", (WIDTH, HEIGHT))
    code = ord(char)
    if char in SHADES:
        mask.paste(SHADES[char], (0, 0, WIDTH, HEIGHT))
    elif char in QUADRANTS:
        for bit in range(4):
            if QUADRANTS[char] >> bit & 1:
                left, top = bit % 2 * WIDTH // 2, bit // 2 * HEIGHT // 2
                mask.paste(255, (left, top, left + WIDTH // 2, top + HEIGHT // 2))
    elif char in "▀▔":
        mask.paste(255, (0, 0, WIDTH, HEIGHT // 2 if char == "▀" else HEIGHT // 8))
    elif char in "▐▕":
        mask.paste(255, (WIDTH // 2 if char == "▐" else eighths(7, WIDTH), 0, WIDTH, HEIGHT))
    elif code <= 0x2588:
        mask.paste(255, (0, HEIGHT - eighths(code - 0x2580, HEIGHT), WIDTH, HEIGHT))
    else:
        mask.paste(255, (0, 0, eighths(0x2590 - code, WIDTH), HEIGHT))
    return mask


def eighths(count: int, length: int) -> int:
    """`count` eighths of a length in pixels, a half rounded up."""
    return (count * length + 4) // 8


def line_arms(char: str) -> Mapping[str, int] | None:
    """The arms of a box-drawing character as side → thickness in pixels, read from its Unicode name.

    None for dashes, arcs, double lines and diagonals, which have no light or heavy straight arms.
    """
    name = unicodedata.name(char).removeprefix("BOX DRAWINGS ")
    arms: dict[str, int] = {}
    weight = LIGHT
    for clause in name.split(" AND "):
        words = clause.split()
        weights = [word for word in words if word in ("LIGHT", "HEAVY")]
        sides = [word for word in words if word in ARMS]
        if len(weights) + len(sides) < len(words):
            return None
        if weights:
            weight = HEAVY if weights == ["HEAVY"] else LIGHT
        arms |= {arm: weight for side in sides for arm in ARMS[side]}
    return arms


def lines(arms: Mapping[str, int]) -> Image.Image:
    """The mask of straight arms from the middle of a cell to its sides."""
    mask = Image.new("L", (WIDTH, HEIGHT))
    x, y = WIDTH // 2, HEIGHT // 2
    # Each arm crosses the middle by half the thickest arm across it, so corners are square and closed.
    over_x = max(arms.get("up", 0), arms.get("down", 0)) // 2
    over_y = max(arms.get("left", 0), arms.get("right", 0)) // 2
    for side, thickness in arms.items():
        half = thickness // 2
        mask.paste(
            255,
            {
                "left": (0, y - half, x + over_x, y + half),
                "right": (x - over_x, y - half, WIDTH, y + half),
                "up": (x - half, 0, x + half, y + over_y),
                "down": (x - half, y - over_y, x + half, HEIGHT),
            }[side],
        )
    return mask


def rounded(char: str) -> Image.Image:
    """The mask of a light rounded corner, U+256D to U+2570."""
    fine = 8
    mask = Image.new("L", (WIDTH * fine, HEIGHT * fine))
    draw = ImageDraw.Draw(mask)
    x, y, half, radius = WIDTH // 2 * fine, HEIGHT // 2 * fine, LIGHT // 2 * fine, WIDTH // 2 * fine
    # Drawn as the corner that goes down and right, then flipped into place.
    draw.arc((x - half, y - half, x + 2 * radius + half, y + 2 * radius + half), 180, 270, 255, 2 * half)
    draw.rectangle((x - half, y + radius, x + half - 1, HEIGHT * fine), 255)
    if char in "╮╯":
        mask = mask.transpose(Image.Transpose.FLIP_LEFT_RIGHT)
    if char in "╰╯":
        mask = mask.transpose(Image.Transpose.FLIP_TOP_BOTTOM)
    return mask.resize((WIDTH, HEIGHT), Image.Resampling.BOX)


# Letters


BASIC = ImageFont.Layout.BASIC


class FontError(Exception):
    """No usable font; the message says what to do."""


class Letters:
    """Characters as masks: from a monospaced font, or drawn here if they must join their neighbours."""

    def __init__(self, regular: Path, bold: Path | None) -> None:
        """Load a font at the largest size that fits a cell. Raises FontError for a file that is not a font."""
        self._regular = fitted(regular)
        self._bold = fitted(bold) if bold else None
        ascent, descent = self._regular.getmetrics()
        self.baseline = (HEIGHT - ascent - descent + 1) // 2 + ascent
        """Pixels from the top of a cell to the baseline."""
        self.missing: set[str] = set()
        """Characters that were needed but are not in the font."""
        self.mask = cache(self._mask)

    def _mask(self, char: str, bold: bool, cells: int) -> Image.Image:
        """The mask of a character over one cell or two."""
        code = ord(char[0])
        if 0x2580 <= code <= 0x259F:
            return block(char)
        if 0x256D <= code <= 0x2570:
            return rounded(char)
        if 0x2500 <= code <= 0x257F and (arms := line_arms(char)) is not None:
            return lines(arms)
        font = self._bold if bold and self._bold else self._regular
        if font.getmask(char[0]).getbbox() and bytes(font.getmask(char[0])) == bytes(font.getmask("\uffff")):
            self.missing.add(char)
        mask = Image.new("L", (cells * WIDTH, HEIGHT))
        draw = ImageDraw.Draw(mask)
        draw.text((0, self.baseline), char, 255, font, anchor="ls")
        if bold and not self._bold:
            # Without a bold font, draw the character twice, one pixel apart.
            draw.text((1, self.baseline), char, 255, font, anchor="ls")
        return mask


def fitted(path: Path) -> ImageFont.FreeTypeFont:
    """A font at the largest whole size whose letters fit a cell."""
    try:
        sizes = [ImageFont.truetype(path, size, layout_engine=BASIC) for size in range(8, 33)]
    except OSError as error:
        raise FontError(f"{path}: {error}; give a TrueType font with --font") from None
    fitting = [font for font in sizes if font.getlength("M") <= WIDTH and sum(font.getmetrics()) <= HEIGHT]
    if not fitting:
        raise FontError(f"{path}: too big for a cell of {WIDTH} by {HEIGHT} pixels; give another with --font")
    return fitting[-1]


def find_font(given: Path | None) -> Letters:
    """The given font and the bold one beside it, or fontconfig's choice. Raises FontError if there is none."""
    if given:
        beside = given.with_stem(re.sub(r"(-Regular)?$", "-Bold", given.stem, count=1))
        return Letters(given, beside if beside.exists() else None)
    regular, bold = match("monospace"), match("monospace:bold")
    return Letters(regular, bold if bold != regular else None)


def match(pattern: str) -> Path:
    """The font file that fontconfig finds for a pattern."""
    wanted = "no monospaced font: install fontconfig and fonts-dejavu-core, or give one with --font"
    command = ["fc-match", "-f", "%{file}", pattern]
    try:
        found = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    except (FileNotFoundError, subprocess.CalledProcessError):
        raise FontError(wanted) from None
    if not found:
        raise FontError(wanted)
    return Path(found)


# Painting


def paint(cells: Sequence[Sequence[Cell]], letters: Letters) -> Image.Image:
    """Paint rows of cells of `WIDTH` by `HEIGHT` pixels."""
    picture = Image.new("RGB", (WIDTH * len(cells[0]), HEIGHT * len(cells)), BACKGROUND)
    for row, line in enumerate(cells):
        for column, cell in enumerate(line):
            if not cell.char:
                continue  # painted with its left half
            wide = 2 if column + 1 < len(line) and not line[column + 1].char else 1
            paint_cell(picture, (column * WIDTH, row * HEIGHT), cell, wide, letters)
    return picture


def paint_cell(picture: Image.Image, at: tuple[int, int], cell: Cell, cells: int, letters: Letters) -> None:
    """Paint one character `cells` cells wide, with its upper left corner at pixel `at`."""
    x, y = at
    ink, ground = colours_of(cell)
    picture.paste(ground, (x, y, x + cells * WIDTH, y + HEIGHT))
    if not cell.char.isspace():
        mask = letters.mask(cell.char, cell.bold, cells)
        picture.paste(ink, (x, y, x + mask.width, y + HEIGHT), mask)
    for drawn, line in ((cell.underline, letters.baseline + 2), (cell.strike, letters.baseline - 6)):
        if drawn:
            picture.paste(ink, (x, y + line, x + cells * WIDTH, y + line + 1))


def main() -> int:
    """Take the requested pictures; exit status 1 if a scene or the font fails, 2 for an unknown scene."""
    known = {scene.name: scene for scene in scenes()}
    parser = argparse.ArgumentParser(description="Take the pictures of the running program.")
    parser.add_argument("--font", type=Path, metavar="PATH", help="a monospaced TrueType font")
    parser.add_argument("names", nargs="*", metavar="NAME", help="scenes, all by default, such as bench-80x24")
    arguments = parser.parse_args()
    if unknown := [name for name in arguments.names if name not in known]:
        parser.error(f"no scene {', '.join(unknown)}; choose from {', '.join(sorted(known))}")
    try:
        letters = find_font(arguments.font)
    except FontError as error:
        print(error, file=sys.stderr)
        return 1
    failed = False
    for name in arguments.names or known:
        try:
            picture = paint(act(known[name]), letters)
        except AssertionError as error:
            print(f"{name}: {error}", file=sys.stderr)
            failed = True
            continue
        path = ROOT / "screenshots" / f"{name}.png"
        picture.save(path, optimize=True)
        print(f"{os.path.relpath(path)}  {picture.width} by {picture.height} pixels")
    for char in sorted(letters.missing):
        print(f"the font has no U+{ord(char[0]):04X} {unicodedata.name(char[0], '')}", file=sys.stderr)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
