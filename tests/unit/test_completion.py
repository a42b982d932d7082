"""Completion: the bash script completes in a real bash; the scripts for zsh and fish contain the same."""

import os
import shlex
import shutil
import subprocess
import sys
from functools import partial
from pathlib import Path

import pytest

from benchmate.cli import COMMANDS
from benchmate.commands.completion import SHELLS
from benchmate.design_files.shelf import name_of, shipped
from benchmate.help.topics import TOPICS
from tests.loaded import run
from tests.running import PATIENCE, environment, pieces
from tests.terminal import Terminal

ODD = 'My $(touch struck) `touch struck` "band\'s".yaml'
"""A file name that a careless script would run."""


@pytest.fixture(scope="module")
def scripts(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """The script for each shell, in a file."""
    folder = tmp_path_factory.mktemp("scripts")
    found = {}
    for shell in SHELLS:
        done = run("completion", shell, home=folder / "home")
        assert (done.status, done.err) == (0, "")
        found[shell] = folder / f"script.{shell}"
        found[shell].write_text(done.out, encoding="utf-8")
    assert not (folder / "home").exists()
    return found


def completed(script: Path, home: Path, cwd: Path, *words: str) -> list[str]:
    """What bash completes the last word of a command line to."""
    line = " ".join(map(shlex.quote, words))
    program = f"""
source {shlex.quote(str(script))}
COMP_WORDS=({line})
COMP_CWORD={len(words) - 1}
_shtab_benchmate
printf '%s\\n' "${{COMPREPLY[@]}}"
"""
    done = subprocess.run(
        ["bash", "--norc", "-c", program],
        cwd=cwd,
        env=environment(home),
        capture_output=True,
        text=True,
        timeout=PATIENCE,
        check=True,
    )
    assert done.stderr == ""
    return done.stdout.splitlines()


def test_commands_complete(scripts: dict[str, Path], home: Path, tmp_path: Path) -> None:
    assert sorted(completed(scripts["bash"], home, tmp_path, "benchmate", "")) == sorted(COMMANDS)
    assert completed(scripts["bash"], home, tmp_path, "benchmate", "fol") == ["follow"]


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        (["follow", "--fr"], ["--from-right"]),
        (["order", "--by", ""], ["rows", "segments"]),
        (["letters", "Kai", "--rows", ""], ["5", "7", "9"]),
        (["help", "se"], ["segments", "settings"]),
        (["completion", ""], list(SHELLS)),
        (["draw", "tidew"], ["tidewater-chevron"]),
        (["check", "two-ropes", "tidew"], ["tidewater-chevron"]),
        (["untie", "--done", "3", "tidew"], ["tidewater-chevron"]),
    ],
    ids=" ".join,
)
def test_the_arguments_of_a_command_complete(
    words: list[str], expected: list[str], scripts: dict[str, Path], home: Path, tmp_path: Path
) -> None:
    assert completed(scripts["bash"], home, tmp_path, "benchmate", *words) == expected


def test_every_topic_completes(scripts: dict[str, Path], home: Path, tmp_path: Path) -> None:
    assert completed(scripts["bash"], home, tmp_path, "benchmate", "help", "") == list(TOPICS)


def test_designs_complete_as_shipped_names_and_as_files(scripts: dict[str, Path], home: Path, tmp_path: Path) -> None:
    for name in ("tide.yaml", "tide.yml", "tide.txt"):
        (tmp_path / name).touch()
    (tmp_path / "tides").mkdir()
    found = completed(scripts["bash"], home, tmp_path, "benchmate", "order", "tide")
    assert found == ["tidewater-chevron", "tide.yaml", "tide.yml", "tides"]
    every = completed(scripts["bash"], home, tmp_path, "benchmate", "order", "")
    assert {name_of(path) for path in shipped()} <= set(every)


def test_unfinished_pieces_complete_for_follow_and_nothing_in_their_names_is_run(
    scripts: dict[str, Path], home: Path, tmp_path: Path, band: Path
) -> None:
    odd = tmp_path / "far" / ODD
    odd.parent.mkdir()
    odd.write_bytes(band.read_bytes())
    finished = odd.with_name("finished.yaml")
    finished.write_bytes(band.read_bytes())
    assert run("follow", "--plain", odd, home=home, given="\n").status == 0
    assert run("follow", "--plain", "--new", finished, home=home, given="\n" * 12).status == 0
    assert run("follow", "--plain", "two-ropes", home=home, given="\n").status == 0
    assert [piece["finished"] for piece in pieces(home)] == [False, True, False]
    # Only the file of the piece matches, and the folder itself.
    start = f"{odd.parent}/My $(t"
    assert completed(scripts["bash"], home, tmp_path, "benchmate", "follow", str(tmp_path / "far")) == [
        str(odd),
        str(tmp_path / "far"),
    ]
    assert str(odd) in completed(scripts["bash"], home, tmp_path, "benchmate", "follow", start)
    for command in ("order", "check"):
        found = completed(scripts["bash"], home, tmp_path, "benchmate", command, str(tmp_path / "far"))
        assert found == [str(tmp_path / "far")]
    assert not list(tmp_path.rglob("struck"))
    done = run("completion", "--list", "pieces", home=home)
    assert done.out == f"{odd}\n"


def test_names_are_listed_one_per_line_and_no_files_are_created(home: Path) -> None:
    done = run("completion", "--list", "designs", "pieces", home=home)
    assert (done.status, done.err) == (0, "")
    assert done.out.splitlines() == [name_of(path) for path in shipped()]
    assert run("completion", "--list", "pieces", home=home).out == ""
    assert not home.exists()


def shows(text: str, terminal: Terminal) -> bool:
    """True when the text is on the screen, wrapped or not."""
    return text in terminal.text.replace("\n", "")


def test_the_tab_key_completes_in_a_bash_at_a_terminal(
    scripts: dict[str, Path], home: Path, tmp_path: Path, band: Path
) -> None:
    rc = tmp_path / "rc"
    rc.write_text(f"PS1='ready> '\nbind 'set bell-style none'\nsource {scripts['bash']}\n", encoding="utf-8")
    odd = band.with_name("my rainy band.yaml")
    band.rename(odd)
    with Terminal(["bash", "--rcfile", str(rc), "-i"], columns=200, rows=10, env=environment(home)) as terminal:
        for typed, completes in (
            ("benchmate fol\t", "ready> benchmate follow "),
            ("--by seg\t", "ready> benchmate follow --by segments "),
            ("winter-h\t", "ready> benchmate follow --by segments winter-hedge-diamonds "),
            (f"\x15benchmate order {tmp_path}/my\t", "/my\\ rainy\\ band.yaml"),
        ):
            terminal.wait_until(lambda terminal: "ready>" in terminal.text, PATIENCE, "a prompt")
            terminal.send(typed)
            terminal.wait_until(partial(shows, completes.strip()), PATIENCE, completes)


@pytest.mark.parametrize("shell", SHELLS)
def test_each_script_has_every_command_and_runs_this_program_for_designs(shell: str, scripts: dict[str, Path]) -> None:
    text = scripts[shell].read_text(encoding="utf-8")
    assert all(command in text for command in COMMANDS)
    assert all(topic in text for topic in TOPICS)
    asks = f"{shlex.quote(sys.executable)} -P -m benchmate completion --list designs"
    assert f"{asks} 2>/dev/null" in text
    assert f"{asks} pieces 2>/dev/null" in text


@pytest.mark.parametrize(("shell", "check"), [("bash", "-n"), ("zsh", "-n"), ("fish", "--no-execute")])
def test_each_shell_can_read_its_script(shell: str, check: str, scripts: dict[str, Path]) -> None:
    if shutil.which(shell) is None:
        # Without the shell, check that brackets and quotes match.
        text = scripts[shell].read_text(encoding="utf-8")
        assert text.count("(") == text.count(")")
        assert text.count('"') % 2 == 0
        return
    done = subprocess.run([shell, check, str(scripts[shell])], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize(
    ("given", "message"),
    [(["completion"], "name a shell: bash, zsh or fish"), (["completion", "korn"], "'bash', 'zsh', 'fish'")],
)
def test_a_missing_or_unknown_shell_is_a_faulty_command_line(given: list[str], message: str, home: Path) -> None:
    done = run(*given, home=home)
    assert (done.status, done.out) == (2, "")
    assert message in done.err


def test_only_this_command_loads_its_library() -> None:
    program = "import sys; from benchmate.cli import all_commands; all_commands(); assert 'shtab' not in sys.modules"
    subprocess.run([sys.executable, "-c", program], check=True, env=dict(os.environ))
