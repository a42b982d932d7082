"""How the strings hang, in lines to read aloud: positions in words, from the nearer edge."""

from itertools import groupby

from benchmate.craft.progress import Progress
from benchmate.craft.start_band_finish import WholePiece
from benchmate.craft.wording.counting import counted
from benchmate.craft.wording.prompt_parts import Detail, ordinal, position


def positions(first: int, last: int, of: int) -> str:
    """The positions of neighbours, counted from 1 at the left, from the nearer edge: `second from the right`."""
    if first == last:
        return position(first, of, Detail.FULL)
    from_left = first + last <= of + 1
    near, far = (first, last) if from_left else (of + 1 - last, of + 1 - first)
    between = "and" if far == near + 1 else "to"
    return f"{ordinal(near)} {between} {ordinal(far)} from the {'left' if from_left else 'right'}"


def hanging_in_words(whole: WholePiece, progress: Progress) -> list[str]:
    """How the strings hang now, from left to right, a line for each group of one colour; slots one by one.

    A string of which nobody knows which one hangs there has no colour.
    """
    design, hanging = whole.main.design, progress.hanging
    family = design.family
    if not family.step_view.strings_hang:
        return [f"slot {slot}: {design.say_of(string)}" for slot, string in enumerate(hanging, 1) if string]
    found, first = [], 1

    def colour(string: int) -> str:
        return "" if string in whole.unsure_strings else design.body.colour_of(string)

    for name, alike in groupby(hanging, key=colour):
        strings = list(alike)
        last = first + len(strings) - 1
        many = f"{counted(len(strings), 'string')}, " if len(strings) > 1 else ""
        label = design.say(name) if name else "not certain"
        found.append(f"{label}, {many}{positions(first, last, len(hanging))}")
        first = last + 1
    # All before the next step are tied; what is tied beyond it, out of turn, is not looked at.
    until = whole.size if progress.next is None else progress.next
    band_done = min(max(0, until - whole.main.first), whole.main.work.size)
    return [*found, *family.words.also_hanging(design, whole.main.work, band_done)]
