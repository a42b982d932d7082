"""`completion`: a script that completes commands, options, topics, designs and pieces in a shell."""

import argparse
import shlex
import sys
from collections.abc import Iterator

NAME = "completion"
SAYS = "print a script that completes commands with the tab key"

SHELLS = ("bash", "zsh", "fish")
CANDIDATES = {"check": "designs", "draw": "designs", "order": "designs", "untie": "designs", "follow": "follow"}
"""What the DESIGN of each command may be: any shipped design, or a piece's file as well."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """The shell; the scripts themselves ask with a hidden option what a design may be."""
    parser.add_argument("shell", metavar="SHELL", choices=SHELLS, nargs="?", help="bash, zsh or fish")
    parser.add_argument("--candidates", choices=("designs", "follow"), help=argparse.SUPPRESS)


def run(parser: argparse.ArgumentParser, options: argparse.Namespace) -> int:
    """Prints the script for a shell, made from the parser of the whole command line."""
    if options.candidates is not None:
        return _print_candidates(with_pieces=options.candidates == "follow")
    if options.shell is None:
        parser.error("completion: name a shell: bash, zsh or fish")
    import shtab

    _say_what_completes(parser, options.shell)
    print(shtab.complete(parser, options.shell))
    return 0


def _print_candidates(*, with_pieces: bool) -> int:
    """One design on each line: the shipped ones by name, then the files of pieces under way."""
    import os

    from benchmate.design_files.load import shipped, shipped_folder

    print("\n".join(os.path.splitext(os.path.basename(file))[0] for file in shipped()))
    if with_pieces:
        from benchmate.store import places
        from benchmate.store.pieces import pieces_kept

        pieces = pieces_kept(places.database_file(), places.copy_file(), places.holders_folder())
        own = (piece.file for piece in pieces if not piece.finished)
        inside = os.path.join(os.path.realpath(shipped_folder()), "")
        # A shipped design has its name already; a line can hold no line break.
        for file in dict.fromkeys(file for file in own if not file.startswith(inside) and file.isprintable()):
            print(file)
    return 0


def _say_what_completes(parser: argparse.ArgumentParser, shell: str) -> None:
    """Tells the arguments of every command how they complete."""
    from shtab import FILE

    from benchmate.help.topics import TOPICS

    for name, command in _commands(parser):
        for action in command._actions:
            if action.metavar == "DESIGN":
                vars(action)["complete"] = _designs(CANDIDATES[name])
                if shell == "zsh" and action.nargs == argparse.ONE_OR_MORE:
                    # As one or more, the script for zsh completes the first alone.
                    action.nargs = argparse.REMAINDER
            elif action.metavar == "IMAGE" or action.dest == "output":
                vars(action)["complete"] = FILE
            elif action.metavar == "TOPIC":
                action.choices = TOPICS


def _commands(parser: argparse.ArgumentParser) -> Iterator[tuple[str, argparse.ArgumentParser]]:
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            yield from action.choices.items()


def _designs(candidates: str) -> dict[str, object]:
    """How a design completes in each shell: what this program prints, and files that may be designs.

    The program is asked each time, so pieces are those under way now. What it prints is only ever compared, never
    evaluated: the file of a piece may have any name.
    """
    from shtab import glob

    files = glob("*.yaml", "*.yml")
    ask = shlex.join([sys.executable, "-P", "-m", "benchmate", "completion", "--candidates", candidates])
    # In bash the word `files` in the name has what is found quoted like file names.
    function = f"_benchmate_{candidates}_or_files"
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
