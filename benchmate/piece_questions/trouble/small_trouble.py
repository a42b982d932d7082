"""Small trouble, said in a line when its moment has come: at the first knots of a piece, at an edge, after a break."""

from benchmate.store.open_piece import OpenPiece

SHOWS = "If the other colour shows through this knot, pull it back before its second half."
PLACE = "Does a knot sit off its place? Push it up between the two above it before the next one."
TENSION = "Pull every knot as tight as the last one: that keeps the edges straight."
EDGE = "The string at the edge waited a row and may have slipped: pull it up first."
BREAK = "After a break the first knots come out tighter or looser: compare them with the last ones."
ALOUD = {
    SHOWS: "If the other colour shows, pull the knot back",
    PLACE: "Push a knot up if it sits off its place",
    TENSION: "Pull it as tight as the last one",
    EDGE: "Pull the string at the edge up first",
    BREAK: "Keep the tension as it was before the break",
}
"""The same in as few words as are said after a step, in three seconds."""
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
            (PLACE, row == 2 and begins_row and in_pairs),
            (EDGE, row == 3 and begins_row and in_pairs and _is_at_an_edge(held, number)),
            (TENSION, row >= 4 and begins_row),
            # The others have no later moment.
            (SHOWS, knot > 0 and _joins_two_colours(held, number)),
        )
        return next((said for text, here in moments if here and (said := self._once(text))), "")

    def _once(self, text: str) -> str:
        if text in self._said:
            return ""
        self._said.add(text)
        return text


def _joins_two_colours(held: OpenPiece, number: int) -> bool:
    """Whether a knot is made over a string of another colour, so that one can show through the other."""
    whole, colour_of = held.whole, held.whole.main.design.body.colour_of
    knotting = whole.knotting(number)
    return bool(knotting) and colour_of(knotting) != colour_of(whole.passive(number))


def _is_at_an_edge(held: OpenPiece, number: int) -> bool:
    """Whether the first or the last string as they hang is in a step."""
    hanging, strings = held.progress.hanging, {held.whole.knotting(number), held.whole.passive(number)}
    return hanging[0] in strings or hanging[-1] in strings
