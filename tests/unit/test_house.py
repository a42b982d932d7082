"""The house keeps its shape: imports run one way, the heart is pure, only the bench pays for the screen."""

import ast
import subprocess
import sys
from collections import Counter
from functools import cache
from pathlib import Path

import networkx as nx
import pytest

from tests.conftest import LONGEST

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "benchmate"

MAY_IMPORT = {
    "craft": set(),
    "files": {"craft"},
    "families": {"craft", "display", "files"},
    "design_files": {"craft", "families", "files"},
    "store": {"craft", "files"},
    "actions": set(),
    "exit_status": set(),
    "settings": {"actions", "craft", "files", "store"},
    "speech": set(),
    "listening": set(),
    "garbage_collection": set(),
    "display": {"craft"},
    "letters": {"craft", "families", "files"},
    "picture": {"craft", "families", "files"},
    "draw": {"craft", "display", "files"},
    "makers_pace": {"craft", "design_files", "files", "store"},
    "piece_exchange": {"craft", "design_files", "files", "piece_opening", "store"},
    "piece_opening": {"craft", "design_files", "files", "garbage_collection", "kept", "store"},
    "piece_length": {"craft", "design_files", "piece_opening", "store"},
    "piece_voice": {"craft", "settings", "speech", "store"},
    "piece_questions": {
        *("craft", "design_files", "draw", "families", "files", "piece_length", "piece_opening", "settings"),
        *("speech", "store", "thread_at_hand", "thread_gauges"),
    },
    "kept": {"craft", "settings", "store", "thread_gauges"},
    "thread_gauges": {"craft", "store"},
    "thread_at_hand": {"craft"},
    "choosing": {"craft", "design_files", "draw", "families", "files", "kept", "makers_pace", "settings", "store"}
    | {"thread_gauges"},
    "plain": {
        *("actions", "choosing", "craft", "design_files", "display", "exit_status", "files", "help", "kept"),
        *("makers_pace", "piece_exchange", "piece_length", "piece_opening", "piece_questions", "piece_voice"),
        *("settings", "speech", "store"),
    },
    "help": {"actions", "settings"},
    "bench": {
        *("craft", "design_files", "display", "draw", "families", "files", "garbage_collection", "store"),
        *(
            "actions",
            "choosing",
            "exit_status",
            "settings",
            "makers_pace",
            "piece_exchange",
            "piece_length",
            "piece_opening",
            "piece_questions",
            "piece_voice",
            "plain",
            "speech",
            "listening",
            "help",
        ),
    },
    "commands": {
        *("bench", "craft", "design_files", "draw", "families", "files"),
        *("exit_status", "help", "kept", "letters", "makers_pace", "picture", "piece_exchange", "piece_opening"),
        *("plain", "settings", "store", "thread_at_hand", "thread_gauges"),
    },
    "cli": {"commands", "exit_status", "files", "store"},
    "__main__": {"cli"},
}
"""Every room of the house and the rooms below it that it may use. `benchmate` itself holds only the version."""

PLAIN = {
    *(
        "abc",
        "array",
        "bisect",
        "collections",
        "copy",
        "decimal",
        "enum",
        "fractions",
        "functools",
        "itertools",
        "math",
        "operator",
        "re",
        "typing",
        "unicodedata",
    )
}
OUTSIDE = {
    "craft": PLAIN,
    "families": {*PLAIN, "heapq", "importlib"},
    "files": {
        *(
            "abc",
            "collections",
            "contextlib",
            "difflib",
            "errno",
            "functools",
            "itertools",
            "os",
            "pathlib",
            "re",
            "stat",
        ),
        *("typing", "unicodedata", "yaml"),
    },
    "letters": {"collections", "functools", "types", "typing", "unicodedata"},
    "picture": {"PIL", *PLAIN, "io", "logging", "os", "stat", "struct", "types", "warnings", "zlib"},
    "display": {"rich", *PLAIN},
    "draw": {"PIL", *PLAIN, "html", "io", "unicodedata"},
    "speech": {*sys.stdlib_module_names, "espeakng_loader", "pyttsx3"} - {"asyncio", "multiprocessing", "socket"},
    "listening": {"array", "collections", "json", "operator", "os", "pathlib", "queue", "sounddevice", "subprocess"}
    | {"sys", "threading", "time", "typing"},
}
"""All that these rooms may use from outside the house.

For the heart and the reading of files: no clock, no screen, no database. For pictures, the library for images beside
that. For the voice: Python's own, and its engine. For listening: nothing that keeps sound or passes it on.
"""


@cache
def modules() -> list[Path]:
    return sorted(PACKAGE.rglob("*.py"))


def room_of(file: Path) -> str:
    parts = file.relative_to(PACKAGE).with_suffix("").parts
    return parts[0]


@cache
def imported(file: Path) -> frozenset[str]:
    """The full names of all that a module imports, wherever in it."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{file}: imports are absolute"
            found |= {f"{node.module}.{alias.name}" for alias in node.names}
    return frozenset(found)


def test_imports_run_one_way() -> None:
    assert not imported(PACKAGE / "__init__.py")
    found: list[str] = []
    for file in modules():
        room = room_of(file)
        for name in imported(file):
            first, _, rest = name.partition(".")
            other = rest.split(".")[0]
            if first == "benchmate" and other not in (room, "__version__") and other not in MAY_IMPORT[room]:
                found.append(f"{file}: {room} may not use {other}")
    assert not found


def test_some_rooms_use_little_from_outside() -> None:
    found: list[str] = []
    for file in modules():
        allowed = OUTSIDE.get(room_of(file))
        if allowed is not None:
            outside = {name.split(".")[0] for name in imported(file)} - {"benchmate"}
            found += [f"{file}: {name}" for name in sorted(outside - allowed)]
    assert not found


def test_a_family_is_pure_but_for_its_reader_and_its_zone() -> None:
    for file in (PACKAGE / "families").glob("*/*.py"):
        if file.name not in ("reader.py", "registration.py", "zone.py"):
            ours = {name for name in imported(file) if name.startswith("benchmate.")}
            own = f"benchmate.families.{file.parent.name}."
            assert all(name.startswith(("benchmate.craft.", own)) for name in ours), file


def test_only_the_process_that_speaks_knows_the_engine() -> None:
    for file in modules():
        if file != PACKAGE / "speech" / "engine.py":
            assert not any(name.split(".")[0] in ("pyttsx3", "espeakng_loader") for name in imported(file)), file
    for file in modules():
        if file.parent != PACKAGE / "speech" or file.name != "helper.py":
            assert not any(name.startswith("benchmate.speech.engine") for name in imported(file)), file


def test_only_the_process_that_listens_knows_the_microphone() -> None:
    for file in modules():
        listens = file == PACKAGE / "listening" / "microphone.py"
        assert listens == any(name.split(".")[0] == "sounddevice" for name in imported(file)), file
        if room_of(file) == "listening" and not listens:
            assert "benchmate.listening.microphone" not in {name.rpartition(".")[0] for name in imported(file)}, file
        if room_of(file) != "listening":
            assert not any(name.startswith("benchmate.listening.microphone") for name in imported(file)), file


def test_only_the_bench_knows_the_framework() -> None:
    for file in modules():
        if room_of(file) != "bench":
            # What measures cells has to measure as the framework does, and loads without it.
            known = {"rich.cells"} if file == PACKAGE / "display" / "cells.py" else set()
            used = {name for name in imported(file) if name.split(".")[0] in ("textual", "rich")}
            assert {name.rpartition(".")[0] for name in used} <= known, file


def test_no_other_command_pays_for_the_screen(tmp_path: Path) -> None:
    design = next((ROOT / "designs").glob("*.yaml"))
    band = ROOT / "designs" / "tidewater-chevron.yaml"
    program = f"""
import contextlib, io, sys
from benchmate.cli import main
for arguments in (["check", {str(design)!r}], ["order", {str(design)!r}], ["pieces"], ["designs"],
                  ["letters", "a"], ["help", "keys"], ["completion", "bash"],
                  ["draw", {str(band)!r}], ["follow", {str(design)!r}, "--plain"], ["--plain"],
                  ["--plain", "--width", "40"]):
    sys.stdin = io.StringIO("1\\n1\\nq\\nabout 1\\nfind tide\\n1\\n\\nq\\nhelp keys\\nmore\\n")
    out = io.TextIOWrapper(io.BytesIO(), "utf-8")
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(io.StringIO()):
        assert main(arguments) == 0, arguments
assert not [name for name in sys.modules if name.split(".")[0] in ("textual", "rich", "asyncio", "PIL")]
"""
    subprocess.run(
        [sys.executable, "-c", program],
        check=True,
        cwd=ROOT,
        stdin=subprocess.DEVNULL,
        env={"BENCHMATE_HOME": str(tmp_path), "PATH": "/usr/bin:/bin"},
    )


def uses() -> dict[str, set[str]]:
    """Every module of ours by its full name, and those of ours that it imports, wherever in it."""
    ours = {
        ".".join(file.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"): file for file in modules()
    }

    def module_of(name: str) -> str:
        """The module a name is found in: what is imported may be a module itself, or something in one."""
        return name if name in ours else name.rpartition(".")[0]

    return {name: {module_of(used) for used in imported(file)} & ours.keys() for name, file in ours.items()}


def test_no_imports_run_in_a_circle() -> None:
    graph = nx.DiGraph((name, used) for name, all_used in uses().items() for used in all_used)
    assert graph.number_of_edges() > 300
    assert not [sorted(circle) for circle in nx.strongly_connected_components(graph) if len(circle) > 1]


BENCH = ("terminal", "zones", "screens", "step")
"""The folders of the bench, lowest first. What lies beside them, the app and its start, may use them all."""


def test_the_folders_of_the_bench_lie_one_on_the_other() -> None:
    def height(module: str) -> int:
        folder = module.removeprefix("benchmate.bench.").split(".")[0]
        return BENCH.index(folder) if folder in BENCH else len(BENCH)

    assert {file.name for file in (PACKAGE / "bench").iterdir() if file.is_dir()} - {"__pycache__"} == set(BENCH)
    for module, all_used in uses().items():
        if module.startswith("benchmate.bench."):
            for used in all_used:
                if used.startswith("benchmate.bench."):
                    assert height(used) <= height(module), f"{module} may not use {used}"


def test_nothing_is_too_large_to_find_ones_way_in() -> None:
    long = {str(file.relative_to(ROOT)): lines for file in modules() if (lines := _lines(file)) > 400}
    assert not long
    folders = Counter(str(file.parent.relative_to(PACKAGE)) for file in modules() if file.name != "__init__.py")
    assert not {folder: count for folder, count in folders.items() if count > 15}


EVERYWHERE = {
    # What every family has, and what the heart asks of it under the same name.
    *(
        "body",
        "drawing",
        "family",
        "laying_out",
        "prompts",
        "reader",
        "registration",
        "step_view",
        "words",
        "work",
        "zone",
    ),
    # A command, and what it is about or opens.
    *("app", "draw", "help", "letters", "picture", "pieces"),
    *("box", "cutting", "fit", "gauge", "thread", "thread_use"),
    *("trouble", "why", "mend", "where", "lasts"),
    # The first screen, and the same in plain lines; the search for a lost place, and the same in plain lines.
    *("home", "lost_place"),
}
"""Names that stand in several rooms and mean the same in each."""


def test_no_two_rooms_have_modules_of_one_name_that_do_different_things() -> None:
    names = Counter(file.stem for file in modules() if file.name not in ("__init__.py", "__main__.py"))
    names += Counter(file.parent.name for file in modules() if file.name == "__init__.py")
    assert {name for name, count in names.items() if count > 1} <= EVERYWHERE


def _lines(file: Path) -> int:
    return len(file.read_text(encoding="utf-8").splitlines())


def test_top_level_holds_what_was_agreed() -> None:
    agreed = {"README.md", "DEVELOPERS.md", "pyproject.toml", "benchmate", "designs", "tests", "screenshots"}
    assert {file.name for file in ROOT.iterdir() if not file.name.startswith(".")} == agreed


def test_the_tests_that_run_first_exist() -> None:
    source = "".join(file.read_text(encoding="utf-8") for file in (ROOT / "tests").rglob("test_*.py"))
    assert not [name for name in LONGEST if f"def {name}(" not in source]


@pytest.mark.parametrize("tool", [["mypy"], ["ruff", "check", "."], ["ruff", "format", "--check", "."]], ids=" ".join)
def test_types_and_style(tool: list[str]) -> None:
    done = subprocess.run([sys.executable, "-m", *tool], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
