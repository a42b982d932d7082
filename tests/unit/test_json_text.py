"""JSON documents for a terminal, a file or a script."""

import json

from benchmate.commands.shared.json_text import json_text


def test_every_text_comes_back_and_none_controls_a_terminal() -> None:
    document = {"title": "".join(map(chr, range(0x180))) + "\u202e\u2028\ud800\U000e0041", "of": [1, None, 2.5]}
    text = json_text(document)
    assert json.loads(text) == document
    assert text.endswith("}\n")
    assert text[:-1].isascii()
    assert text[:-1].isprintable()
