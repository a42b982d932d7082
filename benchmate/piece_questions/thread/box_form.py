"""The threads of the box as a person reads and types them."""

from collections.abc import Callable, Collection, Mapping, Sequence
from typing import NamedTuple

from benchmate.craft.thread import plausible
from benchmate.craft.thread.box_thread import (
    EMPTY_BOX,
    MOST_MM,
    MOST_THREADS,
    OFFCUT,
    SKEIN,
    BoxThread,
    skeins_and_offcuts,
)
from benchmate.craft.thread.gauge import FLOSS
from benchmate.craft.thread.usual import USUAL_SKEIN
from benchmate.craft.wording.length_words import length_words, mm_of, spoken_length_words
from benchmate.files.css import plain_name
from benchmate.store.thread.typed_thread import Unfit, colour_of, name_of, price_of

SORTS = {SKEIN: "a skein, not cut into yet", OFFCUT: "an offcut, or a skein that was cut into"}
"""What a thread in the box is, in words."""


_READERS: Mapping[str, Callable[[str], object]] = {"name": name_of, "colour": colour_of, "price": price_of}


class Draft(NamedTuple):
    """A thread as it is typed: a text for each field. `sort` is one of `SORTS`; `skeins` counts equal ones."""

    name: str = ""
    colour: str = ""
    kind: str = FLOSS.name
    sort: str = SKEIN
    length: str = ""
    price: str = ""
    skeins: str = "1"


ASKED = {
    "name": "your name for it",
    "colour": "colour, such as teal or #0b3c5d",
    "kind": "kind of thread",
    "sort": "skein or offcut",
    "length": "length",
    "price": "price of a skein, may be empty",
    "skeins": "how many of these",
}
"""What each field is asked as, in the order of the fields."""


def asked(draft: Draft, *, new: bool) -> list[str]:
    """The fields that are asked for: only a new skein has a number of equal ones."""
    return [field for field in ASKED if field != "skeins" or (new and draft.sort == SKEIN)]


def new_draft(units: str) -> Draft:
    """A new thread: a skein of the usual length, unless it is typed otherwise."""
    return Draft(length=_typed(USUAL_SKEIN, units))


class Doubt(NamedTuple):
    """What is wrong with a field, or only unusual: a second try takes what is unusual."""

    field: str
    says: str
    unusual: bool = False


def draft_of(thread: BoxThread, units: str) -> Draft:
    """A thread as it would be typed."""
    price = "" if thread.price is None else str(thread.price)
    return Draft(thread.name, thread.colour, thread.kind, thread.sort, _typed(thread.mm, units), price)


def _typed(mm: float, units: str) -> str:
    """A length in a form that reads back as exactly the same."""
    words = length_words(mm, units)
    return words if mm_of(words, units) == mm else f"{mm:g} mm"


def doubt_about(
    draft: Draft,
    kinds: Collection[str],
    units: str,
    *,
    new: bool,
    taken: Collection[str] = (),
    only: str | None = None,
) -> Doubt | None:
    """The first field that cannot be taken as it is; None where all can. With `only`, just that field is looked at.

    `taken` are the fields that were asked about already, as they stand in the draft.
    """
    for field in [only] if only is not None else asked(draft, new=new):
        doubt = _doubt(field, draft, kinds, units)
        if doubt is not None and not (doubt.unusual and field in taken):
            return doubt
    return None


def _doubt(field: str, draft: Draft, kinds: Collection[str], units: str) -> Doubt | None:
    text = getattr(draft, field).strip()
    if field in _READERS:
        try:
            _READERS[field](text)
        except Unfit as unfit:
            says = str(unfit)
            return Doubt(field, f"{says[0].upper()}{says[1:]}{'' if says.endswith('?') else '.'}")
    elif field == "kind":
        if text not in kinds:
            return Doubt(field, f"The kind must be one of: {', '.join(kinds)}.")
    elif field == "sort":
        if text not in SORTS:
            return Doubt(field, f"Type {SKEIN} or {OFFCUT}.")
    elif field == "length":
        mm = mm_of(text, units)
        if mm is None or not 0 < mm <= MOST_MM:
            example = "8 m" if units == "cm" else "26 ft"
            return Doubt(field, f"Type a length above 0, such as {example}; a number alone is in {units}.")
        question = plausible.question(draft.sort, mm, units) if draft.sort in SORTS else None
        if question is not None:
            return Doubt(field, question, unusual=True)
    elif not (text.isascii() and text.isdigit() and 1 <= int(text[:6]) <= MOST_THREADS):
        return Doubt(field, f"Type a whole number from 1 to {MOST_THREADS}.")
    return None


def threads(draft: Draft, units: str, number: int = 0) -> list[BoxThread]:
    """The threads of a draft without a doubt; `number` is that of a thread in the box."""
    mm, whole = mm_of(draft.length, units), draft.sort == SKEIN
    assert mm is not None
    price = price_of(draft.price)
    thread = BoxThread(number, name_of(draft.name), colour_of(draft.colour), draft.kind, mm, whole, price)
    return [thread] * (int(draft.skeins) if whole and not number else 1)


def thread_line(thread: BoxThread, units: str) -> str:
    """`dusk (navy): skein, 8 m, floss, 1.20 a skein`; the colour has the nearest plain name."""
    return _line(thread, length_words(thread.mm, units))


def spoken_thread_line(thread: BoxThread, units: str) -> str:
    """The same by ear."""
    return _line(thread, spoken_length_words(thread.mm, units))


def _line(thread: BoxThread, long: str) -> str:
    price = "" if thread.price is None else f", {thread.price} a skein"
    colour = plain_name(thread.colour)
    called = thread.name if colour in thread.name.casefold().split() else f"{thread.name} ({colour})"
    return f"{called}: {thread.sort}, {long}, {thread.kind}{price}"


def box_summary(found: Sequence[BoxThread]) -> str:
    """`2 skeins and 1 offcut`, or how to begin."""
    return skeins_and_offcuts(found) or EMPTY_BOX
