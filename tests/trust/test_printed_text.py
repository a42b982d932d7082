"""Whatever the names, titles, arguments and surroundings hold, a terminal gets printable text and line breaks only."""

import re
import sqlite3
import unicodedata
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from PIL import Image

from benchmate.store.checksum import add_checksum, seal
from tests import loaded
from tests.running import COMMAND, PATIENCE, Done, environment, run
from tests.terminal import Terminal

HOSTILE = (
    "\x1b[2J\x1b]0;t\x07\x1bP\x9b1m\x9d\x85\x01\x08\r\t\x0e\x7f\xad"
    "\u061c\u200b\u200d\u200f\u202e\u2066\u2028\u2029\ufeff\U000e0041"
)
"""Control characters of both kinds, an escape sequence with each introducer, bidi and zero width characters, a tag."""
BYTES = "\udc9b\udcff"
"""Bytes in the name of a file that are no text."""
ESCAPED = "".join(f"\\U{ord(sign):08X}" for sign in HOSTILE)
"""The same as YAML has it between double quotes; with a NUL, which no name of a file can have."""

DESIGN = f"""\
benchmate: 1
title: "T{ESCAPED}\\0"
family: diagonal
colours: {{slate: "#2f4858", rain: {{css: "#cfe8ef", say: "p{ESCAPED}\\0"}}}}
strings: [slate, rain, rain, slate]
rows:
  - f b
  - f
repeats: 4
notes: "n{ESCAPED}"
author: "a{ESCAPED}"
"""
LOOP = f"""\
benchmate: 1
title: "T{ESCAPED}"
family: steps
colours: {{slate: "#2f4858"}}
steps:
  - do: "F{ESCAPED}"
    hint: "H{ESCAPED}"
"""
BAD = DESIGN.replace("family: diagonal", f'family: "d{ESCAPED}"') + f'"k{ESCAPED}": 1\n'


def harmful(text: str) -> set[str]:
    """The characters of printed text that must not be there."""
    return {sign for sign in text if sign != "\n" and unicodedata.category(sign) in ("Cc", "Cf", "Cs", "Zl", "Zp")}


class Place:
    """A folder, a home and files, all with hostile names."""

    def __init__(self, parent: Path) -> None:
        self.folder = parent / f"f{HOSTILE}"
        self.folder.mkdir()
        self.home = self.folder / f"h{HOSTILE}\nh"
        self.design, self.loop, self.bad = (self.folder / f"{name}{HOSTILE}{BYTES}.yaml" for name in ("d", "l", "b"))
        self.design.write_text(DESIGN, encoding="utf-8")
        self.loop.write_text(LOOP, encoding="utf-8")
        self.bad.write_text(BAD, encoding="utf-8")
        self.image = self.folder / f"i{HOSTILE}.png"
        Image.new("RGB", (8, 8), "teal").save(self.image)
        surroundings = ("COLUMNS", "LINES", "TERM", "NO_COLOR", "HOME", "XDG_CONFIG_HOME", "LANGUAGE", "TZ")
        self.env = {**dict.fromkeys(surroundings, f"e{HOSTILE}"), "BENCHMATE_HOME": str(self.home)}
        self.printed = 0

    def check(
        self, *arguments: str | Path | bytes, status: int | None = None, given: str = "", start: bool = False
    ) -> Done:
        """Runs a command line; all it prints must be harmless, and its status as expected.

        With `start` in an interpreter of its own, which meets such surroundings itself.
        """
        how = run if start else loaded.run
        done = how(*arguments, home=self.home, env=self.env, cwd=self.folder, given=given)
        assert not harmful(done.out + done.err), arguments
        assert "Traceback" not in done.err, arguments
        assert status is None or done.status == status, (arguments, done)
        self.printed += 1
        return done


@pytest.fixture
def place(tmp_path: Path) -> Place:
    return Place(tmp_path)


def test_designs_with_hostile_texts_hold_them(place: Place) -> None:
    # Otherwise the tests below would look for what was never there.
    assert place.check("check", place.design, place.loop, status=0).err.count("left out of") > 4
    assert place.check("check", place.bad, status=1).err.count("\n") >= 2


def test_commands_that_read_a_design(place: Place) -> None:
    assert "T" in place.check("order", place.design, status=0, start=True).out
    place.check("order", place.design, "--by", "segments", status=0)
    place.check("order", place.design, "--json", status=0)
    place.check("order", place.loop, status=0)
    place.check("untie", place.design, "--done", "3", "--knot", "1", status=0)
    place.check("untie", place.design, "--done", HOSTILE, "--knot", "1", status=2)
    place.check("order", place.bad, status=1)
    place.check("order", f"nowhere{HOSTILE}{BYTES}", status=1)
    place.check("order", place.design, "--by", HOSTILE, status=2)
    place.check("draw", place.design, status=0)
    place.check("draw", place.loop, status=1)
    place.check("draw", place.design, "-o", f"x{HOSTILE}{BYTES}", status=2)
    place.check("draw", place.design, "-o", "-", status=0)
    place.check("draw", place.design, "-o", f"{HOSTILE}/nowhere.svg", status=1)


def test_commands_that_make_a_design(place: Place) -> None:
    place.check("letters", f"a{HOSTILE}{BYTES}", status=2, start=True)
    place.check("letters", "a", "-o", place.design, status=2)
    place.check("letters", "a", "-o", place.folder, status=1)
    place.check("picture", place.image, "--columns", "4", status=0)
    place.check("picture", place.image, "--columns", "4", "--title", f"t{HOSTILE}{BYTES}", status=0)
    place.check("picture", place.design, "--columns", "4", status=1)
    place.check("picture", place.image, "--columns", "4", "--ground", HOSTILE, status=2)
    place.check("picture", "--columns", "4", "--colours", f"{HOSTILE}={HOSTILE}", f"a={HOSTILE}", status=2)
    place.check("picture", "--columns", "4", "--colours", place.image, place.design, status=2)


def test_other_commands_and_faulty_command_lines(place: Place) -> None:
    for arguments in ["--help"], ["--version"], ["order", "--help"], ["help"], ["designs"], ["completion", "zsh"]:
        place.check(*arguments, status=0)
    for arguments in [HOSTILE], [f"--{HOSTILE}"], ["help", HOSTILE], ["completion", HOSTILE], ["check", f"--{BYTES}"]:
        place.check(*arguments, status=2)


def test_pieces_and_plain_lines(place: Place) -> None:
    place.check("follow", place.design, "--plain", given=f"\n\n{HOSTILE}\nb\n", status=0, start=True)
    place.check("follow", place.loop, given="\n", status=0)
    assert place.check("pieces", status=0).out.count("\n") == 2
    place.check("pieces", "--json", status=0)
    place.check("completion", "--list", "designs", "pieces", status=0)
    place.check("follow", place.design, "--plain", "--repeats", "2", status=2)
    place.design.write_text(DESIGN.replace("f b", "b f").replace("T\\", "U\\"), encoding="utf-8")
    assert "has changed" in place.check("follow", place.design, "--plain", status=0).err
    place.design.write_text(BAD, encoding="utf-8")
    assert "cannot be used now" in place.check("follow", place.design, "--plain", status=0).err


COLUMNS = ("title", "file", "way", "started", "touched")


def tampered(place: Place) -> Iterator[str]:
    """A piece, and then what another program may have written into each text of the database."""
    place.check("follow", place.design, "--plain", given="\n\n", status=0)
    database = place.home / "pieces.db"
    clean = database.read_bytes()
    for column in COLUMNS:
        for beside in place.home.glob("pieces.db-*"):
            beside.unlink()
        database.write_bytes(clean)
        with closing(sqlite3.connect(database, isolation_level=None)) as connection:
            connection.execute("PRAGMA ignore_check_constraints = 1")
            connection.execute(f"UPDATE piece SET {column} = ?", (f"x{HOSTILE}\n\0y",))
        yield column


def test_a_database_that_another_program_wrote_to(place: Place) -> None:
    for _ in tampered(place):
        listed = place.check("pieces")
        assert (listed.out + listed.err).count("\n") == 1
        place.check("follow", place.design, "--plain", given="\n")
    place.check("pieces", "--json")
    place.check("completion", "--list", "pieces")
    assert place.printed == 3 + 2 * len(COLUMNS)


def test_the_box(place: Place) -> None:
    place.check("box", "add", f"b{HOSTILE}{BYTES}", "--colour", "teal", status=2)
    place.check("box", "add", "b", "--colour", HOSTILE, "--length", HOSTILE, status=2)
    place.check("box", "add", "b", "--colour", "teal", "--kind", f"k{HOSTILE}", status=2)
    place.check("box", "match", f"c{HOSTILE}", status=2)
    file = place.folder / f"b{HOSTILE}{BYTES}.csv"
    file.write_text(f"name,colour,length_mm,{HOSTILE}\nn{HOSTILE},c{HOSTILE},5{HOSTILE},x\n", encoding="utf-8")
    place.check("box", "import", file, status=1)
    place.check("box", "import", f"nowhere{HOSTILE}", status=1)
    place.check("box", "add", "b", "--colour", "teal", status=0, start=True)
    place.check("box", "export", "-o", f"x{HOSTILE}.csv", status=0)
    place.check("box", "export", "-o", f"x{HOSTILE}.csv", status=2)


@pytest.mark.parametrize("column", ["name", "kind", "colour", "price", "why"])
def test_a_box_that_another_program_wrote_to(place: Place, column: str) -> None:
    def check(*words: str) -> Done:
        done = loaded.run(*words, home=place.home)
        # A file for a spreadsheet has lines that end with both.
        assert not harmful(done.out.replace("\r\n", "\n") + done.err), words
        assert "Traceback" not in done.err, words
        return done

    check("box", "add", "b", "--colour", "teal", "--price", "1")
    with closing(sqlite3.connect(place.home / "pieces.db", isolation_level=None)) as connection:
        add_checksum(connection)
        table = "booking" if column == "why" else "thread"
        connection.execute(f"UPDATE {table} SET {column} = ?", (f"x{HOSTILE}\n\0y",))
        connection.execute(seal(table))
    good = column in ("name", "kind", "why")
    band = "tidewater-chevron"
    for words in (
        ["box"],
        ["box", "--json"],
        ["box", "export"],
        ["box", "match", "teal"],
        ["box", "match", "teal", "--json"],
    ):
        assert check(*words).status == (0 if good else 3), words
    for words in (
        ["box", "for", band],
        ["box", "for", band, "--json"],
        ["draw", band, "--from-box"],
        ["box", "take", "1"],
    ):
        done = check(*words)
        assert done.status == (0 if good else 3), words
        assert good or done.err.count("\n") == 1
    assert check("box", "undo").status == (0 if good else 1)
    check("box", "undo")


@pytest.mark.parametrize("kind", ["garbage", "foreign", "newer", "a file", "lost"])
def test_storage_that_cannot_be_used(place: Place, kind: str) -> None:
    if kind == "a file":
        place.home.write_text("")
    else:
        place.home.mkdir()
    database = place.home / "pieces.db"
    if kind == "garbage":
        database.write_bytes(b"garbage" * 1000)
    elif kind == "lost":
        (place.home / "pieces-copy.db").write_bytes(b"x")
    elif kind != "a file":
        with closing(sqlite3.connect(database)) as connection:
            connection.execute(f"PRAGMA {'application_id = 7' if kind == 'foreign' else 'application_id = 0x6B6E6F74'}")
            connection.execute(f"PRAGMA user_version = {99 if kind == 'newer' else 1}")
    done = place.check("follow", place.design, "--plain", status=3)
    assert "h?[2J?]0;t?" in done.err
    assert done.err.count("\n") == 1


# At a terminal


SIGNS = [b"\x1b[2J\x1b]0;t", *(sign.encode() for sign in HOSTILE if sign > "\x7f")]


@pytest.mark.parametrize(
    ("variables", "ink"),
    [
        ({"COLORTERM": "truecolor"}, r"38;2(?:;\d+){3}"),
        ({"COLORTERM": "", "TERM": "xterm-256color"}, r"38;5;\d+"),
        ({"COLORTERM": "", "TERM": "xterm-16color"}, r"[39][0-7]"),
    ],
)
def test_a_drawing_at_a_terminal_has_colours_and_no_other_sequences(
    place: Place, variables: dict[str, str], ink: str
) -> None:
    with Terminal([*COMMAND, "draw", str(place.design)], env=environment(place.home, variables)) as terminal:
        assert terminal.wait(PATIENCE) == 0
        text = bytes(terminal.raw).decode().replace("\r\n", "\n")
    assert re.search(rf"\x1b\[{ink}m", text)
    ground = ink.replace("38", "48").replace("[39]", "(?:4|10)")
    assert not harmful(re.sub(rf"\x1b\[(?:0|{ink}(?:;{ground})?|{ground})m", "", text))


def test_a_drawing_with_more_colours_than_the_terminal_is_in_signs(place: Place, tmp_path: Path) -> None:
    names = [f"thread-{at}" for at in range(18)]
    colours = ", ".join(f"{name}: '#{at:02}{at:02}a0'" for at, name in enumerate(names, 10))
    file = tmp_path / "many.yaml"
    file.write_text(
        f"benchmate: 1\ntitle: Many\nfamily: diagonal\ncolours: {{{colours}}}\n"
        f"strings: [{', '.join(names)}]\nrows: ['{' '.join(['f'] * 9)}']\n"
    )
    variables = {"COLORTERM": "", "TERM": "xterm-16color"}
    with Terminal([*COMMAND, "draw", str(file)], env=environment(place.home, variables)) as terminal:
        assert terminal.wait(PATIENCE) == 0
        text = bytes(terminal.raw).decode().replace("\r\n", "\n")
    assert "\x1b" not in text
    assert "thread-17" in text


def test_the_full_screen_with_a_database_that_another_program_wrote_to(place: Place) -> None:
    assert next(tampered(place)) == "title"
    with Terminal(COMMAND, env=environment(place.home), columns=120) as terminal:
        terminal.wait_for("q: leave", PATIENCE)
        terminal.press("q")
        assert terminal.wait(PATIENCE) == 0
        raw = bytes(terminal.raw)
    assert not [sign for sign in SIGNS if sign in raw]
    with Terminal([*COMMAND, "follow", str(place.design)], env=environment(place.home)) as terminal:
        assert terminal.wait(PATIENCE) == 3
        text = bytes(terminal.raw).decode().replace("\r\n", "\n")
    assert text.startswith("benchmate: ")
    assert not harmful(text)


def test_storage_that_cannot_be_used_at_a_terminal(place: Place) -> None:
    place.home.mkdir()
    (place.home / "settings.yaml").write_text(f'voice: "{ESCAPED}"\n', encoding="utf-8")
    with Terminal([*COMMAND, "follow", str(place.design)], env=environment(place.home)) as terminal:
        assert terminal.wait(PATIENCE) == 1
        text = bytes(terminal.raw).decode().replace("\r\n", "\n")
    assert "settings.yaml:1:8: `voice` must be" in text
    assert not harmful(text)
