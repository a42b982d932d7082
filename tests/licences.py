"""The licences of all dependencies, direct and brought along, as their installed metadata state them.

`python -m tests.licences` prints the table of DEVELOPERS.md; `tests/trust/test_licences.py` holds it to what is
installed.
"""

import importlib.metadata
import re
from collections.abc import Iterator
from typing import NamedTuple

from packaging.utils import canonicalize_name

from tests.dependencies import PURPOSES, closure, every_system, installed, project

HEADINGS = ("package", "licence", "for", "brought by")

NOT_IN_METADATA = {
    "espeakng-loader": "GPL-3.0",
    "sounddevice": "MIT",
    "comtypes": "MIT",
    "colorama": "BSD",
    "pyobjc": "MIT",
    "pypiwin32": "PSF-2.0",
    "pywin32": "PSF-2.0",
}
"""Licences by hand: of the library inside a package that states none, and of what is not installed everywhere."""

CLASSIFIERS = {
    "Apache Software License": "Apache-2.0",
    "BSD License": "BSD",
    "GNU Lesser General Public License v3 (LGPLv3)": "LGPL-3.0",
    "ISC License (ISCL)": "ISC",
    "MIT License": "MIT",
    "Mozilla Public License 2.0 (MPL 2.0)": "MPL-2.0",
    "Python Software Foundation License": "PSF-2.0",
}
SHORT = {"3-Clause BSD License": "BSD-3-Clause", "Apache 2.0": "Apache-2.0", "BSD": "BSD", "MIT": "MIT"} | {
    identifier: identifier for identifier in ("Apache-2.0", "BSD-3-Clause", "ISC", "MPL-2.0", "PSF-2.0")
}
"""The SPDX identifiers of licences that older metadata name in their own words. `BSD` is one of several."""


class Row(NamedTuple):
    """A dependency as in the table."""

    package: str
    licence: str
    purpose: str
    brought_by: str


class UnknownLicence(Exception):
    """The metadata of a package name no licence that this module knows."""


def licence_in(metadata: importlib.metadata.PackageMetadata) -> str | None:
    """The licence that metadata state, as an SPDX expression; None when they state none that is known."""
    fields = metadata.json
    expression = fields.get("license_expression")
    if expression:
        return str(expression)
    if str(fields.get("license", "")) in SHORT:
        return SHORT[str(fields["license"])]
    names = [each.rpartition(" :: ")[2] for each in fields.get("classifier", ()) if each.startswith("License :: ")]
    known = [CLASSIFIERS[name] for name in names if name in CLASSIFIERS]
    return " OR ".join(known) if known and len(known) == len(names) else None


def licence_of(package: str) -> str:
    """The licence of a package as an SPDX expression. Raises UnknownLicence."""
    found = installed().get(package)
    stated = None if found is None else licence_in(found.metadata)
    if stated is None:
        stated = NOT_IN_METADATA.get(package)
    if stated is None:
        raise UnknownLicence(f"{package}: read its licence and add it to tests/licences.py")
    return stated


def identifiers(expression: str) -> set[str]:
    """The licences in an SPDX expression, without what later versions of the same metadata may put more exactly."""
    words = re.findall(r"[\w.+-]+", expression)
    plain = {word.removesuffix("-only").removesuffix("-or-later") for word in words}
    return {re.sub(r"^BSD-\d-Clause$", "BSD", word) for word in plain} - {"AND", "OR", "WITH"}


def rows() -> Iterator[Row]:
    """The table: what the program runs with first, and then by name."""
    listed: set[str] = set()
    for purpose in PURPOSES:
        brought = closure(project()[purpose], every_system())
        direct = {canonicalize_name(each.name) for each in project()[purpose]}
        for name in sorted(brought.keys() - listed, key=lambda name: (name not in direct, name)):
            askers = "" if name in direct else ", ".join(sorted(brought[name]))
            yield Row(name, licence_of(name), purpose, askers)
        listed |= brought.keys()


def table() -> str:
    """The table in Markdown."""
    lines = [f"| {' | '.join(HEADINGS)} |", "| " + " | ".join("---" for _ in HEADINGS) + " |"]
    return "\n".join([*lines, *("| " + " | ".join(row) + " |" for row in rows())]) + "\n"


if __name__ == "__main__":
    print(table(), end="")
