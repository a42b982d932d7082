"""What stands on the shelves: pieces, lessons and designs, in groups with a heading."""

from collections.abc import Iterable, Sequence
from enum import Enum
from typing import TYPE_CHECKING, NamedTuple
from unicodedata import combining, normalize

from benchmate.craft.effort import HOW_HARD, how_hard
from benchmate.craft.ways import Way
from benchmate.craft.wording.counting import counted
from benchmate.store.reading import Piece

if TYPE_CHECKING:
    # A list of pieces alone begins without the reading of designs.
    from benchmate.design_files.load import DesignFile


class Shelf(Enum):
    """The shelves; the main one leads to the others."""

    MAIN = "BENCHMATE"
    LESSONS = "LESSONS"
    FINISHED = "FINISHED"
    ASIDE = "PUT ASIDE"
    BIN = "BIN"


class Entry(NamedTuple):
    """A line of a shelf: a piece, a design to begin a piece of, or another shelf.

    `loaded` is the shipped design of a line of designs, with its `effort`; a line with a piece too continues that.
    `state` is how far the piece is; `listed` are the titles on the shelf that the line opens.
    """

    title: str
    piece: Piece | None = None
    loaded: "DesignFile | None" = None
    effort: float | None = None
    state: str = ""
    opens: Shelf | None = None
    listed: tuple[str, ...] = ()

    @property
    def file(self) -> str:
        """The design's file; empty for a line that opens a shelf."""
        if self.loaded is not None:
            return self.loaded.given
        return "" if self.piece is None else self.piece.file

    @property
    def key(self) -> object:
        """What tells it from all other lines."""
        return self.opens or self.file, None if self.piece is None else self.piece.piece

    @property
    def verb(self) -> str:
        """What enter does with it."""
        if self.opens is not None:
            return "open"
        if self.piece is None:
            return "begin"
        if self.piece.arrangement.deleted:
            return "take back"
        return "look at it" if self.piece.finished else "continue"

    @property
    def progress(self) -> str:
        """How far its piece is, in words, and how it is worked."""
        piece = self.piece
        if piece is None:
            return self.state
        done = "finished" if piece.finished else f"{piece.done} of {piece.size} steps"
        return done if piece.way == Way() else f"{done}, {piece.way.words}"

    @property
    def remarks(self) -> list[str]:
        """What to write at the end of its line, the longest first."""
        if self.piece is not None or self.loaded is None or self.effort is None:
            return [self.state]
        design, word = self.loaded.design, how_hard(self.effort)
        return [f"{design.family.kind(design.body)}  {word:>{LONGEST_WORD}}", word]


LONGEST_WORD = max(map(len, HOW_HARD))


class Group(NamedTuple):
    """Lines under a heading."""

    heading: str
    entries: Sequence[Entry]


class Stock(NamedTuple):
    """All there is to choose from: the pieces, last touched first, and the shipped designs, easy to hard."""

    pieces: Sequence[Piece]
    lessons: "Sequence[DesignFile]"
    designs: "Sequence[tuple[DesignFile, float]]"

    def groups(self, shelf: Shelf, *, by_difficulty: bool) -> list[Group]:
        """The groups of a shelf. The designs are grouped by family, or by how hard they are."""
        if shelf is Shelf.MAIN:
            found = [
                Group("CONTINUE", [piece_entry(piece) for piece in self.on(None) if not piece.finished]),
                Group("LEARN", self._lessons_line()),
                *self._designs(by_difficulty),
                Group("MORE", self._other_shelves()),
            ]
        elif shelf is Shelf.LESSONS:
            found = [Group("LEARN", self.lesson_entries())]
        else:
            found = [Group(shelf.value, [piece_entry(piece) for piece in self.on(shelf)])]
        return [group for group in found if group.entries]

    def everything(self, *, by_difficulty: bool) -> list[Group]:
        """The groups of all shelves but the bin, to find a title in."""
        others = [Group(shelf.value, [piece_entry(piece) for piece in self.on(shelf)]) for shelf in OTHERS[:-1]]
        main = self.groups(Shelf.MAIN, by_difficulty=by_difficulty)
        lessons = [Group(Shelf.LESSONS.value, self.lesson_entries())]
        kept = [group for group in main if group.heading not in ("LEARN", "MORE")]
        return [group for group in (*kept, *lessons, *others) if group.entries]

    def on(self, shelf: Shelf | None) -> list[Piece]:
        """The pieces on a shelf of their own, or those on none: the unfinished ones."""
        return [piece for piece in self.pieces if _shelf_of(piece) is shelf]

    def unfinished_from(self, file: "DesignFile") -> Piece | None:
        """The unfinished piece of a design that was touched last."""
        return next(
            (
                piece
                for piece in self.pieces
                if piece.file == file.path and not piece.finished and not piece.arrangement.deleted
            ),
            None,
        )

    def designs_by(self, *, difficulty: bool) -> list[Group]:
        """The designs in groups by family or by difficulty, each under its name."""
        entries = [self._design_entry(file, effort) for file, effort in self.designs]
        if difficulty:
            groups = [
                Group(word, [each for each in entries if how_hard(each.effort or 0) == word]) for word in HOW_HARD
            ]
        else:
            from benchmate.families.registry import FAMILIES

            families = [registration.family for registration in FAMILIES.values()]
            groups = [
                Group(
                    family.called,
                    [each for each in entries if each.loaded is not None and each.loaded.design.family is family],
                )
                for family in families
            ]
        return [group for group in groups if group.entries]

    def _designs(self, by_difficulty: bool) -> list[Group]:
        groups = self.designs_by(difficulty=by_difficulty)
        return [Group(f"BEGIN: {group.heading.upper()}", group.entries) for group in groups]

    def _design_entry(self, file: "DesignFile", effort: float | None) -> Entry:
        piece = self.unfinished_from(file)
        return Entry(file.design.title, piece, file, effort, "" if piece is None else f"{piece.done}/{piece.size}")

    def lesson_entries(self) -> list[Entry]:
        """The lessons in order: a finished one says so, one under way is continued."""
        done = self._lessons_done()
        entries = [self._design_entry(file, None) for file in self.lessons]
        return [
            entry._replace(state="done") if entry.piece is None and entry.file in done else entry for entry in entries
        ]

    def next_lesson(self) -> int:
        """The place of the first lesson not done; the first one when all are."""
        done = self._lessons_done()
        return next((at for at, file in enumerate(self.lessons) if file.given not in done), 0)

    def _lessons_done(self) -> set[str]:
        done = finished_files(self.pieces)
        return {file.given for file in self.lessons if file.path in done}

    def _lessons_line(self) -> list[Entry]:
        if not self.lessons:
            return []
        done, of = len(self._lessons_done()), len(self.lessons)
        title = f"Lessons: {done} of {of} done" if done else "Never made a knot? Begin here"
        return [Entry(title, opens=Shelf.LESSONS, listed=tuple(file.design.title for file in self.lessons))]

    def _other_shelves(self) -> list[Entry]:
        found = []
        for shelf, words in zip(OTHERS, ("finished", "put aside", "in the bin"), strict=True):
            pieces = self.on(shelf)
            if pieces:
                titles = tuple(piece.title for piece in pieces)
                found.append(Entry(f"{counted(len(pieces), 'piece')} {words}", opens=shelf, listed=titles))
        return found


OTHERS = (Shelf.FINISHED, Shelf.ASIDE, Shelf.BIN)
"""The shelves that hold nothing but pieces."""


def finished_files(pieces: Iterable[Piece]) -> set[str]:
    """The files of designs of which a piece is finished, and not deleted."""
    return {piece.file for piece in pieces if piece.finished and not piece.arrangement.deleted}


def is_to_begin(file: "DesignFile") -> bool:
    """Whether the design is a piece of its own; written steps that are no lesson are starts and finishes."""
    from benchmate.families.steps.family import STEPS

    return file.design.family is not STEPS


def _shelf_of(piece: Piece) -> Shelf | None:
    if piece.arrangement.deleted:
        return Shelf.BIN
    if piece.arrangement.aside:
        return Shelf.ASIDE
    return Shelf.FINISHED if piece.finished else None


def piece_entry(piece: Piece) -> Entry:
    """The line of a piece."""
    done = "finished" if piece.finished else f"{piece.done}/{piece.size}"
    way = "" if piece.way == Way() else f"  {piece.way.words}"
    return Entry(piece.title, piece, state=f"{done}{way}")


def with_last_day(entry: Entry) -> str:
    """How far a piece is, and when it was touched last."""
    return entry.progress if entry.piece is None else f"{entry.progress}, last on {entry.piece.touched[:10]}"


def found(groups: Iterable[Group], typed: str) -> list[Group]:
    """The entries whose titles have what was typed in a word, or over several from the beginning of one.

    Case, accents and spaces make no difference.
    """
    wanted = "".join(_words(typed))
    kept = [Group(each.heading, [entry for entry in each.entries if _has(entry.title, wanted)]) for each in groups]
    return [group for group in kept if group.entries]


def _has(title: str, wanted: str) -> bool:
    words = _words(title)
    ends = ("".join(words[at:]) for at in range(len(words)))
    return any(wanted in word for word in words) or any(end.startswith(wanted) for end in ends)


def _words(text: str) -> list[str]:
    plain = normalize("NFKD", text.casefold())
    return "".join(sign for sign in plain if not combining(sign)).split()
