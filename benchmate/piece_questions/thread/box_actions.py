"""What a person does with the box, for every front: each change says in words what was done, or why it was not."""

from collections.abc import Callable, Sequence

from benchmate.craft.thread.box_thread import BoxThread
from benchmate.craft.wording.counting import counted
from benchmate.files.safe_text import shown
from benchmate.files.tree import BadFile
from benchmate.piece_questions.thread.dialogue import Say
from benchmate.piece_questions.working_folder import saved_as
from benchmate.store.errors import StoreError
from benchmate.store.thread import box_file
from benchmate.store.thread.box import Box

FILE_NAME = "thread-box"


class BoxActions:
    """A box, its threads as they were read last, and all that can be done with them."""

    def __init__(self, box: Box, undo: str) -> None:
        """`undo` is what to press or type to undo. Raises StoreError when the box cannot be read."""
        self._box = box
        self._undo = undo
        self.threads: list[BoxThread] = box.threads()

    def read(self) -> None:
        """Reads the threads again. Raises StoreError."""
        self.threads = self._box.threads()

    def add(self, threads: Sequence[BoxThread]) -> Say:
        """Puts equal threads in."""
        called = threads[0].name if len(threads) == 1 else f"{threads[0].name}, {len(threads)} times"
        return self._change(lambda: self._box.add(threads), f"Added: {called}.")

    def correct(self, thread: BoxThread) -> Say:
        """Changes a thread."""
        return self._change(lambda: self._box.change(thread), f"Corrected: {thread.name}.")

    def take_out(self, thread: BoxThread) -> Say:
        """Takes a thread out."""
        says = f"Taken out: {thread.name}. {self._undo} puts it back."
        return self._change(lambda: self._box.take_out(thread.number), says)

    def undo(self) -> Say:
        """Undoes the last change that was not undone."""
        try:
            last = self._box.last_booking()
        except StoreError as error:
            return Say(str(error), refused=True)
        if last is None:
            return Say("There is nothing to undo.", refused=True)
        number, why = last
        return self._change(lambda: self._box.undo(number), f"Undone: {why}.")

    def write(self) -> Say:
        """Writes the box to a CSV file in the working folder."""
        if not self.threads:
            return Say("There is nothing to write.")
        return Say(saved_as(FILE_NAME, "csv", box_file.written(self.threads)))

    def read_from(self, path: str) -> Say:
        """Puts in the threads in a CSV file, all or none."""
        try:
            found = box_file.read(path)
        except BadFile as bad:
            first, *more = str(bad).splitlines()
            others = f" ({counted(len(more), 'more problem')})" if more else ""
            return Say(f"{shown(first)}{others}", refused=True)
        if not found:
            return Say(f"{shown(path)}: no threads in it.", refused=True)
        says = f"read from a file: {counted(len(found), 'thread')}"
        return self._change(lambda: self._box.add(found, says), f"{says[0].upper()}{says[1:]}.")

    def _change(self, does: Callable[[], object], says: str) -> Say:
        try:
            does()
            self.read()
        except StoreError as error:
            return Say(str(error), refused=True)
        return Say(says)
