"""The help pages: one for every topic, each fits any width, and together they are complete."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

from benchmate import exit_status
from benchmate.actions import ACTIONS, NAMED_KEYS, RESERVED, shown_key
from benchmate.cli import COMMANDS, all_commands
from benchmate.craft.design import MOST_STEPS, MOST_STRINGS
from benchmate.craft.effort import HOW_HARD, how_hard
from benchmate.craft.thread.kinds import KINDS
from benchmate.design_files.load import COMMON_KEYS, load
from benchmate.families.braid.body import MOST_SLOTS
from benchmate.families.registry import FAMILIES
from benchmate.families.steps.reader import DRAWINGS
from benchmate.files.fields import MOST_IN_LINE, MOST_IN_NOTES
from benchmate.help.page_layout import laid_out
from benchmate.help.topics import KEYS_TABLE, TOPICS, page, page_in_sentences, summary, topic_list
from benchmate.settings import DEFAULTS, FLOATS, HANG, LEVELS, RATES, SCREENS, VOLUMES, Settings, read_settings
from benchmate.store.open_piece import PRESSES
from tests.loaded import run
from tests.running import ROOT

PAGES = ROOT / "benchmate" / "help" / "pages"
WIDTHS = (12, 20, 36, 40, 76, 80, 200)


def raw(topic: str) -> str:
    """The text of a page's file."""
    return (PAGES / f"{topic}.txt").read_text(encoding="utf-8")


def words(topic: str, width: int = 80) -> str:
    """A page as shown, on one line."""
    return " ".join(" ".join(page(topic, width)).split())


def table(topic: str) -> dict[str, str]:
    """The rows of all tables of a page: terms and meanings."""
    wide = page(topic, 400)
    rows = [re.fullmatch(r" {2}(\S.*?) {2,}(\S.*)", line) for line in wide]
    return {row[1]: row[2] for row in rows if row is not None}


def yaml_examples(topic: str) -> list[str]:
    """The YAML examples of a page, without their indent."""
    blocks = re.findall(r"(?<=\n\n)(?: {4}.*\n)+", raw(topic))
    return [re.sub(r"^ {4}", "", block, flags=re.MULTILINE) for block in blocks]


# Pages


def test_every_topic_has_a_page_and_every_page_is_a_topic() -> None:
    assert sorted(file.name for file in PAGES.iterdir()) == sorted(f"{topic}.txt" for topic in TOPICS)
    assert len(set(TOPICS)) == len(TOPICS)


@pytest.mark.parametrize("topic", TOPICS)
def test_a_page_is_plain_text_that_begins_with_its_summary(topic: str) -> None:
    text = raw(topic)
    first, blank, *rest = text.split("\n")
    assert first == summary(topic) != ""
    assert len(first) <= 62, "it must fit in the list beside the topic"
    assert blank == ""
    assert rest
    assert text.replace("\n", "").isprintable()
    assert max(map(len, text.split("\n"))) <= 100, "the file must be readable as it is"
    assert text.endswith("\n")


@pytest.mark.parametrize("topic", TOPICS)
@pytest.mark.parametrize("width", WIDTHS)
def test_a_page_fits_its_width_and_keeps_every_word(topic: str, width: int) -> None:
    lines = page(topic, width)
    assert max(map(len, lines)) <= width
    # Compare sorted characters, because tables in columns change the order of the words.
    expected = raw(topic).partition("\n")[2]
    if KEYS_TABLE in expected:
        expected = expected.replace(KEYS_TABLE, "")
        lines = lines[lines.index("") :]
    assert sorted("".join(lines).replace(" ", "")) == sorted("".join(expected.split()))


@pytest.mark.parametrize("width", WIDTHS)
def test_the_list_of_topics_fits_its_width(width: int) -> None:
    lines = topic_list(width)
    assert max(map(len, lines)) <= width
    shown = "".join(lines).replace(" ", "")
    assert all((topic + summary(topic)).replace(" ", "") in shown for topic in TOPICS)


@pytest.mark.parametrize("topic", TOPICS)
def test_pages_name_only_existing_topics(topic: str) -> None:
    named = re.findall(r"(?:the )?page `([^`]+)`", " ".join(raw(topic).split()))
    named += re.findall(r"benchmate help (\w+)", raw(topic))
    assert set(named) <= set(TOPICS)


@pytest.mark.parametrize("topic", TOPICS)
def test_the_command_lines_on_a_page_parse(topic: str) -> None:
    import shlex

    for line in re.findall(r"^ {4}(benchmate .*)$", raw(topic), re.MULTILINE):
        all_commands().parse_args(shlex.split(line)[1:])


# Layout


def test_a_table_has_columns_or_meanings_below_its_terms() -> None:
    text = "  on   the voice speaks\n  off  the voice is silent\n       until it is on\n"
    assert laid_out(text, 40) == ["  on   the voice speaks", "  off  the voice is silent until it is", "       on"]
    assert laid_out(text, 24) == [
        "  on",
        "    the voice speaks",
        "  off",
        "    the voice is silent",
        "    until it is on",
    ]


def test_an_example_keeps_its_lines_and_loses_its_indent_before_it_wraps() -> None:
    text = "    rows:\n      - f b f b\n"
    assert laid_out(text, 20) == ["    rows:", "      - f b f b"]
    assert laid_out(text, 12) == ["rows:", "  - f b f b"]
    assert laid_out("    strings: [deep, foam]\n", 16) == ["strings: [deep,", "    foam]"]


def test_paragraphs_and_lists_wrap() -> None:
    text = "One line\nand one more.\n\n- a first thing\n- a second\n  thing\n"
    assert laid_out(text, 12) == ["One line and", "one more.", "", "- a first", "  thing", "- a second", "  thing"]


# The content of the pages


def test_the_page_of_keys_has_every_action_with_its_keys() -> None:
    rows = table("keys")
    for action in ACTIONS:
        keys = ", ".join(map(shown_key, action.keys))
        assert rows[keys] == f"{action.says} ({action.name})"


def test_the_table_of_keys_has_the_chosen_keys() -> None:
    chosen = dict(DEFAULTS.keys) | {"done": ("x", "pagedown"), "jump": ()}
    lines = page("keys", 200, chosen)
    assert any(re.match(r"  x, page down +\S.* \(done\)$", line) for line in lines)
    assert any(re.match(r"  no key +\S.* \(jump\)$", line) for line in lines)
    assert not any("space, enter" in line for line in lines)


def test_no_page_repeats_the_table_of_keys() -> None:
    assert [topic for topic in TOPICS if KEYS_TABLE in raw(topic)] == ["keys"]
    assert not any(action.says in raw(topic) for topic in TOPICS for action in ACTIONS if len(action.says) > 20)


def test_every_setting_is_on_its_page_with_its_default() -> None:
    rows = table("settings")
    for name in Settings._fields:
        default = getattr(DEFAULTS, name)
        if name == "keys":
            assert name in rows
        else:
            assert f"(default: {'none' if default == '' else default}" in rows[name.replace("_", "-")]


@pytest.mark.parametrize(
    ("name", "values"),
    [
        ("press", PRESSES),
        ("screen", SCREENS),
        ("level", LEVELS),
        ("rate", RATES),
        ("volume", VOLUMES),
        ("voice", ("on", "off")),
        ("tick", ("on", "off")),
        ("guard", (20, 2000)),
        ("float-columns", FLOATS),
        ("float-rows", FLOATS),
        ("hang", HANG),
    ],
)
def test_a_setting_is_listed_with_its_values(name: str, values: tuple[object, ...]) -> None:
    meaning = re.split(r"\W+", table("settings")[name].partition(" (default")[0])
    assert {str(value) for value in values} <= set(meaning)


@pytest.mark.parametrize("guard", [19, 2001])
def test_the_bounds_of_the_guard_are_those_on_the_page(guard: int, tmp_path: Path) -> None:
    file = tmp_path / "settings.yaml"
    file.write_text(f"guard: {20 if guard < 20 else 2000}\n", encoding="utf-8")
    assert read_settings(file).guard in (20, 2000)
    file.write_text(f"guard: {guard}\n", encoding="utf-8")
    with pytest.raises(Exception, match="20 to 2000"):
        read_settings(file)


def test_the_example_settings_are_good_and_every_named_key_is_listed(tmp_path: Path) -> None:
    (example,) = yaml_examples("settings")
    file = tmp_path / "settings.yaml"
    file.write_text(example, encoding="utf-8")
    settings = read_settings(file)
    assert settings.keys == DEFAULTS.keys
    assert (settings.voice, settings.level) == ("on", "short")
    text = words("settings", 400)
    assert all(shown_key(key) in text for key in NAMED_KEYS if not re.fullmatch(r"f\d+", key))
    assert "f1 to f12" in text
    assert all(key in text for key in RESERVED)


def test_every_key_of_a_design_is_on_its_page() -> None:
    rows = table("design")
    wanted = {*COMMON_KEYS, *(key for family in FAMILIES.values() for key in family.reader.keys)}
    wanted |= {"do", "hint", "times", "draw", "lay_out"}
    assert wanted <= set(rows)
    assert all(family in rows["family"] for family in FAMILIES)
    assert all(thread in rows["thread"] for thread in KINDS)


def test_the_example_designs_are_good_one_of_each_family(tmp_path: Path) -> None:
    families: list[str] = []
    for text in yaml_examples("design"):
        if text.startswith("benchmate:"):
            file = tmp_path / "design.yaml"
            file.write_text(text, encoding="utf-8")
            loaded = load(str(file))
            assert loaded.warnings == []
            families.append(loaded.design.family.name)
    assert families == list(FAMILIES)


def test_the_example_colours_are_good(tmp_path: Path) -> None:
    (colours,) = (text for text in yaml_examples("design") if text.startswith("colours:"))
    file = tmp_path / "design.yaml"
    file.write_text(
        f"benchmate: 1\ntitle: Two\nfamily: diagonal\n{colours}strings: [teal, foam]\nrows: [f]\n", encoding="utf-8"
    )
    assert load(str(file)).design.colours["foam"].say == "off white"


def test_every_drawing_and_every_limit_of_a_design_is_on_its_page() -> None:
    text = words("design", 400)
    for name in DRAWINGS:
        knot, _, moment = name.partition(" ")
        assert re.search(rf"\b{knot}\b", text)
        assert moment in text
    rows = table("design")
    assert rows["steps"].startswith("a list") or f"{MOST_STEPS:,}" in rows["steps"]
    assert f"{MOST_STEPS:,}" in text
    assert f"{MOST_STRINGS}, and {MOST_SLOTS} slots on a disk" in text
    assert f"{MOST_IN_LINE} characters in a line; {MOST_IN_NOTES:,} in `notes`" in text


def test_every_command_and_every_exit_status_is_on_the_page_for_scripts() -> None:
    rows = table("json")
    assert set(COMMANDS) <= set(rows)
    statuses = {str(value) for name, value in vars(exit_status).items() if name.isupper()}
    assert statuses == {name for name in rows if name.isdigit()} == {"0", "1", "2", "3"}


def test_the_page_for_scripts_names_the_commands_with_json(home: Path) -> None:
    rows = table("json")
    for name in COMMANDS:
        done = run(name, "--help", home=home)
        assert done.status == 0
        assert ("--json" in done.out) == ("--json" in rows[name]), name


# The command


def test_without_a_terminal_a_page_is_80_columns_wide(home: Path) -> None:
    done = run("help", "segments", home=home, env={"COLUMNS": "30"})
    assert (done.status, done.err) == (0, "")
    assert done.out.splitlines() == [f"SEGMENTS: {summary('segments')}", "", *page("segments", 80)]
    assert not home.exists()


def test_without_a_topic_the_topics_are_listed_and_completion_is_explained(home: Path) -> None:
    done = run("help", home=home)
    assert (done.status, done.err) == (0, "")
    for line in topic_list(80):
        assert line in done.out.splitlines()
    assert "benchmate help completion" in done.out


def test_a_topic_in_capitals_is_the_same_page(home: Path) -> None:
    assert run("help", "KEYS", home=home).out == run("help", "keys", home=home).out


def test_for_an_unknown_topic_the_nearest_is_named(home: Path) -> None:
    done = run("help", "segmnts\x1b[2J", home=home)
    assert (done.status, done.out) == (2, "")
    assert "`segments`" in done.err
    assert "\x1b" not in done.err


def test_the_pages_are_part_of_the_package() -> None:
    program = "from benchmate.help.topics import TOPICS, page; print(sum(len(page(topic, 80)) for topic in TOPICS))"
    done = subprocess.run([sys.executable, "-P", "-c", program], cwd="/", capture_output=True, text=True, check=True)
    assert int(done.stdout) > 300


def test_how_hard_names_designs_with_their_numbers() -> None:
    rows = {word: meaning for word, meaning in table("start").items() if word in HOW_HARD}
    assert tuple(rows) == HOW_HARD
    for word, meaning in rows.items():
        limit, *_ = re.findall(r"(?:below|from) (\d+)", meaning)
        examples = re.findall(r"(?:as|or) ([A-Z][a-z ]+?) \((\d+\.\d)\)", meaning)
        assert len(examples) == 2
        for title, number in examples:
            effort = load(title.lower().replace(" ", "-")).design.effort.number
            assert (f"{effort:.1f}", how_hard(effort)) == (number, word)
            assert (effort < int(limit)) == meaning.startswith("below")


@pytest.mark.parametrize("topic", TOPICS)
def test_a_page_read_aloud_says_the_same_without_columns(topic: str) -> None:
    sentences = page_in_sentences(topic)
    said, laid = (
        [word.rstrip(":") for line in lines for word in line.split() if word not in ("-", "-:")]
        for lines in (sentences, page(topic, 1000))
    )
    assert said == laid
    rows = [f"{term}: {meaning}" for term, meaning in table(topic).items()]
    assert set(rows) <= {" ".join(line.split()) for line in sentences}
    assert "" not in sentences
