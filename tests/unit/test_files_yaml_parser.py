"""The parser is libyaml's; PyYAML without it is refused."""

import subprocess
import sys

import yaml

from benchmate.files.yaml_parser import PARSER
from tests.running import ROOT

WITHOUT = """
import sys
sys.modules["yaml._yaml"] = None
import benchmate.files.tree
"""
"""A program that sees a PyYAML built without libyaml."""


def test_the_parser_is_libyaml() -> None:
    assert PARSER is yaml.CSafeLoader


def test_without_libyaml_the_message_says_what_to_do() -> None:
    done = subprocess.run([sys.executable, "-c", WITHOUT], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert done.stderr.splitlines()[-1] == (
        "ImportError: The installed PyYAML was built without libyaml, which benchmate needs. Its ready-made packages "
        "include it: pip install --force-reinstall --only-binary :all: pyyaml"
    )
