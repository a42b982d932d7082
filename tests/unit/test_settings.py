"""The user's settings: read strictly, written completely, and unchanged when read again."""

import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmate.actions import ACTIONS, MOUSE, NAMED_KEYS, RESERVED, SIGNS, key_named, shown_key
from benchmate.craft.float_rules import USUAL as USUAL_RULES
from benchmate.craft.float_rules import FloatRules
from benchmate.files.tree import BadFile
from benchmate.settings import DEFAULTS, FLOATS, HANG, Settings, as_text, read_settings, write_settings
from benchmate.store.errors import StoreError
from tests.charts import seeded
from tests.unit.test_guard import USUAL


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "settings.yaml"


def read(file: Path, text: str) -> Settings:
    file.write_text(text, encoding="utf-8")
    return read_settings(file)


def problems(file: Path, text: str) -> list[str]:
    """The problems, without the file's name."""
    with pytest.raises(BadFile) as caught:
        read(file, text)
    return [line.removeprefix(f"{file}:") for line in caught.value.lines()]


def test_a_missing_or_empty_file_means_the_defaults(file: Path) -> None:
    assert read_settings(file) == DEFAULTS
    assert not file.exists()
    for text in ("", "# nothing yet\n", "\ufeff", "keys: {}\n"):
        assert read(file, text) == DEFAULTS


def test_the_default_keys_are_those_of_the_contract() -> None:
    # The contract's table of keys.
    assert DEFAULTS.keys["done"] == ("space", "enter", "right", "pagedown")
    assert DEFAULTS.keys["back"] == ("left", "backspace", "pageup")
    assert (DEFAULTS.keys["wrong"], DEFAULTS.keys["keys"], DEFAULTS.keys["leave"]) == (
        ("u",),
        ("question_mark",),
        ("q",),
    )
    assert DEFAULTS.guard / 1000 == USUAL
    keys = [key for chosen in DEFAULTS.keys.values() for key in chosen]
    assert len(keys) == len(set(keys))


def test_each_setting(file: Path) -> None:
    found = read(file, "press: row\nguard: 250\nscreen: light\nkeys:\n  back: [left, 'page up']\n  jump: g\n")
    assert found == Settings(
        {**DEFAULTS.keys, "back": ("left", "pageup"), "jump": ("g",)}, guard=250, press="row", screen="light"
    )
    found = read(
        file,
        "voice: on\nlevel: sparse\nrate: 80\nvolume: 0\nlanguage: no\nspeaker: 'Ida: the second'\ntick: on\n",
    )
    assert found == DEFAULTS._replace(
        voice="on", level="sparse", rate=80, volume=0, language="no", speaker="Ida: the second", tick="on"
    )
    found = read(file, "float-columns: 0\nfloat-rows: 20\nhang: 3\n")
    assert found == DEFAULTS._replace(float_columns=0, float_rows=20, hang=3)
    assert found.float_rules == FloatRules(columns=0, rows=20, hang=3)
    assert DEFAULTS.float_rules == USUAL_RULES


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("page down", "pagedown"),
        ("Page Down", "pagedown"),
        ("pagedown", "pagedown"),
        ("F5", "f5"),
        ("?", "question_mark"),
        ("ctrl+x", "ctrl+x"),
        ("mouse left", "mouseleft"),
        ("alt+shift+left", "alt+shift+left"),
        ("ctrl+?", "ctrl+question_mark"),
        ("+", "plus"),
        ("ctrl++", "ctrl+plus"),
        ("-", "minus"),
        ("minus", "minus"),
        ("é", "é"),
        ("D", "D"),
        ("7", "7"),
        ("@", "@"),
    ],
)
def test_keys_by_the_names_people_use(file: Path, text: str, key: str) -> None:
    assert key_named(text) == key
    assert key_named(shown_key(key)) == key
    # The bench separates the keys of a binding with commas.
    assert "," not in key
    found = read(file, f"keys: {{done: f12, keys: f11, back: f10, jump: '{text}'}}\n")
    assert found.keys["jump"] == (key,)


@pytest.mark.parametrize("text", ["", " ", "pedal", "page", "ctrl+", "+x", "super+x", "ctrl x", "f13", "\u200b", "++"])
def test_texts_that_are_not_keys(text: str) -> None:
    assert key_named(text) is None


@pytest.mark.parametrize(
    ("text", "messages"),
    [
        ("guard: 19\n", ["1:8: `guard` must be a whole number from 20 to 2000, such as 20 (found `19`)"]),
        ("guard: 2001\n", ["1:8: `guard` must be a whole number from 20 to 2000, such as 20 (found `2001`)"]),
        ("guard: fast\n", ["1:8: `guard` must be a whole number from 20 to 2000, such as 20 (found `fast`)"]),
        ("voice: loud\n", ["1:8: `voice` must be one of on, off (found `loud`)"]),
        ("level: ful\n", ["1:8: `level` must be one of full, short, sparse (found `ful`); did you mean `full`?"]),
        ("rate: 79\n", ["1:7: `rate` must be a whole number from 80 to 450, such as 80 (found `79`)"]),
        ("volume: 1.5\n", ["1:9: `volume` must be a whole number from 0 to 100, such as 12 (found `1.5`)"]),
        ("language: ''\n", ["1:11: `language`"]),
        ("press: rows\n", ["1:8: `press` must be one of knot, run, row (found `rows`); did you mean `row`?"]),
        ("screen: [dark]\n", ["1:9: `screen` must be one of dark, light (found a list)"]),
        ("\nkeys: space\n", ["2:7: `keys` must be a mapping from actions to their keys (found text)"]),
        ("pres: row\n", ["1:1: unknown key `pres`; did you mean `press`?"]),
        ("keys:\n  dine: x\n", ["2:3: unknown key `dine`; did you mean `done`?"]),
        ("keys:\n  zzzz: x\n", ["2:3: unknown key `zzzz`; the nearest is `wrong`"]),
        (
            "keys:\n  back: [left, page upp]\n",
            ["2:16: `page upp` is not a key; a key is one character or a name; did you mean `page up`?"],
        ),
        ("keys: {wrong: {a: b}}\n", ["1:15: a key must be a name or one character (found a mapping)"]),
        ("keys: {leave: []}\n", ["1:15: `leave` needs at least one key"]),
        ("keys: {done: [ctrl+c]}\n", ["1:15: `ctrl+c` leaves or stops the program; choose another key"]),
        ("- press\n", ["1:1: settings must be `key: value` lines, such as `voice: on`"]),
        ("row\n", ["1:1: settings must be `key: value` lines, such as `voice: on`"]),
        ("guard: 90\nguard: 95\n", ["2:1: duplicate key `guard`: it is already on line 1"]),
        (
            "keys:\n  wrong: x\n  jump: [j, x]\n",
            ["3:9: `x` is a key for both `wrong` and `jump`"],
        ),
        ("keys:\n  jump: page down\n", ["2:9: `page down` is a key for both `done` and `jump`"]),
        ("keys:\n  jump: u\n", ["2:9: `u` is a key for both `wrong` and `jump`"]),
        (
            "press: x\nguard: 5\nkeys:\n  leave: []\n  jump: u\n",
            [
                "1:8: `press` must be one of knot, run, row (found `x`); the nearest is `run`",
                "2:8: `guard` must be a whole number from 20 to 2000, such as 20 (found `5`)",
                "4:10: `leave` needs at least one key",
                "5:9: `u` is a key for both `wrong` and `jump`",
            ],
        ),
        (
            'keys: {jump: "\\e[2J"}\n',
            ["1:14: `?[2J` is not a key; a key is one character or a name; the nearest is"],
        ),
    ],
)
def test_every_problem_has_its_place(file: Path, text: str, messages: list[str]) -> None:
    found = problems(file, text)
    assert len(found) == len(messages)
    for line, beginning in zip(found, messages, strict=True):
        assert line.startswith(beginning)


def test_two_actions_can_swap_their_keys(file: Path) -> None:
    found = read(file, "keys:\n  wrong: j\n  jump: u\n")
    assert (found.keys["wrong"], found.keys["jump"]) == (("j",), ("u",))


def test_an_action_may_have_no_key(file: Path) -> None:
    assert read(file, "keys: {light: []}\n").keys["light"] == ()


def test_a_duplicate_key_of_one_action_counts_once(file: Path) -> None:
    assert read(file, "keys: {jump: [g, g, G]}\n").keys["jump"] == ("g", "G")


some_keys = st.one_of(
    st.sampled_from(NAMED_KEYS),
    st.sampled_from(sorted(SIGNS.values())),
    st.characters(exclude_categories=["C", "Z"], exclude_characters="".join(SIGNS)).filter(str.isprintable),
)
held_keys = st.sampled_from(["", "ctrl+", "alt+", "shift+", "ctrl+shift+"])
all_keys = st.builds("{}{}".format, held_keys, some_keys).filter(
    lambda key: key not in RESERVED and (key in MOUSE or not key.endswith(MOUSE))
)


@st.composite
def all_settings(draw: st.DrawFn) -> Settings:
    """Any valid settings."""
    keys = draw(st.lists(all_keys, unique=True, min_size=1, max_size=30))
    owners: dict[str, tuple[str, ...]] = {action.name: () for action in ACTIONS}
    owners["leave"] = (keys.pop(),)
    for key in keys:
        owners[draw(st.sampled_from(sorted(owners)))] += (key,)
    return Settings(
        owners,
        guard=draw(st.integers(20, 2000)),
        press=draw(st.sampled_from(["knot", "row"])),
        screen=draw(st.sampled_from(["dark", "light"])),
        voice=draw(st.sampled_from(["on", "off"])),
        level=draw(st.sampled_from(["full", "short", "sparse"])),
        rate=draw(st.integers(80, 450)),
        volume=draw(st.integers(0, 100)),
        language=draw(st.sampled_from(["en", "de-AT", "pt_BR", "no"])),
        speaker=draw(st.one_of(st.just(""), st.text("az AZ09/.'\"#:-{}[]%&*!|>@`é", min_size=1).map(str.strip))),
        tick=draw(st.sampled_from(["on", "off"])),
        float_columns=draw(st.integers(*FLOATS)),
        float_rows=draw(st.integers(*FLOATS)),
        hang=draw(st.integers(*HANG)),
    )


@seeded
@given(all_settings())
def test_written_settings_are_the_same_when_read_again(
    tmp_path_factory: pytest.TempPathFactory, settings: Settings
) -> None:
    file = tmp_path_factory.getbasetemp() / "again.yaml"
    write_settings(file, settings)
    assert read_settings(file) == settings


def test_the_file_explains_every_action(file: Path) -> None:
    text = as_text(DEFAULTS)
    for action in ACTIONS:
        assert f"  {action.name}: [" in text
        assert f"# {action.says}\n" in text
    assert "'page down'" in text
    assert "'?'" in text


def test_a_folder_with_the_name_of_the_file_is_reported_and_unchanged(file: Path) -> None:
    file.mkdir()
    with pytest.raises(
        StoreError, match=r"settings\.yaml: this is a folder, not a file\. The settings were not changed"
    ):
        write_settings(file, DEFAULTS)
    assert [each.name for each in file.parent.iterdir()] == ["settings.yaml"]


def test_a_link_to_the_settings_stays_a_link(file: Path, tmp_path: Path) -> None:
    real = tmp_path / "elsewhere" / "mine.yaml"
    real.parent.mkdir()
    for there in (True, False):
        file.symlink_to(real)
        write_settings(file, DEFAULTS._replace(guard=500 + there))
        assert file.is_symlink()
        assert read_settings(real).guard == 500 + there
        assert [each.name for each in real.parent.iterdir()] == ["mine.yaml"]
        file.unlink()
        real.unlink()


@pytest.mark.parametrize("linked", [False, True])
def test_the_settings_keep_their_mode(file: Path, tmp_path: Path, linked: bool) -> None:
    real = tmp_path / "real.yaml" if linked else file
    write_settings(real, DEFAULTS)
    real.chmod(0o600)
    if linked:
        file.symlink_to(real)
    write_settings(file, DEFAULTS._replace(guard=500))
    assert (real.stat().st_mode & 0o777, read_settings(file).guard) == (0o600, 500)
    assert file.is_symlink() == linked


def test_settings_that_may_be_there_but_cannot_be_reached(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def not_allowed(path: str) -> os.stat_result:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(os, "stat", not_allowed)
    with pytest.raises(BadFile, match="no permission to read this file"):
        read_settings(file)


def test_a_failed_write_leaves_the_old_settings(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    write_settings(file, DEFAULTS)
    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(StoreError, match="disk full; this file was not written"):
        write_settings(file, DEFAULTS._replace(guard=500))
    assert read_settings(file) == DEFAULTS
    assert [each.name for each in file.parent.iterdir()] == ["settings.yaml"]


def test_a_missing_folder_is_made_or_its_failure_reported(tmp_path: Path) -> None:
    write_settings(tmp_path / "a" / "b" / "settings.yaml", DEFAULTS)
    assert read_settings(tmp_path / "a" / "b" / "settings.yaml") == DEFAULTS
    (tmp_path / "file").touch()
    with pytest.raises(
        StoreError, match=r"file cannot be made \((Not a directory|File exists)\)\. The settings were not changed"
    ):
        write_settings(tmp_path / "file" / "settings.yaml", DEFAULTS)


def test_keys_in_an_older_file_win_over_the_keys_of_newer_actions(file: Path) -> None:
    found = read(file, "keys:\n  done: [w, space]\n")
    assert (found.keys["done"], found.keys["way"], found.keys["other"]) == (("w", "space"), (), ("o",))
    # Written in the file for both actions, the key is a conflict.
    assert problems(file, "keys:\n  done: [w, space]\n  way: w\n") == ["3:8: `w` is a key for both `done` and `way`"]
