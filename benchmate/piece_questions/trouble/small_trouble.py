"""Small trouble, said in a line when its moment has come: at the first knots of a piece, at an edge, after a break."""

from benchmate.store.open_piece import OpenPiece

SHOWS = "Does the other colour show through? Pull the knot back before its second half."
PLACE = "Does a knot sit off its place? Push it up between the two above it before the next one."
TENSION = "Pull every knot as tight as the last one: that keeps the edges straight."
EDGE = "The string at the edge waited a row and may have slipped: pull it up first."
BREAK = "After a break the first knots come out tighter or looser: compare them with the last ones."
FIRST_ROWS = 6
"""Only in so many rows from the first one is anything said but after a break: later on, the hands know it."""


class SmallTrouble:
    """What to say of small trouble in one sitting with a piece, each thing once."""

    def __init__(self) -> None:
        self._said: set[str] = set()
        self._after_break = False

    def rested(self) -> None:
        """Takes in that the hands have rested."""
        self._said.discard(BREAK)
        self._after_break = True

    def at(self, held: OpenPiece) -> str:
        """What to say at the step to do now; empty for nothing. What is given counts as said."""
        number, whole = held.progress.next, held.whole
        if held.wrong is not None:
            # The hands are at work again: what they tie next does not follow a break.
            self._after_break = False
        if number is None or held.wrong is not None or not held.holding:
            return ""
        if whole.part_of(number) is not whole.main or whole.main.design.family.step_word != "knot":
            return ""
        if self._after_break:
            self._after_break = False
            return self._once(BREAK)
        row, knot = whole.step(number).row, held.progress.done - whole.main.first
        if row > FIRST_ROWS:
            return ""
        begins_row = number == whole.span(whole.row_of(number)).first
        # In a picture a knot sits below the one above it, and no string waits at the edge.
        in_pairs = whole.main.work.positions_per_step == 2
        moments = (
            (SHOWS, knot == 1),
            (PLACE, row == 2 and begins_row and in_pairs),
            (EDGE, row == 3 and begins_row and in_pairs),
            (TENSION, row >= 4 and begins_row),
        )
        return next((said for text, here in moments if here and (said := self._once(text))), "")

    def _once(self, text: str) -> str:
        if text in self._said:
            return ""
        self._said.add(text)
        return text
