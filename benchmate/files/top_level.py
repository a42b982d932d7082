"""One value at the top level of a YAML text, found without reading the rest of it."""

import yaml

from benchmate.files.yaml_parser import PARSER


def top_level(text: str, key: str) -> str | None:
    """The text of a key's value at the top level; None where it has none, or where the text cannot be read so far."""
    depth, place, found = 0, 0, False
    try:
        for event in yaml.parse(text, Loader=PARSER):
            if isinstance(event, yaml.CollectionEndEvent):
                depth -= 1
            elif depth == 1 and isinstance(event, yaml.NodeEvent):
                scalar = str(event.value) if isinstance(event, yaml.ScalarEvent) else None
                if found:
                    return scalar
                # Keys and values alternate.
                found = place % 2 == 0 and scalar == key
                place += 1
            elif isinstance(event, yaml.SequenceStartEvent) and depth == 0:
                return None
            if isinstance(event, yaml.CollectionStartEvent):
                depth += 1
    except yaml.YAMLError:
        return None
    return None
