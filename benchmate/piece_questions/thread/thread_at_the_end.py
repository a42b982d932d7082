"""What is offered about the thread of a finished piece, in the full screen and in plain mode alike."""

from collections.abc import Callable

from benchmate.craft.wording.counting import counted
from benchmate.piece_questions.thread import box_booking
from benchmate.piece_questions.thread.box_booking import BoxBooking
from benchmate.piece_questions.thread.cut_strings import teaches
from benchmate.piece_questions.thread.left_over import Kept, LeftOver
from benchmate.settings import Settings
from benchmate.store.errors import StoreError
from benchmate.store.open_piece import OpenPiece
from benchmate.store.thread import gauges
from benchmate.store.thread.box import Box
from benchmate.store.thread.measurements_kept import booked_for, left_of, measured_of

LEFT_OVER, TAKE_BACK, BOX, BOX_BACK = "left over", "take back", "box", "box back"
"""The offers: tell what was left, take that back, book in the box what was used, and undo that."""
SAYS = {
    LEFT_OVER: "tell what was left, for cut lists",
    TAKE_BACK: "take back what you told",
    BOX: "take the thread used from your box",
    BOX_BACK: "undo the booking in your box",
}
NOTHING_KEPT = "Nothing was kept."
NOT_IN_BOX = "Your box has no thread that this piece can have used."
LEFT_FOR_BOX = "tell what was left, for your box"
"""The words of LEFT_OVER for a piece of which nothing is learned."""


class ThreadAtTheEnd:
    """What the maker can tell of the thread of a piece, and what becomes of it. What changes it raises StoreError."""

    def __init__(self, held: OpenPiece, settings: Settings) -> None:
        """`held` has every step done."""
        self._held = held
        self._settings = settings
        self._teaches = teaches(held)
        self._left_over: LeftOver | None = None
        self._box = Box(held.database)
        self._fits: bool | None = None
        """Whether threads of the box were cut into, or may have been; None until it is asked."""
        self.trouble = ""
        """Why not all of it is offered; empty where it is."""

    def offers(self) -> list[tuple[str, str]]:
        """What is possible now, each with its words. Where what is kept cannot be read, `trouble` says so."""
        if not self._held.holding or self._held.piece is None:
            return []
        self.trouble = ""
        found = [*self._offered(self._telling, self._held.piece), *self._offered(self._booking, self._held.piece)]
        says = SAYS if self._teaches else {**SAYS, LEFT_OVER: LEFT_FOR_BOX}
        return [(kind, says[kind]) for kind in found]

    def _offered(self, looked_for: Callable[[int], str | None], piece: int) -> list[str]:
        try:
            found = looked_for(piece)
        except StoreError as error:
            self.trouble = f"What is kept of your thread cannot be read. {error}"
            return []
        return [] if found is None else [found]

    def _telling(self, piece: int) -> str | None:
        if measured_of(self._held.database, piece) is not None:
            return TAKE_BACK
        if self._teaches or (booked_for(self._held.database, piece) is None and self._may_be_booked()):
            return LEFT_OVER
        return None

    def _booking(self, piece: int) -> str | None:
        if booked_for(self._held.database, piece) is not None:
            return BOX_BACK
        return BOX if self._may_be_booked() else None

    def _may_be_booked(self) -> bool:
        if self._fits is None:
            self._fits = box_booking.may_be_booked(self._held)
        return self._fits

    def left_over(self) -> LeftOver:
        """The answers, as far as they were given; they stay until they are kept."""
        if self._left_over is None:
            self._left_over = LeftOver(self._held, self._settings.units)
        return self._left_over

    def keep(self, *, without_far_off: bool = False) -> Kept | None:
        """Keeps the answers, all or nothing; None where there are none."""
        told = self.left_over()
        kept = told.keep(without_far_off=without_far_off)
        if kept is not None:
            self._left_over = None
        return kept

    def throw_away(self) -> None:
        """Forgets the answers that were not kept."""
        self._left_over = None

    def take_back(self) -> str:
        """Forgets what was measured last of this piece; says so."""
        piece = self._held.piece
        told = None if piece is None else measured_of(self._held.database, piece)
        if told is None:
            return "No measurements of this piece."
        gauges.take_back(self._held.database, told.number)
        if not told.measurements:
            return "Taken back: what was left."
        return f"Taken back: {counted(told.measurements, 'measurement')} of {told.gauge}."

    def booking(self) -> BoxBooking | None:
        """What to book in the box; None where nothing of this piece came from it, or it is booked already."""
        held = self._held
        if held.piece is None or booked_for(held.database, held.piece) is not None:
            return None
        left = left_of(held.database, held.piece)
        if not left and self._left_over is not None:
            left = self._left_over.ends()
        return box_booking.booking_of(held, self._box, left, self._settings.units, self._settings.scrap)

    def book(self, booking: BoxBooking) -> str:
        """Books it, whole; says so."""
        self._box.book(self._held.title, booking.left, booking.put_back, self._held.piece)
        return "Booked. Your box is up to date."

    def undo_booking(self) -> str:
        """Undoes what was booked for this piece; says so."""
        piece = self._held.piece
        number = None if piece is None else booked_for(self._held.database, piece)
        if number is None:
            return "Nothing is booked for this piece."
        self._box.undo(number)
        return "Your box is as before this piece."
