"""What is handed out is whole: the wheel and the source archive, installed where nothing else is."""

import ast
import importlib.metadata
import json
import subprocess
import sys
import zipfile
from pathlib import Path

from packaging.utils import canonicalize_name
from PIL import Image

from benchmate import __version__
from benchmate.help.topics import TOPICS
from tests.dependencies import ROOT, closure, here, installed, project
from tests.installing import Environment, build, copy_of_checkout, entries, unpack
from tests.pythons import bare_environment
from tests.running import CHART, Done
from tests.terminal import PATIENCE, Terminal

PACKAGE = ROOT / "benchmate"
METADATA = f"benchmate-{__version__}.dist-info"
TOP = f"benchmate-{__version__}"


def shipped(suffix: str, folder: Path) -> set[str]:
    """The files of a kind in a folder of the checkout, as paths from its top."""
    return {str(file.relative_to(ROOT)) for file in folder.rglob(f"*{suffix}") if "__pycache__" not in file.parts}


def in_wheel(wheel: Path) -> dict[str, bytes]:
    """What a wheel holds, by name."""
    with zipfile.ZipFile(wheel) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def test_the_wheel_and_the_source_archive_hold_all_they_should_and_nothing_else(tmp_path: Path) -> None:
    source = copy_of_checkout(tmp_path / "source")
    wheel = build("wheel", source, tmp_path)
    designs = {f"benchmate/{name}" for name in shipped(".yaml", ROOT / "designs")}
    modules, pages = shipped(".py", PACKAGE), shipped(".txt", PACKAGE / "help" / "pages")
    assert {f"benchmate/help/pages/{topic}.txt" for topic in TOPICS} == pages
    assert len(designs) > 40
    licences = {"benchmate/LICENSE", f"{METADATA}/licenses/benchmate/LICENSE"}
    metadata = {f"{METADATA}/{name}" for name in ("METADATA", "WHEEL", "entry_points.txt", "RECORD")}
    held = in_wheel(wheel)
    assert set(held) == modules | designs | pages | licences | metadata
    assert held["benchmate/LICENSE"] == held[f"{METADATA}/licenses/benchmate/LICENSE"]

    archive = build("sdist", source, tmp_path)
    names = {name.removeprefix(f"{TOP}/") for name in unpack(archive, tmp_path)}
    folders = ("benchmate", "designs", "tests", "screenshots")
    files = {
        str(file.relative_to(source))
        for folder in folders
        for file in (source / folder).rglob("*")
        if file.is_file() and file.name.partition(".")[0] != "left"
    }
    assert {"PKG-INFO"} == names - files - {"README.md", "DEVELOPERS.md", "pyproject.toml", ".gitignore"}
    assert not files - names
    again = build("wheel", tmp_path / TOP, tmp_path / "again")
    assert in_wheel(again) == held


def test_every_import_is_of_a_declared_dependency() -> None:
    declared = {canonicalize_name(each.name) for purpose in ("run", "voice", "listen") for each in project()[purpose]}
    theirs = {top for top, names in importlib.metadata.packages_distributions().items() if declared & canonical(names)}
    theirs |= declared - installed().keys()
    used: set[str] = set()
    for file in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                used |= {alias.name.partition(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom):
                used.add(str(node.module).partition(".")[0])
    outside = used - sys.stdlib_module_names - {"benchmate"}
    assert outside <= theirs
    unused = {name for name in declared if not outside & tops(name)}
    assert not unused, "declared, but never imported"


def canonical(names: list[str]) -> set[str]:
    return {str(canonicalize_name(name)) for name in names}


def tops(name: str) -> set[str]:
    """The modules that a package brings; one of its own name, where it is not installed."""
    if name not in installed():
        return {name}
    return {entry.removesuffix(".py") for entry in entries(installed()[name])}


IN_THE_EMPTY = """
import importlib, importlib.metadata, importlib.util, json, pkgutil, sys
import benchmate
modules = [found.name for found in pkgutil.walk_packages(benchmate.__path__, "benchmate.")]
for name in modules:
    if not name.endswith("__main__"):
        importlib.import_module(name)
print(json.dumps({
    "distributions": sorted(found.metadata["Name"] for found in importlib.metadata.distributions()),
    "found": [name for name in sys.argv[1:] if importlib.util.find_spec(name)],
    "modules": modules,
    "place": benchmate.__file__,
}))
"""


def test_the_installed_program_runs_on_its_own(tmp_path: Path) -> None:
    """One test, as it builds and installs once; it goes through what a person would do first, in a folder elsewhere."""
    empty = Environment(tmp_path / "empty", build("wheel", ROOT, tmp_path))
    elsewhere, home = tmp_path / "elsewhere", tmp_path / "home"
    elsewhere.mkdir()
    (elsewhere / "rain.yaml").write_text(CHART, encoding="utf-8")
    Image.new("RGB", (40, 20), "#2f4858").save(elsewhere / "slate.png")

    # Nothing but the declared dependencies is there, and every module can be imported with them.
    needed = closure(project()["run"], here())
    others = sorted({top for name in closure(project()["test"], here()) if name in installed() for top in tops(name)})
    others = [top for top in others if top.isidentifier() and not any(top in tops(name) for name in needed)]
    assert {"pytest", "numpy", "hypothesis", "networkx", "pyte"} <= set(others)
    done = execute(elsewhere, home, str(empty.python), "-W", "error", "-c", IN_THE_EMPTY, *others)
    assert done.err == ""
    seen = json.loads(done.out)
    assert canonical(seen["distributions"]) == {*needed, "benchmate"}
    assert seen["found"] == []
    assert len(seen["modules"]) > 150
    assert Path(seen["place"]).is_relative_to(empty.packages)
    assert "No broken requirements" in empty.pip("check")

    def benchmate(*arguments: str, given: str = "") -> Done:
        return execute(elsewhere, home, str(empty.program), *arguments, given=given)

    assert benchmate("--version").out == f"{__version__}\n"
    assert "tidewater-chevron" in benchmate("designs").out
    benchmate("check", "tidewater-chevron")
    assert json.loads(benchmate("order", "tidewater-chevron", "--json").out)["steps"]
    assert all(topic in benchmate("help").out for topic in TOPICS)
    assert benchmate("help", "data").out
    benchmate("letters", "HELLO", "-o", "hello.yaml")
    benchmate("picture", "slate.png", "--columns", "12", "-o", "slate.yaml")
    benchmate("check", "hello.yaml", "slate.yaml")
    benchmate("draw", "hello.yaml", "-o", "hello.png")
    benchmate("draw", "tidewater-chevron", "-o", "chevron.svg")
    with Image.open(elsewhere / "hello.png") as drawn:
        assert drawn.width > 100
    assert (elsewhere / "chevron.svg").read_text(encoding="utf-8").startswith("<svg")
    assert "complete" in benchmate("completion", "bash").out
    followed = benchmate("follow", "rain.yaml", "--plain", given="\n\nq\n")
    assert [line.split()[0] for line in followed.out.splitlines()] == ["1/12", "2/12", "3/12"]
    assert [piece["done"] for piece in json.loads(benchmate("pieces", "--json").out)] == [2]

    with Terminal(
        [str(empty.program), "follow", "rain.yaml"], env={**bare_environment(home), "PYTHONPATH": ""}, cwd=elsewhere
    ) as bench:
        bench.wait_for("2/12")
        bench.wait_for("forward")
        bench.press("q")
        assert bench.wait() == 0


def execute(folder: Path, home: Path, *command: str, given: str = "") -> Done:
    """Runs a command in a folder to its end, which must be a good one."""
    done = subprocess.run(
        command,
        cwd=folder,
        env=bare_environment(home),
        input=given,
        capture_output=True,
        text=True,
        timeout=PATIENCE,
        check=False,
    )
    assert done.returncode == 0, (command, done)
    return Done(done.returncode, done.stdout, done.stderr)
