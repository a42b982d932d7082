"""Words about the voice: on and off, again, and how it sounds."""

import time
from functools import partial
from threading import Event

from benchmate.craft.wording.prompts import Happened
from benchmate.piece_questions import voice_choices
from benchmate.plain.in_piece.session import Session
from benchmate.speech.voices import Voice, matching

ELSEWHERE = ("listen",)
"""Settings of the full screen only."""
VOICES_WITHIN = 5.0
"""The most seconds to wait for the names of this machine's voices."""
LOOK_EVERY = 0.1
"""Seconds between two looks whether the voice has failed meanwhile."""


def voice(session: Session, _: str) -> None:
    """Turns the voice on or off; one that is on but could not speak is tried again."""
    on, before = not session.voice_is_on, session.steps_of_press()
    session.voice.switch(on=on)
    session.say("Voice on." if on else "Voice off.")
    # A prompt may hold fewer knots than a line: what an empty line counts is always what the last step line says.
    if session.steps_of_press() != before:
        session.say_step()
    session.say_aloud(Happened.RESUMED)


def again(session: Session, _: str) -> None:
    """Repeats the instruction: aloud where the voice is on, else as a line."""
    if session.held.current_step()[0] is None:
        session.refuse("All done.")
    elif session.voice_is_on:
        session.voice.again(session.held, session.press)
    else:
        session.say_step()


def sound(session: Session, _: str) -> None:
    """Lists the settings of the voice, and changes those that are chosen."""
    voices: list[Voice] | None = None
    while True:
        rows = [row for row in voice_choices.rows(session.settings, voices) if row.name not in ELSEWHERE]
        chosen = session.ask(
            "The voice. What do you want to change?", [*(row.says for row in rows), "hear it", "hear the sounds"]
        )
        if chosen is None:
            break
        if chosen >= len(rows):
            if chosen == len(rows):
                session.voice.try_out(session.held, session.press)
            else:
                _hear_sounds(session)
            continue
        name = rows[chosen].name
        if name == "speaker" and voices is None:
            voices = _voices(session)
        _change(session, name, voices)
    session.stop_trial()


def _hear_sounds(session: Session) -> None:
    """Plays each sound that is chosen."""
    sounds = list(voice_choices.SOUNDS.items())
    while (chosen := session.ask("Which sound?", [name for _, name in sounds])) is not None:
        session.voice.try_sound(*sounds[chosen])


def _voices(session: Session) -> list[Voice] | None:
    """This machine's voices for the language; None, after a notice, when they are not found in time."""
    found: list[Voice] = []
    here = Event()

    def answer(voices: list[Voice]) -> None:
        found.extend(matching(voices, session.settings.language))
        here.set()

    session.voice.voices(answer)
    until = time.monotonic() + VOICES_WITHIN
    while not here.wait(LOOK_EVERY):
        if session.voice_failed or time.monotonic() > until:
            session.refuse("The voices of this machine were not found.")
            return None
    return found


def _change(session: Session, name: str, voices: list[Voice] | None) -> None:
    called, limits = f"{voice_choices.CALLED[name]}?", voice_choices.LIMITS.get(name)
    value: str | int | None
    if limits is not None:
        value = session.ask_number(called, *limits)
    else:
        values = voice_choices.values(name, voices)
        chosen = session.ask(called, [says for _, says in values])
        value = None if chosen is None else values[chosen][0]
    if value is not None:
        session.change_settings(partial(voice_choices.with_value, name=name, value=value))
