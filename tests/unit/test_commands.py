"""The commands as modules: each has its summary and arguments, and is imported only when needed."""

import argparse
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest

from benchmate import cli
from benchmate.cli import COMMANDS, NO_COMMAND, all_commands, main
from tests.running import ROOT, run

NOT_COMMANDS = {"__init__"}
"""The modules of the folder that are not commands."""


def parsers() -> dict[str, argparse.ArgumentParser]:
    """Every command's parser by its name."""
    (found,) = (action for action in all_commands()._actions if isinstance(action, argparse._SubParsersAction))
    return dict(found.choices)


def all_arguments() -> Iterator[tuple[str, argparse.Action]]:
    """Every argument of every command, with the command's name."""
    for name, parser in parsers().items():
        for action in parser._actions:
            yield name, action


def shown_name(action: argparse.Action) -> str:
    """The name of an argument in the help."""
    return action.option_strings[-1] if action.option_strings else str(action.metavar)


def test_every_command_module_is_listed() -> None:
    folder = ROOT / "benchmate" / "commands"
    folders = (folder, folder / "preparing", folder / "trouble")
    found = {file.stem for each in folders for file in each.glob("*.py")} - NOT_COMMANDS
    assert found == {name.replace("-", "_") for name in (*COMMANDS, NO_COMMAND)}
    assert len(set(COMMANDS)) == len(COMMANDS)
    for name in (*COMMANDS, NO_COMMAND):
        command = cli._command(name)
        assert (command.NAME, command.SUMMARY.splitlines()) == (name, [command.SUMMARY])


def test_the_help_lists_every_command(home: Path) -> None:
    done = run("--help", home=home, env={"COLUMNS": "200"})
    assert (done.status, done.err) == (0, "")
    shown = " ".join(done.out.split())
    for name in COMMANDS:
        assert f" {name} {cli._command(name).SUMMARY} " in shown
    assert "usage: benchmate [-h]" in done.out
    assert not home.exists()


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_help(command: str, home: Path) -> None:
    done = run(command, "--help", home=home, env={"COLUMNS": "200"})
    assert (done.status, done.err) == (0, "")
    assert done.out.startswith(f"usage: benchmate {command} ")
    assert cli._description(cli._command(command)) in done.out.splitlines()
    for name, action in all_arguments():
        if name == command:
            assert isinstance(action.help, str)
            assert action.help in " ".join(done.out.split())
            assert shown_name(action) in done.out
    assert not home.exists()


@pytest.mark.parametrize(("command", "action"), [(name, action) for name, action in all_arguments()])
def test_every_argument_has_help(command: str, action: argparse.Action) -> None:
    assert action.help
    assert action.help is not argparse.SUPPRESS
    assert action.metavar or action.choices or action.nargs == 0, "a value needs a name in capitals"


@pytest.mark.parametrize(
    ("command", "option", "default"),
    [
        ("follow", "--by", "rows, or as the piece was begun"),
        ("order", "--by", "rows"),
        ("untie", "--by", "rows"),
        ("order", "--repeats", "as in the design"),
        ("letters", "--rows", "7"),
        ("letters", "--output", "standard output"),
        ("picture", "--count", "4"),
        ("picture", "--ground", "white"),
        ("picture", "--title", "the image's name"),
        ("picture", "--colours", "colours found in the image"),
        ("draw", "--output", "draw in the terminal"),
    ],
)
def test_a_default_is_named(command: str, option: str, default: str) -> None:
    (action,) = (action for name, action in all_arguments() if name == command and option in action.option_strings)
    assert str(action.help).endswith(f" (default: {default})")


def test_the_help_names_every_default_value() -> None:
    defaulted = [action for _, action in all_arguments() if action.default not in (None, False, [], argparse.SUPPRESS)]
    assert len(defaulted) >= 4
    for action in defaulted:
        assert str(action.help).endswith(f" (default: {action.default})")


@pytest.mark.parametrize("command", ["follow", "order", "untie", "draw", "check"])
def test_the_help_says_that_a_design_may_be_a_shipped_one(command: str) -> None:
    (action,) = (action for name, action in all_arguments() if name == command and action.metavar == "DESIGN")
    assert "the name of a shipped design" in str(action.help)


@pytest.mark.parametrize("command", COMMANDS)
def test_a_faulty_command_line_prints_the_usage(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as caught:
        main([command, "--spirals"])
    assert caught.value.code == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err.startswith(f"usage: benchmate {command} ")
    assert f"benchmate {command}: error: " in printed.err


def test_only_the_named_command_is_imported(home: Path) -> None:
    program = """
import sys
from benchmate.cli import main
assert main(["pieces"]) == 0
print(*sorted(name for name in sys.modules if name.startswith("benchmate.commands.") and name.count(".") == 2))
"""
    done = subprocess.run([sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "benchmate.commands.pieces benchmate.commands.shared"


def test_the_list_of_commands_imports_nothing_else(home: Path) -> None:
    program = """
import sys
from benchmate.cli import all_commands
all_commands().format_help()
print(*sorted({name.split(".")[1] for name in sys.modules if name.startswith("benchmate.")}))
assert not {"yaml", "sqlite3", "PIL", "textual", "json"} & set(sys.modules)
assert [name for name in sys.modules if name.startswith("benchmate.files.")] == ["benchmate.files.safe_text"]
"""
    done = subprocess.run([sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True)
    # All that is printed is cleaned, the help too.
    assert done.stdout.split() == ["cli", "commands", "exit_status", "files"]


@pytest.fixture
def trial(monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """A command without arguments that prints the help of its parser."""
    module = ModuleType("benchmate.commands.trial")

    def print_help(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
        print(parser.format_help())
        return 0

    vars(module).update(NAME="trial", SUMMARY="try it", add_arguments=lambda parser: None, run=print_help)
    monkeypatch.setitem(sys.modules, module.__name__, module)
    monkeypatch.setattr(cli, "COMMANDS", (*COMMANDS, "trial"))
    return module


def test_a_command_gets_its_own_parser(trial: ModuleType, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["trial"]) == 0
    assert capsys.readouterr().out.startswith("usage: benchmate trial [-h]\n")


def test_a_command_may_get_the_parser_of_all_commands(
    trial: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(trial, "WANTS_ALL_COMMANDS", True, raising=False)
    assert main(["trial"]) == 0
    listed = [line.split()[0] for line in capsys.readouterr().out.splitlines() if line.startswith("    ")]
    assert {*COMMANDS, "trial"} <= set(listed)


def test_an_unexpected_error_is_not_hidden(trial: ModuleType, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
        raise ZeroDivisionError

    monkeypatch.setattr(trial, "run", fails)
    with pytest.raises(ZeroDivisionError):
        main(["trial"])
