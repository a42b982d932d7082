"""The first screen line by line: pieces, lessons and designs as numbered choices, and a word for all else."""

import os
from collections.abc import Callable, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, TypeVar

from benchmate.choosing.managing import Done, Managing, as_name
from benchmate.choosing.shelves import Entry, Shelf
from benchmate.exit_status import BAD_INPUT, DONE
from benchmate.kept import Kept
from benchmate.plain.abbreviations import abbreviations
from benchmate.plain.answers import Answers, Unreadable
from benchmate.plain.choices import choose, numbered, place_of
from benchmate.plain.first_list.list_words import all_words, opening
from benchmate.plain.first_list.source import Source
from benchmate.plain.first_list.views import BY_DIFFICULTY, BY_FAMILY, HELP, LESSONS, MAIN, SHELVES, Line, View, finding
from benchmate.plain.help_lines import help_lines, no_page
from benchmate.plain.lines import Lines
from benchmate.plain.pages import Pages
from benchmate.store.errors import StoreError
from benchmate.store.reading import Piece

if TYPE_CHECKING:
    from benchmate.piece_opening import OpenedPiece
    from benchmate.plain.first_list.following import Following

T = TypeVar("T")

NOT_UNDERSTOOD = "Not understood. Type a number, or ? for all words."


def run(kept: Kept, answers: Answers, lines: Lines) -> int:
    """Lists what there is to choose from, and does what is typed, until the person leaves; returns the exit status.

    Raises StoreError when an open piece can no longer be saved.
    """
    home = _Home(kept, answers, lines)
    status = home.lead()
    home.keep_copy()
    return status


class _Home:
    """The list that was printed last, and the way to it."""

    def __init__(self, kept: Kept, answers: Answers, lines: Lines) -> None:
        self._kept = kept
        self._answers = answers
        self._lines = lines
        self._source = Source(kept)
        self._managing = Managing(kept, "type undelete")
        self._pages = Pages(lines)
        self._way: list[View] = [MAIN]
        self._listed: Sequence[Line] = ()
        self._by_difficulty = False
        self._changed = False
        """True once a piece was followed, or kept differently."""
        self._words: dict[str, Callable[[str], None]] = {
            "open": self._open_file,
            "find": self._find,
            "about": lambda rest: self._with_line(rest, self._about),
            "new": lambda rest: self._with_line(rest, lambda entry: self._begin(entry.file)),
            "rename": self._rename,
            "aside": self._put_aside,
            "back": self._back,
            "copy": lambda rest: self._with_piece(rest, self._copy),
            "delete": lambda rest: self._with_piece(rest, self._delete),
            "undelete": self._take_back,
            "take": lambda rest: self._with_piece(rest, lambda piece: self._resume(piece, take_over=True)),
            "lessons": lambda _: self._go_to(LESSONS),
            "designs": lambda _: self._go_to(BY_DIFFICULTY if self._by_difficulty else BY_FAMILY),
            "order": lambda _: self._change_order(),
            "finished": lambda _: self._go_to(SHELVES[Shelf.FINISHED]),
            "bin": lambda _: self._go_to(SHELVES[Shelf.BIN]),
            "thread": lambda _: self._about_thread(),
            "list": lambda _: self._list(),
            "more": lambda _: self._more(),
            "key": lambda _: self._pages.begin(abbreviations()),
            "help": self._help,
            "?": lambda _: self._pages.begin(all_words()),
        }

    def lead(self) -> int:
        """Lists, and does what is typed, to the end."""
        self._lines.say(opening())
        self._list()
        while True:
            try:
                answer = self._answers.next()
                if answer is None or (answer.strip() == "q" and len(self._way) == 1):
                    return DONE
                self._do(answer.strip())
            except Unreadable as why:
                from benchmate.plain.piece import UNREADABLE

                self._lines.notice(f"{UNREADABLE} ({why}); leaving.")
                return BAD_INPUT

    def keep_copy(self) -> None:
        """Makes a copy of the pieces where anything was done with one."""
        if not self._changed:
            return
        notice = self._following.copy_after_work()
        if notice is not None:
            self._lines.notice(notice)

    def _do(self, answer: str) -> None:
        word, _, rest = answer.partition(" ")
        if not answer:
            self._more()
        elif answer == "q":
            self._go_back()
        elif (place := place_of(answer, len(self._listed))) is not None:
            self._open(self._listed[place])
        elif answer.isdigit():
            self._lines.notice(self._numbers("There is no such line. Type a number from 1 to"))
        elif (does := self._words.get(word.lower())) is not None:
            does(rest.strip())
        else:
            self._lines.notice(NOT_UNDERSTOOD)

    # The list

    def _list(self) -> None:
        """Reads the pieces again, and says the list that the person is in."""
        damage = self._source.read()
        if damage:
            self._lines.notice(damage)
        view = self._way[-1]
        self._listed = view.lines(self._source)
        heading = f"{view.heading}:" if self._listed else f"{view.heading}: {view.empty}"
        self._pages.begin([heading, *numbered([line.says for line in self._listed])])
        if view in (BY_FAMILY, BY_DIFFICULTY, LESSONS) and self._source.shipped.faulty:
            self._lines.notice(self._source.shipped.faulty)

    def _more(self) -> None:
        if self._pages.more:
            self._pages.next()
        else:
            self._list()

    def _go_to(self, view: View) -> None:
        if self._way[-1] != view:
            self._way.append(view)
        self._list()

    def _go_back(self) -> None:
        if len(self._way) > 1:
            self._way.pop()
        self._list()

    def _change_order(self) -> None:
        self._by_difficulty = not self._by_difficulty
        if self._way[-1] in (BY_FAMILY, BY_DIFFICULTY):
            self._way.pop()
        self._go_to(BY_DIFFICULTY if self._by_difficulty else BY_FAMILY)

    def _find(self, text: str) -> None:
        view = finding(text)
        if not text or not view.lines(self._source):
            self._lines.notice(view.empty if text else "Type a part of a title after find.")
        else:
            self._go_to(view)

    def _help(self, topic: str) -> None:
        if not topic:
            self._go_to(HELP)
            return
        # The list is there before what reads the settings is loaded.
        from benchmate.plain.usual_settings import settings_or_usual

        page = help_lines(topic, settings_or_usual(self._lines).keys)
        if page is None:
            self._lines.notice(no_page(topic))
        else:
            self._pages.begin(page)

    def _about_thread(self) -> None:
        # The list is there before what this needs is loaded.
        from benchmate.plain.asking import Talk
        from benchmate.plain.first_list.box_words import keep_box
        from benchmate.plain.first_list.thread_words import ThreadWords
        from benchmate.plain.usual_settings import settings_or_usual

        talk = Talk(
            self._lines.say,
            self._lines.notice,
            self._answers.next,
            lambda question, choices: choose(self._lines, self._answers, question, choices),
        )
        units = settings_or_usual(self._lines).units
        ThreadWords(
            talk,
            self._kept.pieces.database,
            units,
            lambda box, kinds: keep_box(box, kinds, units, self._answers, self._lines),
        ).lead()
        self._list()

    # What is done with a line

    def _with_line(self, number: str, does: Callable[[Entry], None]) -> None:
        """Does something with the piece or design in a line."""
        line = self._line_of(number)
        if line is not None and line.entry is None:
            self._lines.notice("That line is neither a piece nor a design.")
        elif line is not None and (entry := self._as_now(line.entry)) is not None:
            does(entry)

    def _with_piece(self, number: str, does: Callable[[Piece], None]) -> None:
        """Does something with the piece in a line."""
        line = self._line_of(number)
        if line is not None and (line.entry is None or line.entry.piece is None):
            self._lines.notice("That line is not one of your pieces.")
        elif line is not None and (entry := self._as_now(line.entry)) is not None and entry.piece is not None:
            does(entry.piece)

    def _line_of(self, number: str) -> Line | None:
        place = place_of(number, len(self._listed))
        if place is None:
            self._lines.notice(self._numbers("Type the number of a line after the word, from 1 to"))
            return None
        return self._listed[place]

    def _numbers(self, words: str) -> str:
        """A notice that ends with the last number of this list."""
        return f"{words} {len(self._listed)}." if self._listed else "There are no lines here."

    def _as_now(self, entry: Entry | None) -> Entry | None:
        """A line with its piece as it is now; None where it is gone.

        Numbers stay those of the list that was said last, whatever was done to its pieces since.
        """
        if entry is None or entry.piece is None:
            return entry
        number = entry.piece.piece
        piece = self._possible(lambda: self._kept.pieces.get(number))
        return None if piece is None else entry._replace(piece=piece)

    def _possible(self, does: Callable[[], T]) -> T | None:
        """The result of something that may not be possible; None, and a notice, when it is not."""
        from benchmate.files.tree import BadFile

        try:
            return does()
        except (BadFile, StoreError) as error:
            self._lines.notice(str(error))
            return None

    def _about(self, entry: Entry) -> None:
        from benchmate.plain.first_list.about_lines import about_lines
        from benchmate.plain.usual_settings import settings_or_usual

        settings = settings_or_usual(self._lines)

        def said() -> list[str]:
            lines = about_lines(entry, self._kept.pieces, self._source.pieces, settings)
            return lines if entry.piece is None else [*lines, *self._following.next_step(entry.piece)]

        lines = self._possible(said)
        if lines is not None:
            self._pages.begin(lines)

    # Pieces to follow

    def _open(self, line: Line) -> None:
        if line.view is not None:
            self._go_to(line.view)
        elif line.topic:
            self._help(line.topic)
        elif (entry := self._as_now(line.entry)) is not None:
            if entry.piece is None:
                self._begin(entry.file)
            elif entry.piece.arrangement.deleted:
                self._ask_to_take_back(entry.piece)
            else:
                self._resume(entry.piece)

    def _open_file(self, path: str) -> None:
        place = place_of(path, len(self._listed))
        if not path:
            self._lines.notice("Type the path of a design file after open.")
        elif place is not None and not os.path.exists(path):
            self._open(self._listed[place])
        else:
            self._work(self._possible(lambda: self._following.opened(path)))

    def _begin(self, file: str) -> None:
        self._work(self._possible(lambda: self._following.begun(file, self._source.newest)))

    def _resume(self, piece: Piece, *, take_over: bool = False) -> None:
        self._work(self._possible(lambda: self._following.continued(piece)), take_over=take_over)

    @cached_property
    def _following(self) -> "Following":
        # The list is there before all that a piece needs is loaded.
        from benchmate.plain.first_list.following import Following

        return Following(self._kept, self._answers, self._lines)

    def _work(self, opened: "OpenedPiece | None", *, take_over: bool = False) -> None:
        """Follows a piece until it is left, and then lists again. None is a piece that could not be opened."""
        if opened is None:
            return
        self._changed = True
        if self._following.follow(opened, take_over=take_over):
            self._list()

    # How pieces are kept

    def _rename(self, rest: str) -> None:
        number, _, name = rest.partition(" ")
        self._with_piece(number, lambda piece: self._did(self._managing.rename(piece, as_name(name.strip()))))

    def _put_aside(self, number: str) -> None:
        if not number:
            self._go_to(SHELVES[Shelf.ASIDE])
        else:
            self._with_piece(number, lambda piece: self._did(self._managing.put_aside(piece, True)))

    def _back(self, number: str) -> None:
        if not number:
            self._go_back()
        else:
            self._with_piece(number, lambda piece: self._did(self._managing.put_aside(piece, False)))

    def _copy(self, piece: Piece) -> None:
        self._source.read()
        self._did(self._managing.copy(piece, {each.title for each in self._source.pieces}))

    def _delete(self, piece: Piece) -> None:
        question = f"{piece.title}, {piece.done} of {piece.size} steps. Delete it? It can be taken back at any time."
        if choose(self._lines, self._answers, question, ["delete it", "keep it"]) == 0:
            self._did(self._managing.delete(piece))
        else:
            self._lines.say(f"{piece.title} is kept.")

    def _ask_to_take_back(self, piece: Piece) -> None:
        if choose(self._lines, self._answers, f"{piece.title} is in the bin.", ["take it back", "leave it there"]) == 0:
            self._did(self._managing.take_back(piece))
        else:
            self._lines.say(f"{piece.title} stays in the bin.")

    def _take_back(self, number: str) -> None:
        if number:
            self._with_piece(number, lambda piece: self._did(self._managing.take_back(piece)))
        elif self._managing.deleted is not None:
            self._did(self._managing.take_back(self._managing.deleted))
        else:
            self._lines.notice("Nothing has been deleted since you started. bin lists what is in the bin.")

    def _did(self, done: Done) -> None:
        """Says what was done; a notice where nothing was."""
        if done.piece is None:
            self._lines.notice(done.says)
        else:
            self._changed = True
            self._lines.say(done.says)
