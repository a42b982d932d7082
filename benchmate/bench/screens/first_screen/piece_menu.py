"""The questions about a piece on the first screen: what to do with it, its name, and whether to delete it."""

from collections.abc import Callable, Sequence
from typing import Any

from textual.app import App

from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.first_screen.name_screen import NameScreen
from benchmate.bench.screens.question import Answer, Callback, Question, act
from benchmate.choosing.managing import Done, Managing
from benchmate.choosing.shelves import Entry
from benchmate.store.reading import Piece


class PieceMenu:
    """Asks what to do with the line under the cursor, and does it."""

    def __init__(
        self,
        app: App[Any],
        bench: Bench,
        managing: Managing,
        entry: Entry | None,
        titles: set[str],
        did: Callable[[Done], None],
    ) -> None:
        """`titles` are those of all pieces; `did` takes what was done."""
        self._app = app
        self._bench = bench
        self._managing = managing
        self._piece = None if entry is None else entry.piece
        self._titles = titles
        self._did = did

    def ask(self, more: Sequence[Answer[Callback]]) -> None:
        """Asks what to do; `more` are answers that have nothing to do with how the piece is kept."""
        piece, managing = self._piece, self._managing
        answers: list[Answer[Callback]] = []
        if piece is not None and piece.arrangement.deleted:
            answers.append(Answer("t", "take it back", lambda: self._did(managing.take_back(piece))))
        elif piece is not None:
            aside = not piece.arrangement.aside
            says = "put it aside" if aside else "put it back in the list"
            answers += [
                Answer("r", "rename it", lambda: self._ask_for_name(piece)),
                Answer("a", says, lambda: self._did(managing.put_aside(piece, aside))),
                Answer("c", "copy it, with its progress", lambda: self._did(managing.copy(piece, self._titles))),
                Answer("d", "delete it", self.ask_to_delete),
            ]
        answers += more
        deleted = managing.deleted
        if deleted is not None:
            answers.append(Answer("u", f"take back {deleted.title}", lambda: self._did(managing.take_back(deleted))))
        answers.append(Answer("k", "back to the list", lambda: None))
        self._ask("MORE", [] if piece is None else [_called(piece)], answers)

    def ask_to_delete(self) -> None:
        """Asks before the piece goes into the bin."""
        piece = self._piece
        if piece is None or piece.arrangement.deleted:
            return
        texts = [_called(piece), "It goes into the bin. You can take it back at any time."]
        answers: list[Answer[Callback]] = [
            Answer("d", "delete it", lambda: self._did(self._managing.delete(piece))),
            Answer("k", "keep it", lambda: None),
        ]
        self._ask("DELETE?", texts, answers)

    def ask_to_take_back(self) -> None:
        """Asks before the piece leaves the bin."""
        piece = self._piece
        if piece is None:
            return
        answers: list[Answer[Callback]] = [
            Answer("t", "take it back", lambda: self._did(self._managing.take_back(piece))),
            Answer("k", "leave it in the bin", lambda: None),
        ]
        self._ask("TAKE IT BACK?", [_called(piece)], answers)

    def _ask_for_name(self, piece: Piece) -> None:
        def rename(name: str | None) -> None:
            if name is not None and name != piece.title:
                self._did(self._managing.rename(piece, name))

        empty = "Without a name of its own, it has the title of its design."
        self._app.push_screen(NameScreen(self._bench, "RENAME", piece.title, empty), rename)

    def _ask(self, heading: str, texts: Sequence[str], answers: Sequence[Answer[Callback]]) -> None:
        self._app.push_screen(Question(self._bench, heading, texts, answers, escape="k"), act)


def _called(piece: Piece) -> str:
    return f"{piece.title}, {piece.done} of {piece.size}."
