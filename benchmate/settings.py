"""The user's settings: keys, presses, colours and the voice. Read strictly; written completely or not at all."""

import os
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import NamedTuple

from benchmate.actions import ACTIONS, NAMED_KEYS, RESERVED, key_named, shown_key
from benchmate.craft.float_rules import LONGEST, MOST_LONGEST, FloatRules
from benchmate.craft.knots import NAMES
from benchmate.craft.thread.usual import USUAL_SCRAP
from benchmate.craft.wording.length_words import UNITS
from benchmate.craft.wording.prompt_parts import Level
from benchmate.files.atomic_write import NotWritten, write_atomically
from benchmate.files.fields import Faults, Fields, as_scalar
from benchmate.files.safe_text import quoted
from benchmate.files.tree import BadFile, MappingNode, Node, ScalarNode, SequenceNode, parse_yaml, read_text
from benchmate.store.errors import StoreError
from benchmate.store.open_piece import PRESSES

GUARD = 100
"""Milliseconds. Presses of one key closer together than this count once."""
SCREENS = ("dark", "light")
ON_OR_OFF = ("on", "off")
LEVELS = tuple(level.value for level in Level)
RATES, VOLUMES = (80, 450), (0, 100)
"""The ranges of words a minute and of the volume in percent."""
SOUNDS_VOLUMES = (0, 100)
"""The range of the loudness of the sounds, in percent of the voice's."""
WIDTHS, LEAST_WIDTH = (0, 1000), 20
"""The range of the width of a line, and the least one but 0, which stands for lines as long as they are."""
FLOATS, HANG = (0, MOST_LONGEST), (0, 500)
"""The ranges of the columns and rows that a float may pass behind, and of the leading strings that may hang at once."""
SCRAPS, SITTINGS, RESTS = (0, 100_000), (5, 600), (0, 240)
"""The ranges of the shortest end to keep, in mm, of the minutes of a sitting, and of those before a rest is offered."""


class Settings(NamedTuple):
    """All settings. `keys` maps the name of every action to its keys; `guard` is in milliseconds.

    `rate` is in words a minute, `volume` in percent; `speaker` is the id of a voice on this machine, or empty for the
    first that speaks the `language`. `knot_names` are the names of the knots by ear. `sounds_volume` is in percent of
    the voice's volume. `width` is that of a line of plain mode, or 0 for lines as long as they are. `float_columns` and
    `float_rows` are the most that a float may pass behind, `hang` the most leading strings that may hang at once, or 0
    for any number. `units` are those of lengths on screen; ends shorter than `scrap` mm are too short to use; `sitting`
    is how many minutes the maker knots at a time. After `rest` minutes of work a rest is offered, with 0 never; `tips`
    says whether small trouble is mentioned when its moment comes.
    """

    keys: Mapping[str, tuple[str, ...]]
    guard: int = GUARD
    press: str = "knot"
    screen: str = "dark"
    voice: str = "off"
    level: str = "full"
    rate: int = 150
    volume: int = 100
    language: str = "en"
    speaker: str = ""
    tick: str = "off"
    knot_names: str = "chart"
    sounds: str = "off"
    sounds_volume: int = 50
    listen: str = "off"
    width: int = 0
    float_columns: int = LONGEST
    float_rows: int = LONGEST
    hang: int = 0
    units: str = "cm"
    scrap: int = USUAL_SCRAP
    sitting: int = 40
    rest: int = 50
    tips: str = "on"

    @property
    def float_rules(self) -> FloatRules:
        """The rules by which the leading strings of pictures are planned."""
        return FloatRules(self.float_columns, self.float_rows, self.hang or None)


DEFAULTS = Settings({action.name: action.keys for action in ACTIONS})


def read_settings(file: Path) -> Settings:
    """The settings in `file`, or the defaults if there is no file. Raises BadFile with every problem in it."""
    name = str(file)
    try:
        os.stat(name)
    except (FileNotFoundError, NotADirectoryError):
        return DEFAULTS
    except OSError:
        # It may well be there; reading it says what is wrong.
        pass
    root, problems = parse_yaml(read_text(name), may_be_empty=True)
    faults = Faults(problems)
    settings = DEFAULTS
    if isinstance(root, MappingNode):
        settings = _read(root, faults)
    elif root is not None:
        faults.error(root, "settings must be `key: value` lines, such as `voice: on`")
    if faults.errors:
        raise BadFile(name, faults.in_file_order())
    return settings


def units_or_usual(path: Path) -> str:
    """The units for lengths. A fault of the settings is left to those who read the rest of them."""
    try:
        return read_settings(path).units
    except BadFile:
        return DEFAULTS.units


def _read(root: MappingNode, faults: Faults) -> Settings:
    fields = Fields(root, [name.replace("_", "-") for name in Settings._fields], faults)
    guard = fields.whole_number("guard", 20, 2000)
    rate, volume = fields.whole_number("rate", *RATES), fields.whole_number("volume", *VOLUMES)
    sounds_volume, width = fields.whole_number("sounds-volume", *SOUNDS_VOLUMES), fields.whole_number("width", *WIDTHS)
    if width is not None and 0 < width < LEAST_WIDTH:
        faults.error(root.entries["width"].value, f"`width` must be 0 or from {LEAST_WIDTH} to {WIDTHS[1]}")
    columns, rows = (fields.whole_number(name, *FLOATS) for name in ("float-columns", "float-rows"))
    scrap, rest = fields.whole_number("scrap", *SCRAPS), fields.whole_number("rest", *RESTS)
    keys = dict(DEFAULTS.keys)
    mapping = fields.mapping("keys", what=" from actions to their keys")
    if mapping is not None:
        chosen = _read_keys(mapping, faults)
        keys |= chosen
        taken = {key for own in chosen.values() for key in own}
        for action in ACTIONS:
            if action.yields and action.name not in chosen:
                keys[action.name] = tuple(key for key in action.keys if key not in taken)
        _refuse_shared(mapping, keys, faults)
    return Settings(
        keys,
        GUARD if guard is None else guard,
        fields.choice("press", PRESSES) or DEFAULTS.press,
        fields.choice("screen", SCREENS) or DEFAULTS.screen,
        fields.choice("voice", ON_OR_OFF) or DEFAULTS.voice,
        fields.choice("level", LEVELS) or DEFAULTS.level,
        DEFAULTS.rate if rate is None else rate,
        DEFAULTS.volume if volume is None else volume,
        fields.one_line("language") or DEFAULTS.language,
        fields.one_line("speaker", may_be_empty=True) or DEFAULTS.speaker,
        fields.choice("tick", ON_OR_OFF) or DEFAULTS.tick,
        fields.choice("knot-names", tuple(NAMES)) or DEFAULTS.knot_names,
        fields.choice("sounds", ON_OR_OFF) or DEFAULTS.sounds,
        DEFAULTS.sounds_volume if sounds_volume is None else sounds_volume,
        fields.choice("listen", ON_OR_OFF) or DEFAULTS.listen,
        width or DEFAULTS.width,
        LONGEST if columns is None else columns,
        LONGEST if rows is None else rows,
        fields.whole_number("hang", *HANG) or DEFAULTS.hang,
        fields.choice("units", UNITS) or DEFAULTS.units,
        DEFAULTS.scrap if scrap is None else scrap,
        fields.whole_number("sitting", *SITTINGS) or DEFAULTS.sitting,
        DEFAULTS.rest if rest is None else rest,
        fields.choice("tips", ON_OR_OFF) or DEFAULTS.tips,
    )


def _read_keys(mapping: MappingNode, faults: Faults) -> dict[str, tuple[str, ...]]:
    fields = Fields(mapping, tuple(DEFAULTS.keys), faults)
    found: dict[str, tuple[str, ...]] = {}
    for name in DEFAULTS.keys:
        node = fields.node(name)
        if node is None:
            continue
        items = node.items if isinstance(node, SequenceNode) else [node]
        keys = [_read_key(item, faults) for item in items]
        if name == "leave" and not keys:
            faults.error(node, "`leave` needs at least one key")
        found[name] = tuple(dict.fromkeys(key for key in keys if key is not None))
    return found


def _read_key(node: Node, faults: Faults) -> str | None:
    scalar = as_scalar(node, "a key", "a name or one character", faults)
    if not isinstance(scalar, ScalarNode):
        return None
    key = key_named(scalar.text)
    if key is None:
        known = [shown_key(name) for name in NAMED_KEYS]
        faults.error(
            scalar,
            f"{quoted(scalar.text)} is not a key; a key is one character or a name{faults.guess(scalar.text, known)}",
        )
    elif key in RESERVED:
        faults.error(scalar, f"{quoted(scalar.text)} leaves or stops the program; choose another key")
    return key


def _refuse_shared(mapping: MappingNode, keys: Mapping[str, tuple[str, ...]], faults: Faults) -> None:
    owners: dict[str, str] = {}
    for name, chosen in keys.items():
        for key in chosen:
            if key in owners:
                both = {name: mapping.entries.get(name), owners[key]: mapping.entries.get(owners[key])}
                entry = next(entry for entry in both.values() if entry is not None)
                faults.error(entry.value, f"{quoted(shown_key(key))} is a key for both `{owners[key]}` and `{name}`")
            owners[key] = name


def change_settings(file: Path, change: Callable[[Settings], Settings]) -> Settings:
    """Changes the settings and writes them. Starts from the saved ones: another window may have changed them.

    Raises StoreError, and changes nothing, when they cannot be read or written.
    """
    try:
        settings = change(read_settings(file))
    except BadFile as bad:
        raise StoreError(f"{str(bad).splitlines()[0]}: fix this first; no setting was changed.") from bad
    write_settings(file, settings)
    return settings


def write_settings(file: Path, settings: Settings) -> None:
    """Writes all settings or none. Raises StoreError when they cannot be written."""
    try:
        file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        write_atomically(file, as_text(settings).encode(), force=True)
    except OSError as error:
        raise StoreError(f"The folder {file.parent} cannot be made ({error.strerror}). {UNCHANGED}") from error
    except NotWritten as error:
        raise StoreError(f"{file}: {error}. {UNCHANGED}") from error


UNCHANGED = "The settings were not changed."


def as_text(settings: Settings) -> str:
    """The settings as the text of their file."""
    lines = [
        "# Settings of the bench, which rewrites this file when you change keys or the voice on the screen.",
        "# One press counts one knot, the rest of the run with the string in hand (run), or the rest of the row (row).",
        f"press: {settings.press}",
        "# Presses of one key closer together than this many thousandths of a second count once.",
        f"guard: {settings.guard}",
        "# dark or light",
        f"screen: {settings.screen}",
        "# The voice when the bench opens, on or off, and how much it says: full (for learning), short, or sparse.",
        f"voice: {settings.voice}",
        f"level: {settings.level}",
        "# Words a minute, volume from 0 to 100, language, and the id of a voice on this machine.",
        f"rate: {settings.rate}",
        f"volume: {settings.volume}",
        f"language: {_in_quotes(settings.language)}",
        f"speaker: {_in_quotes(settings.speaker)}",
        "# A soft tick when you pick up another string: on or off.",
        f"tick: {settings.tick}",
        "# The names of the knots by ear: chart (forward-backward) or larks-head (lark's head forward).",
        f"knot-names: {settings.knot_names}",
        "# A short sound after each press, on or off, and its loudness in percent of the voice's.",
        f"sounds: {settings.sounds}",
        f"sounds-volume: {settings.sounds_volume}",
        "# Two taps on the table, or two claps, as a pedal: on or off.",
        f"listen: {settings.listen}",
        "# The widest line of plain mode, in cells: 20 to 1000, or 0 for lines as long as they are.",
        f"width: {settings.width}",
        "# In pictures: the most columns and rows that a float passes behind, and the most leading strings that hang",
        "# at once (0 for any number).",
        f"float-columns: {settings.float_columns}",
        f"float-rows: {settings.float_rows}",
        f"hang: {settings.hang}",
        "# Lengths on screen in cm or inches; the shortest end of thread to keep, in mm; minutes of a sitting.",
        f"units: {settings.units}",
        f"scrap: {settings.scrap}",
        f"sitting: {settings.sitting}",
        "# Minutes of work before a rest is offered (0 for never); small trouble mentioned in time: on or off.",
        f"rest: {settings.rest}",
        f"tips: {settings.tips}",
        "keys:",
    ]
    for action in ACTIONS:
        keys = ", ".join(_written(key) for key in settings.keys[action.name])
        lines.append(f"  {action.name}: [{keys}]  # {action.says}")
    return "\n".join(lines) + "\n"


def _written(key: str) -> str:
    return _in_quotes(shown_key(key))


def _in_quotes(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"
