"""The box in plain mode: lists the maker's threads; adds, corrects and takes out; undoes."""

from collections.abc import Callable, Sequence

from benchmate.craft.thread.box_thread import BoxThread
from benchmate.piece_questions.thread import box_form
from benchmate.piece_questions.thread.box_actions import BoxActions
from benchmate.piece_questions.thread.box_form import ASKED, SORTS, Draft
from benchmate.piece_questions.thread.dialogue import Say
from benchmate.plain.answers import Answers
from benchmate.plain.choices import numbered, place_of, whole_number
from benchmate.plain.lines import Lines
from benchmate.plain.pages import Pages
from benchmate.store.thread.box import Box

WORDS = (
    "Type a number to correct that thread, add for a new one, take 3 to take out, undo, export, import FILE, list, or "
    "q to go back."
)
UNCHANGED = "Nothing was changed."


def keep_box(box: Box, kinds: Sequence[str], units: str, answers: Answers, lines: Lines) -> None:
    """Lists the box and does what is typed, until the person goes back. Raises StoreError and Unreadable."""
    BoxWords(box, kinds, units, answers, lines).lead()


class BoxWords:
    """The box, and a person who types."""

    def __init__(self, box: Box, kinds: Sequence[str], units: str, answers: Answers, lines: Lines) -> None:
        self._box = BoxActions(box, "undo")
        self._kinds = list(kinds)
        self._units = units
        self._answers = answers
        self._lines = lines
        self._pages = Pages(lines)

    def lead(self) -> None:
        """Lists, and does what is typed, until `q` or the end of input."""
        self._list()
        while (answer := self._answers.next()) is not None and answer.strip() != "q":
            word, _, rest = answer.strip().partition(" ")
            rest = rest.strip()
            if word == "" or word == "more":
                self._pages.next() if self._pages.more else self._list()
            elif word == "list":
                self._list()
            elif word == "add":
                self._add()
            elif word == "undo":
                self._did(self._box.undo())
            elif word == "export" and not rest:
                self._did(self._box.write())
            elif word == "import" and rest:
                self._did(self._box.read_from(rest))
            elif (number := whole_number(rest if word == "take" else word)) is not None:
                self._with_thread(number, self._take_out if word == "take" else self._correct)
            else:
                self._lines.notice(f"Not understood. {WORDS}")

    def _with_thread(self, number: int, does: Callable[[BoxThread], None]) -> None:
        """Does something with a thread by its number, which stays its own for good."""
        thread = next((thread for thread in self._box.threads if thread.number == number), None)
        if thread is None:
            self._lines.notice(f"There is no thread {number} in your box; list says what there is.")
        else:
            does(thread)

    def _take_out(self, thread: BoxThread) -> None:
        self._did(self._box.take_out(thread))

    def _list(self) -> None:
        self._box.read()
        listed = [f"{thread.number}: {box_form.thread_line(thread, self._units)}" for thread in self._box.threads]
        self._pages.begin([f"Box: {box_form.box_summary(self._box.threads)}", *listed, WORDS])

    def _add(self) -> None:
        found = self._filled(box_form.new_draft(self._units), 0)
        if found:
            self._did(self._box.add(found))

    def _correct(self, thread: BoxThread) -> None:
        self._lines.say(f"{box_form.thread_line(thread, self._units)}. An empty line keeps what is said; q: no change.")
        found = self._filled(box_form.draft_of(thread, self._units), thread.number)
        if found:
            self._did(self._box.correct(found[0]))

    def _did(self, done: Say) -> None:
        """Says what was done; a notice where nothing was."""
        (self._lines.notice if done.refused else self._lines.say)(done.text)

    # The fields of a thread, one after the other

    def _filled(self, draft: Draft, number: int) -> list[BoxThread]:
        """The threads that were typed; none where the person went back."""
        new, at, taken = number == 0, 0, ""
        while at < len(fields := box_form.asked(draft, new=new)):
            field = fields[at]
            self._ask(field, draft)
            answer = self._answers.next()
            if answer is None or answer.strip() == "q":
                self._lines.say(UNCHANGED)
                return []
            value = self._value(field, answer.strip(), getattr(draft, field))
            tried = draft._replace(**{field: value})
            # A length that was asked about is taken when it is typed again.
            seen = (field,) if taken == f"{field} {value}" else ()
            doubt = box_form.doubt_about(tried, self._kinds, self._units, new=new, taken=seen, only=field)
            if doubt is None:
                at, taken, draft = at + 1, "", tried
                continue
            taken = f"{field} {value}" if doubt.unusual else ""
            again = " Type it again, or another length." if doubt.unusual else ""
            self._lines.notice(f"{doubt.says}{again}")
        return box_form.threads(draft, self._units, number)

    def _ask(self, field: str, draft: Draft) -> None:
        now = getattr(draft, field)
        shown = SORTS[now] if field == "sort" else now
        asked = ASKED[field]
        self._lines.say(f"{asked[0].upper()}{asked[1:]}?{f' Now: {shown}.' if shown else ''}")
        if field == "kind":
            self._lines.say("\n".join(numbered(self._kinds)))
        elif field == "sort":
            self._lines.say("\n".join(numbered(list(SORTS.values()))))

    def _value(self, field: str, answer: str, now: str) -> str:
        """What an answer means for a field: a choice by its number or its word, `none` for no price."""
        choices = {"kind": self._kinds, "sort": list(SORTS)}.get(field)
        if not answer:
            return now
        if choices is not None and (place := place_of(answer, len(choices))) is not None:
            return choices[place]
        return "" if field == "price" and answer == "none" else answer
