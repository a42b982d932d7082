"""The README is true: its example is good, its keys and commands exist, its links lead to files."""

import re
import shlex
from pathlib import Path

import pytest

from benchmate.actions import ACTIONS, key_named
from benchmate.cli import COMMANDS, all_commands
from benchmate.design_files.load import load
from benchmate.help.topics import TOPICS
from tests.running import ROOT

README = (ROOT / "README.md").read_text(encoding="utf-8")
SECTIONS = [
    "Set it up",
    "Run it again",
    "Your first five minutes",
    "Seven everyday keys",
    "Commands",
    "Before the first knot",
    "When something is wrong",
    "A design of your own",
    "Where your data lives",
    "Take care",
    "More",
]
EVERYDAY = ("done", "back", "wrong", "voice", "again", "keys", "leave")
PICTURES = re.findall(r"!\[([^]]*)]\(([^)]+)\)", README)
LINKS = re.findall(r"(?<!!)\[[^]]*]\(([^)]+)\)", README)
SHELL = re.findall(r"```sh\n(.*?)```", README, re.DOTALL)


def section(title: str) -> str:
    """The text under a heading."""
    return README.partition(f"\n## {title}\n")[2].partition("\n## ")[0]


def rows(title: str) -> list[list[str]]:
    """The rows of a section's table, cell by cell."""
    lines = re.findall(r"^\| (.+) \|$", section(title), re.MULTILINE)[2:]
    return [line.split(" | ") for line in lines]


def test_the_readme_is_short_and_in_order() -> None:
    assert README.count("\n") <= 155
    assert re.findall(r"^## (.+)$", README, re.MULTILINE) == SECTIONS


def test_the_job_in_one_paragraph_comes_first_then_a_picture() -> None:
    title, blank, *rest = README.partition("\n## ")[0].split("\n")
    assert (title, blank) == ("# Benchmate", "")
    blocks = "\n".join(rest).strip().split("\n\n")
    assert len(blocks) == 2
    assert blocks[0].startswith("You knot bands")
    assert blocks[1].startswith("![")


def test_both_commands_are_one_line_and_the_tests_are_marked() -> None:
    assert len(SHELL) == 2
    assert all(block.count("\n") == 1 for block in SHELL)
    assert "benchmate follow tidewater-chevron" in SHELL[0]
    assert (ROOT / "designs" / "tidewater-chevron.yaml").exists()
    assert f"<!-- tests -->\n```sh\n{SHELL[1]}" in README
    assert "pytest" in SHELL[1]


def test_the_design_is_good(tmp_path: Path) -> None:
    (text,) = re.findall(r"```yaml\n(.*?)```", section("A design of your own"), re.DOTALL)
    file = tmp_path / "harbour-point.yaml"
    file.write_text(text, encoding="utf-8")
    loaded = load(str(file))
    assert loaded.warnings == []
    assert loaded.start is not None
    assert loaded.finish is not None
    assert README.count("```yaml") == 1, "the other examples are on the help page"


def test_its_keys_are_the_everyday_keys_there_are() -> None:
    shown = [
        (tuple(key_named(key.strip()) for key in keys.split(",")), says) for keys, says in rows("Seven everyday keys")
    ]
    actions = {action.name: action for action in ACTIONS}
    assert shown == [(actions[name].keys, actions[name].says) for name in EVERYDAY]


def test_the_table_has_every_command_and_each_line_parses() -> None:
    lines = [re.fullmatch(r"`benchmate ?(.*)`", command) for command, _ in rows("Commands")]
    given = [shlex.split(line[1].replace("…", "")) for line in lines if line is not None]
    assert len(given) == len(rows("Commands"))
    assert sorted(words[0] for words in given[1:]) == sorted(COMMANDS)
    assert given[0] == []
    example = {"N": "20", "K": "5", "S": "1", "K:KIND": "5:b", "MM": "160", "SHELL": "bash"}
    for words in given:
        all_commands().parse_args([example.get(word, word) for word in words])


def test_every_command_named_exists() -> None:
    for command, word in re.findall(r"`(?:\.venv/bin/)?benchmate ([^`\s]+) ?([^`\s]*)[^`]*`", README):
        assert command in COMMANDS
        assert command != "help" or word in (*TOPICS, "", "TOPIC")
    assert "`benchmate help design`" in README


@pytest.mark.parametrize("link", LINKS)
def test_links_lead_to_existing_files(link: str) -> None:
    assert (ROOT / link).is_file()


def test_links_to_the_help_and_for_contributors() -> None:
    assert "DEVELOPERS.md" in LINKS
    assert any(link.startswith("benchmate/help/pages/") for link in LINKS)


def test_three_or_four_pictures_with_captions() -> None:
    assert 3 <= len(PICTURES) <= 4
    for caption, file in PICTURES:
        assert len(caption.split()) >= 5
        assert (ROOT / file).is_file()
    taken = (ROOT / "screenshots" / "take.py").read_text(encoding="utf-8")
    assert all(Path(file).stem.rsplit("-", 1)[0] in taken for _, file in PICTURES), "each can be made again"


def test_no_table_of_settings_or_of_all_keys_is_written_a_second_time() -> None:
    others = [action.says for action in ACTIONS if action.name not in EVERYDAY and len(action.says) > 20]
    assert not any(says in README for says in others)
    assert "settings.yaml" not in README
