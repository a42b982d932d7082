"""A file system without hard links, as many memory cards and network folders are."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from benchmate.design_files.load import load
from tests.running import environment, run

WITHOUT_LINKS = """\
#include <errno.h>
int link(const char *from, const char *to) { errno = EPERM; return -1; }
int linkat(int a, const char *from, int b, const char *to, int flags) { errno = EPERM; return -1; }
"""


@pytest.fixture
def without_links(tmp_path: Path) -> dict[str, str]:
    """The environment of programs for which no file system has hard links."""
    compiler = shutil.which("cc")
    if compiler is None or not sys.platform.startswith("linux"):
        pytest.skip("needs a C compiler, and a loader that loads a library of ours first")
    source, library = tmp_path / "links.c", tmp_path / "links.so"
    source.write_text(WITHOUT_LINKS)
    subprocess.run([compiler, "-shared", "-fPIC", "-o", library, source], check=True)
    return {"LD_PRELOAD": str(library)}


def test_a_design_is_written_and_never_overwritten_unasked(tmp_path: Path, without_links: dict[str, str]) -> None:
    home, folder = tmp_path / "home", tmp_path / "folder"
    folder.mkdir()
    file = folder / "sign.yaml"
    tried = subprocess.run(
        [sys.executable, "-c", "import os; os.link('links.c', 'other.c')"],
        cwd=tmp_path,
        env=environment(home, without_links),
        capture_output=True,
        text=True,
        check=False,
    )
    assert "PermissionError" in tried.stderr
    assert run("letters", "sign", "-o", file, home=home, env=without_links).status == 0
    assert load(str(file)).design.title == "sign"
    before = file.read_bytes()
    done = run("letters", "other", "-o", file, home=home, env=without_links)
    assert (done.status, done.out) == (2, "")
    assert "this file exists already; add --force to overwrite it" in done.err
    assert file.read_bytes() == before
    assert run("letters", "other", "-o", file, "--force", home=home, env=without_links).status == 0
    assert load(str(file)).design.title == "other"
    assert os.listdir(folder) == ["sign.yaml"]
