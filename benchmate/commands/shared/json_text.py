"""The text of JSON documents."""

import json


def json_text(document: object) -> str:
    """The document on one line, in printable ASCII: no text in it can control a terminal, and none of it is lost."""
    return json_value(document) + "\n"


def json_value(value: object) -> str:
    """A part of such a document."""
    # The only control character that JSON does not have escaped.
    return json.dumps(value).replace("\x7f", "\\u007f")
