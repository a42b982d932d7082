"""Words about the length of the band: longer or shorter, how long it is now, and how long it is to be."""

from benchmate.piece_length import Lengths
from benchmate.piece_questions import length_choices
from benchmate.piece_questions.band_length import BandLength, KnownLengths
from benchmate.piece_questions.typed_numbers import Wish
from benchmate.plain.asking import ask_number
from benchmate.plain.in_piece.arguments import number_and_kind
from benchmate.plain.in_piece.session import Session
from benchmate.plain.in_piece.telling_left_over import talk_of
from benchmate.store.errors import StoreError

NOW, WRIST, WANTED = "now", "wrist", "wanted"
"""What may follow `length`, with a length after it."""
NO_LENGTH = "Rows do not say how long this piece is."
NOT_YET = "No row is whole yet: measure it after the first one."


def length(session: Session, given: str) -> None:
    """Makes the band longer, or ends it sooner; or takes its measure, the wrist or the length wanted."""
    if session.blocked():
        return
    lengths = Lengths(session.held)
    band = _band_length(session, lengths)
    if band is None:
        return
    what, _, typed = given.partition(" ")
    if what in (NOW, WRIST, WANTED):
        _take_length(session, lengths, band, what, typed.strip())
        return
    if given:
        choice = _length_given(session, lengths, band, given)
        if choice is not None:
            _change_to(session, lengths, choice)
    else:
        _choose(session, lengths, band, length_choices.choices(lengths))


def _band_length(session: Session, lengths: Lengths) -> BandLength | None:
    """What is known of the length; None, with a notice, when the gauges cannot be read."""
    if session.known_lengths is None:
        session.known_lengths = KnownLengths(session.opened.options.band_mm)
    try:
        return BandLength(session.held, lengths, session.known_lengths, session.settings.units)
    except StoreError as error:
        session.refuse(str(error))
        return None


def _choose(
    session: Session, lengths: Lengths, band: BandLength, choices: list[length_choices.Choice], said: str = ""
) -> None:
    """Lets the person choose a length, or say more about it than what was just `said`."""
    fits = band.choices() if band.has_length else []
    every = [*choices, *fits]
    words = [choice.says.format("another number") if choice.open else choice.words for choice in every]
    more = [each for each in (NOW, WRIST, WANTED) if band.has_length and each != said and (band.rows or each != NOW)]
    says = {NOW: "how long is it now?", WRIST: "for a wrist", WANTED: "for a length"}
    keep = band.keep_words if band.has_length else None
    chosen = session.ask(
        "How long should the band be?", [*words, *(says[each] for each in more), *([keep] if keep else [])]
    )
    if chosen is None:
        return
    if chosen < len(every):
        choice: length_choices.Choice | None = every[chosen]
        if choice is not None and choice.open:
            number = session.ask_number(f"How many {'rows' if choice.of_rows else 'repeats'} in all?", 1, 999_999)
            choice = None if number is None else choice._replace(number=number)
        if choice is not None:
            _change_to(session, lengths, choice)
    elif chosen < len(every) + len(more):
        _take_length(session, lengths, band, more[chosen - len(every)], "")
    else:
        _keep(session, band)


def _change_to(session: Session, lengths: Lengths, choice: length_choices.Choice) -> None:
    """Says what a length means, and takes it after asking."""
    held = session.held
    able, texts = length_choices.meaning(held, lengths, choice)
    if not able:
        session.refuse(" ".join(texts))
        return
    if not choice.no_finish and choice.length(lengths) == lengths.now:
        session.say(texts[0])
        return
    for text in texts[:-1]:
        session.say(text)
    if session.ask(texts[-1], ["change it"]) is None:
        return
    changed = lengths.without_finish() if choice.no_finish else lengths.changed(choice.length(lengths))

    def says() -> str:
        now = Lengths(held)
        return f"Now {now.words(now.now)}."

    session.change_design(changed, says)


def _length_given(session: Session, lengths: Lengths, band: BandLength, given: str) -> length_choices.Choice | None:
    found = number_and_kind(given)
    if found is None or (found[1] == "row" and not lengths.has_rows):
        rows = ", length 40 rows" if lengths.has_rows else ""
        others = ", length now 64 mm, length wrist 17 cm, length wanted 18 cm" if band.has_length else ""
        session.refuse(f"length alone shows the choices; length 12 repeats{rows}{others}.")
        return None
    number, kind = found
    return length_choices.Choice("", number, of_rows=kind == "row")


def _take_length(session: Session, lengths: Lengths, band: BandLength, what: str, typed: str) -> None:
    """Takes a measure of the band, a wrist or a length wanted, and says what follows from it."""
    if not band.has_length or (what == NOW and not band.rows):
        session.refuse(NOT_YET if band.has_length else NO_LENGTH)
        return
    asked = {NOW: band.ask_now, WRIST: band.ask_wrist, WANTED: band.ask_band}[what]()
    answer = ask_number(talk_of(session), asked, given=typed, after=f"length {what}")
    if answer.wish is not Wish.TAKE:
        return
    mm = answer.number
    if what == NOW:
        band.known.measure(mm, band.rows)
    else:
        (band.known.want_wrist if what == WRIST else band.known.want_band)(mm)
    for text in band.told():
        session.say(text)
    _choose(session, lengths, band, [], what)


def _keep(session: Session, band: BandLength) -> None:
    try:
        session.say(band.keep())
    except StoreError as error:
        session.refuse(f"Not kept. {error}")
