"""The parser whose events a tree is built from: libyaml's, through PyYAML, and no other.

PyYAML has a parser in Python as well. It reads some texts differently and takes many times as long, so that the same
file could be good on one machine and bad on the next. A PyYAML that was built without libyaml is refused instead.
"""

from typing import Any

import yaml

if not yaml.__with_libyaml__:
    raise ImportError(
        "The installed PyYAML was built without libyaml, which benchmate needs. Its ready-made packages include it: "
        "pip install --force-reinstall --only-binary :all: pyyaml"
    )

PARSER: type[Any] = yaml.CSafeLoader
"""The parser."""
