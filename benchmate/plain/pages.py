"""Long lists and texts in pages, the next one on request."""

from collections.abc import Iterable

from benchmate.plain.lines import Lines, other_lines

MOST = 20
"""The most lines of a page, the one that says that there is more included."""


class Pages:
    """Prints texts, one a line, as many as a page holds; keeps the rest."""

    def __init__(self, lines: Lines) -> None:
        self._lines = lines
        self._rest: list[list[str]] = []
        """The lines of each text that is not printed yet."""

    @property
    def more(self) -> bool:
        """True while there is more to print."""
        return bool(self._rest)

    def begin(self, texts: Iterable[str]) -> None:
        """Forgets what was left, and prints the first page of these."""
        self._rest = [other_lines(text, self._lines.width) for text in texts]
        self.next()

    def next(self) -> None:
        """Prints the next page: whole texts, or a part of one that is longer than a page."""
        room = MOST if sum(map(len, self._rest)) <= MOST else MOST - 1
        page: list[str] = []
        while self._rest and (not page or len(page) + len(self._rest[0]) <= room):
            text = self._rest.pop(0)
            page += text[:room]
            if text[room:]:
                self._rest.insert(0, text[room:])
                break
        if self._rest:
            page.append(f"{len(self._rest)} more. Type more.")
        self._lines.say("\n".join(page))
