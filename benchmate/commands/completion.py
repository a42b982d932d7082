"""`completion`: a shell script that completes commands, options, help topics, designs and pieces."""

import argparse
import shlex
import sys
from collections.abc import Iterator, Sequence

from benchmate.exit_status import DONE

NAME = "completion"
SUMMARY = "print a script that completes commands with the tab key"
WANTS_ALL_COMMANDS = True

SHELLS = ("bash", "zsh", "fish")
LISTS = ("designs", "pieces")
"""What the scripts can ask for: names of shipped designs, and files of unfinished pieces."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Adds the shell, and the option that its script uses."""
    parser.add_argument("shell", metavar="SHELL", choices=SHELLS, nargs="?", help="bash, zsh or fish")
    parser.add_argument(
        "--list", choices=LISTS, nargs="+", help="print what completes a DESIGN, one per line; the scripts use this"
    )


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Prints the script for a shell, made from the parser of all commands."""
    if options.list:
        found = {"designs": _designs, "pieces": _pieces}
        lines = [line for asked in dict.fromkeys(options.list) for line in found[asked]()]
        sys.stdout.writelines(f"{line}\n" for line in lines)
        return DONE
    if options.shell is None:
        dict(_commands(parser))[NAME].error("name a shell: bash, zsh or fish")
    import shtab

    _set_completions(parser, options.shell)
    print(shtab.complete(parser, options.shell))
    return DONE


def _designs() -> list[str]:
    """The names of the shipped designs."""
    from benchmate.design_files.shelf import name_of, shipped

    return [name_of(path) for path in shipped()]


def _pieces() -> list[str]:
    """The files of unfinished pieces, without shipped designs and names that do not fit on one line."""
    import os

    from benchmate.design_files.shelf import shipped_folder
    from benchmate.store import places
    from benchmate.store.reading import pieces_kept

    pieces = pieces_kept(places.home())
    folder = os.path.join(os.path.realpath(shipped_folder()), "")
    files = [piece.file for piece in pieces if not piece.finished]
    return [file for file in dict.fromkeys(files) if not file.startswith(folder) and file.isprintable()]


def _set_completions(parser: argparse.ArgumentParser, shell: str) -> None:
    """Sets what completes the arguments of every command."""
    from shtab import FILE

    from benchmate.help.topics import TOPICS

    for name, command in _commands(parser):
        for action in command._actions:
            if action.metavar == "DESIGN":
                vars(action)["complete"] = _design_completion(LISTS if name == "follow" else LISTS[:1])
                if shell == "zsh" and action.nargs == argparse.ONE_OR_MORE:
                    # With ONE_OR_MORE, the script for zsh completes only the first.
                    action.nargs = argparse.REMAINDER
            elif action.metavar in ("IMAGE", "FILE") or action.dest == "output":
                vars(action)["complete"] = FILE
            elif action.metavar == "TOPIC":
                action.choices = TOPICS


def _commands(parser: argparse.ArgumentParser) -> Iterator[tuple[str, argparse.ArgumentParser]]:
    """Every command, and every word of one that has words."""
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            for name, command in action.choices.items():
                yield name, command
                yield from _commands(command)


def _design_completion(lists: Sequence[str]) -> dict[str, object]:
    """How each shell completes a design: from what this program prints, and from YAML files.

    The scripts run the program each time, so the pieces are up to date. They only compare what it prints and never
    evaluate it, because the file of a piece may have any name.
    """
    from shtab import glob

    files = glob("*.yaml", "*.yml")
    ask = shlex.join([sys.executable, "-P", "-m", "benchmate", "completion", "--list", *lists])
    # The word `files` in the name makes bash quote the results like file names.
    function = f"_benchmate_{'_'.join(lists)}_or_files"
    preamble = files["preamble"]
    assert isinstance(preamble, dict)
    return {
        "bash": function,
        "zsh": function,
        "fish": f"({function})",
        "preamble": {
            "bash": preamble["bash"] + BASH.format(function=function, ask=ask, files=files["bash"]),
            "zsh": ZSH.format(function=function, ask=ask, files=files["zsh"]),
            "fish": preamble["fish"] + FISH.format(function=function, ask=ask, files=str(files["fish"]).strip("()")),
        },
    }


BASH = """
{function}() {{
  local found
  while IFS= read -r found; do
    [[ $found == "$1"* ]] && printf '%s\\n' "$found"
  done < <({ask} 2>/dev/null)
  {files} "$1"
}}
"""
ZSH = """
{function}() {{
  local -a found
  found=("${{(@f)$({ask} 2>/dev/null)}}")
  compadd -a found
  {files}
}}
"""
FISH = """
function {function}
  {ask} 2>/dev/null
  {files}
end
"""
