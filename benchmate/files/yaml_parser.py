"""The YAML parser: libyaml's, through PyYAML.

PyYAML's own parser in Python reads some texts differently and is many times slower, so a file could be good on one
machine and bad on another. A PyYAML built without libyaml is therefore refused.
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
