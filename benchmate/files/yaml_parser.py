"""The parser whose events a tree is built from: libyaml's where PyYAML was built with it, else the one in Python."""

from typing import Any

import yaml


class PythonParser(yaml.SafeLoader):
    """PyYAML's parser in Python, reading what it does differently from libyaml as libyaml does.

    Tabs are blanks wherever they indent nothing, and a question mark inside brackets ends no unquoted text.
    """

    def scan_to_next_token(self) -> None:
        """Skip blanks, comments and line breaks."""
        super().scan_to_next_token()
        while self.peek() == "\t" and (self.flow_level or not self.allow_simple_key):
            self.forward(self._blanks())
            super().scan_to_next_token()

    def scan_plain(self) -> yaml.ScalarToken:
        """Take an unquoted text, its lines folded into one."""
        start = end = self.get_mark()
        indent = self.indent + 1
        text = blanks = ""
        while length := self._words():
            self.allow_simple_key = False
            text += blanks + self.prefix(length)
            self.forward(length)
            end = self.get_mark()
            blanks = self._blanks_or_fold(indent, start)
            if not blanks or self.peek() == "#" or (not self.flow_level and self.column < indent):
                break
        return yaml.ScalarToken(text, True, start, end)

    def _words(self) -> int:
        """How many characters of an unquoted text come before the next blank, line break or sign that ends it."""
        length = 0
        while (character := self.peek(length)) not in "\0 \t\r\n":
            if character == ":" and self.peek(length + 1) in "\0 \t\r\n" + (",[]{}" if self.flow_level else ""):
                break
            if self.flow_level and character in ",[]{}":
                break
            length += 1
        return length

    def _blanks(self) -> int:
        """How many spaces and tabs come next."""
        length = 0
        while self.peek(length) in " \t":
            length += 1
        return length

    def _blanks_or_fold(self, indent: int, start: Any) -> str:
        """Take the blanks after a part of an unquoted text, or what the line breaks there fold into."""
        length = self._blanks()
        blanks: str = self.prefix(length)
        self.forward(length)
        if self.peek() not in "\r\n":
            return blanks
        return "".join(self.scan_plain_spaces(indent, start) or ())


PARSER: type[Any] = yaml.CSafeLoader if yaml.__with_libyaml__ else PythonParser
"""The parser used."""
