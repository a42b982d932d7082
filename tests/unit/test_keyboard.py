"""Whatever a terminal sends, keys stay keys: newer protocols, noise, pastes and sequences cut short."""

import random
from collections.abc import Iterable

import pytest
from textual import events
from textual._ansi_sequences import ANSI_SEQUENCES_KEYS, IGNORE_SEQUENCE
from textual._keyboard_protocol import FUNCTIONAL_KEYS
from textual.message import Message

from benchmate.bench.terminal.judged_key import HeldKey, name_of
from benchmate.bench.terminal.key_stream import LONGEST_PASTE, PASTE_WAIT, SEQUENCE_WAIT
from benchmate.bench.terminal.keyboard import MOST, Keyboard

LATE = 10.0


def shown(messages: Iterable[Message]) -> list[str]:
    """Keys by their names in the settings, with `held` before a repeat; other messages by their kind."""
    found = []
    for message in messages:
        if isinstance(message, events.Key):
            found.append(f"{'held ' if isinstance(message, HeldKey) else ''}{name_of(message)}")
        else:
            found.append(type(message).__name__)
    return found


def typed(*reads: bytes) -> list[str]:
    """What the reads give, each a moment after the one before, and a quiet moment after them."""
    keyboard = Keyboard()
    found = [each for at, data in enumerate(reads) for each in shown(keyboard.feed(data, at / 1000))]
    return [*found, *shown(keyboard.quiet(LATE))]


@pytest.mark.parametrize(
    ("sent", "keys"),
    [
        (b" \r\t\x7f\x08u?", ["space", "enter", "tab", "backspace", "backspace", "u", "question_mark"]),
        (
            b"\x1b[A\x1bOB\x1b[5~\x1b[6~\x1b[1;5C\x1b[[A\x1b[3$",
            ["up", "down", "pageup", "pagedown", "ctrl+right", "f1", "shift+delete"],
        ),
        ("ñ語".encode(), ["ñ", "語"]),
        (b"\x1b", ["escape"]),
        (b"\x1b\x1b[A", ["escape", "up"]),
        (b"\x1bx\x1bX\x1b.\x1b[", ["alt+x", "alt+shift+x", "alt+full_stop", "alt+left_square_bracket"]),
        (b"\x1b]", ["alt+right_square_bracket"]),
        (b"\x1b[I\x1b[O", ["AppFocus", "AppBlur"]),
        (b"\x1b[?2026;2$y\x1b[?2048;2$y", ["TerminalSupportsSynchronizedOutput", "InBandWindowResize"]),
        (b"\x1b[48;24;80;480;800t", ["Resize"]),
        # Another way to send keys held with others.
        (b"\x1b[27;5;99~", ["ctrl+c"]),
    ],
)
def test_the_keys_of_usual_terminals(sent: bytes, keys: list[str]) -> None:
    assert typed(sent) == keys


@pytest.mark.parametrize(
    ("sent", "keys"),
    [
        (b"\x1b[32u\x1b[32;1u\x1b[32;1:1u", ["space"] * 3),
        (b"\x1b[32;1:2u", ["held space"]),
        (b"\x1b[32;1:3u", []),
        (b"\x1b[13;1:1u\x1b[1;1:1A\x1b[6;1:1~\x1b[6;1:2~\x1b[6;1:3~", ["enter", "up", "pagedown", "held pagedown"]),
        (b"\x1b[97;;97u\x1b[97;1;97u", ["a", "a"]),
        (b"\x1b[97:65;2u\x1b[47:63;2:1u\x1b[47:63:45;2u", ["A", "question_mark", "question_mark"]),
        (b"\x1b[99;5u\x1b[99:67;5:1u\x1b[99::99;69:1u", ["ctrl+c"] * 3),
        (b"\x1b[97;1;97:98u", ["a", "b"]),
        (b"\x1b[0;;241u", ["ñ"]),
        (b"\x1b[57441;2:1u\x1b[57441;2:3u", ["left_shift"]),
        (b"\x1b[32;129:1u", ["space"]),
        # No such characters, events or function keys.
        (b"\x1b[9999999u\x1b[55296u\x1b[97;1;9999999u\x1b[0u\x1b[97;1:9u\x1b[77~\x1b[:::u\x1b[;;;u", ["a"]),
    ],
)
def test_the_keys_of_the_newer_protocol(sent: bytes, keys: list[str]) -> None:
    assert typed(sent) == keys


@pytest.mark.parametrize(
    "noise",
    [
        b"\xe9",
        b"\xff\xfe\xa0\x80",
        "ñ".encode("latin-1"),
        b"\xf0\x9f\x98",
        b"\x1b[<0;10;10M\x1b[<64;1;1M\x1b[<0;10;10m\x1b[32;10;10M\x1b[M !!",
        b"\x1b[201~",
        b"\x1b[12;40R",
        b"\x1b[?62;22c\x1b[>1;10;0c\x1b[0n",
        b"\x1b]11;rgb:1010/1313/1515\x07\x1b]11;rgb:1010/1313/1515\x1b\\",
        b"\x1bP>|terminal 1.0\x1b\\\x1b_G;OK\x1b\\",
        b"\x1b[5;5X\x1b[1;2;3;4;5;6m\x1b[ @",
        b"\x1b[48;0;0;0;0t\x1b[48;99999;99999;1;1t\x1b[48;24;80;0;0t",
        b"\x1b[" + b"1" * 10_000 + b"u",
        b"\x1b[" + b"1;" * 10_000 + b"A",
        b"\x1b[200~ q q \r \x1b[A \x1b \x1b[201 ~ \x1b[20\x1b[201~",
        b"\x1b[200~" + b"q " * 10_000 + b"\x1b[201~",
        b"\x1b[200~\x1b[201~",
    ],
)
def test_noise_is_no_key(noise: bytes) -> None:
    assert typed(noise, b" ") == ["space"]
    assert typed(*(bytes([each]) for each in noise), b"u") == ["u"]


@pytest.mark.parametrize(
    "cut", [b"\x1b[3", b"\x1b[32;1:", b"\x1b[<0;1", b"\x1b]11;rg", b"\x1bP", b"\x1b[48;24;80;4", b"\x1b[M"]
)
def test_a_sequence_cut_short_is_given_up(cut: bytes) -> None:
    keyboard = Keyboard()
    assert shown(keyboard.feed(cut, 0.0)) == []
    assert shown(keyboard.quiet(SEQUENCE_WAIT / 2)) == []
    before = shown(keyboard.quiet(SEQUENCE_WAIT))
    assert before in ([], ["alt+shift+p"])
    assert shown(keyboard.feed(b" \x1b[A", 1.0)) == ["space", "up"]


@pytest.mark.parametrize("cut", [b"\x1b[3", b"\x1b[32;1:", b"\x1b[<0;1", b"\x1b]11;rg", b"\x1b[48;24;80;4", b"\x1b[Mx"])
@pytest.mark.parametrize(
    ("after", "keys"), [(b"\x1b[A", ["up"]), (b"\r", ["enter"]), (b"\x03", ["ctrl+c"]), ("ñ".encode(), ["ñ"])]
)
def test_a_sequence_cut_short_ends_where_another_begins(cut: bytes, after: bytes, keys: list[str]) -> None:
    if not (cut == b"\x1b]11;rg" and keys == ["ñ"]):
        assert typed(cut + after) == keys


def test_a_sequence_may_come_in_pieces_and_late() -> None:
    keyboard = Keyboard()
    assert shown(keyboard.feed(b"\x1b", 0.0)) == []
    # Read late, because the machine was busy, but nothing was waited for.
    assert shown(keyboard.feed(b"[", 5.0)) == []
    assert shown(keyboard.feed(b"A", 9.0)) == ["up"]
    for character in "ñ語😀":
        first, *rest = (bytes([each]) for each in character.encode())
        assert shown(keyboard.feed(first, 10.0)) == []
        assert shown(keyboard.quiet(20.0)) == []
        assert [each for part in rest for each in shown(keyboard.feed(part, 20.0))] == [character]


def test_an_unfinished_paste_is_given_up() -> None:
    keyboard = Keyboard()
    assert shown(keyboard.feed(b"\x1b[200~ q ", 0.0)) == []
    assert shown(keyboard.quiet(PASTE_WAIT / 2)) == []
    assert shown(keyboard.feed(b" \x1b[A\x03", PASTE_WAIT / 2)) == ["ctrl+c"]
    assert shown(keyboard.quiet(PASTE_WAIT)) == []
    assert shown(keyboard.feed(b" ", PASTE_WAIT)) == []
    assert shown(keyboard.quiet(2 * PASTE_WAIT)) == []
    assert shown(keyboard.feed(b" \x1b[A", 2 * PASTE_WAIT)) == ["space", "up"]


def test_an_endless_paste_is_given_up() -> None:
    keyboard = Keyboard()
    assert shown(keyboard.feed(b"\x1b[200~" + b" " * LONGEST_PASTE, 0.0)) == []
    assert shown(keyboard.feed(b"u", 0.0)) == ["u"]


def test_of_many_keys_at_once_some_are_passed_on_and_ctrl_c_always_is() -> None:
    assert typed(b" " * 4000 + b"\x03" + b" " * 90 + b"\x1b[99;5:1u", b"u") == ["space"] * MOST + ["ctrl+c"] * 2 + ["u"]


def test_every_key_the_framework_knows_is_taken_at_once() -> None:
    sequences = [*ANSI_SEQUENCES_KEYS, *(f"\x1b[{key}" for key in FUNCTIONAL_KEYS)]
    keyboard = Keyboard()
    for sequence in sequences:
        if sequence not in ("\x1b", "\x1b\x1b"):
            # If the parser waited for more, it would give no key, or not this one.
            ignored = ANSI_SEQUENCES_KEYS.get(sequence) is IGNORE_SEQUENCE
            assert shown(keyboard.feed(sequence.encode(), 0.0)) or ignored, repr(sequence)
            assert shown(keyboard.feed(b"x", 0.0)) == ["x"], repr(sequence)


PIECES = (
    *(b"\x1b", b"\x1b[", b"\x1bO", b"\x1b]", b"\x1bP", b"\x1b[M", b"\x1b[<", b"\x1b[200~", b"\x1b[201~", b"\x1b[48;"),
    *(
        b"\x1b[32;1:1u",
        b"\x1b[97;;97u",
        b"\x1b[1;5A",
        b"\x1b[27;5;99~",
        b"\x1b[?2048;2$y",
        b"\x1b[I",
        b"\x07",
        b"\x1b\\",
    ),
    *(
        b"0",
        b"7",
        b"1114112",
        b"99999999999",
        b":",
        b";",
        b"u",
        b"~",
        b"t",
        b"M",
        b"m",
        b"R",
        b"$",
        b"y",
        b"\x00",
        b"\x9b",
    ),
    *("ñ".encode(), "語".encode(), b"\xe9", b"\xf0\x9f", b" ", b"\r", b"q"),
)


@pytest.mark.parametrize("seed", range(20))
def test_after_any_noise_keys_are_heard(seed: int) -> None:
    chance = random.Random(seed)
    keyboard, at = Keyboard(), 0.0
    for _ in range(200):
        noise = chance.randbytes(chance.randrange(40)) if chance.random() < 0.3 else b""
        noise += b"".join(chance.choices(PIECES, k=chance.randrange(30)))
        cut = chance.randrange(len(noise) + 1)
        at += chance.choice([0.0, 0.05, SEQUENCE_WAIT, PASTE_WAIT])
        for part in (noise[:cut], noise[cut:]):
            for message in (*keyboard.feed(part, at), *keyboard.quiet(at)):
                assert isinstance(message, Message)
        assert shown(keyboard.feed(b"\x03", at))[-1:] == ["ctrl+c"]
        at += PASTE_WAIT + 0.01
        list(keyboard.quiet(at))
        assert shown(keyboard.feed(b" \x1b[A\x1b[32;1:1u\x1b[200~ \x1b[201~u", at)) == ["space", "up", "space", "u"]


# The mouse, as a pedal.


def clicked(*reads: bytes) -> list[str]:
    """What the reads give while the mouse is heard."""
    keyboard = Keyboard(lambda: True)
    found = [each for at, data in enumerate(reads) for each in shown(keyboard.feed(data, at / 1000))]
    return [*found, *shown(keyboard.quiet(LATE))]


@pytest.mark.parametrize(
    ("sent", "keys"),
    [
        (b"\x1b[<0;12;5M\x1b[<0;12;5m", ["mouseleft"]),
        (b"\x1b[<2;1;1M\x1b[<2;1;1m", ["mouseright"]),
        # Anywhere, also outside of the window; with shift, alt and ctrl.
        (b"\x1b[<0;9999;9999M\x1b[<2;-3;-1M", ["mouseleft", "mouseright"]),
        (b"\x1b[<4;1;1M\x1b[<8;1;1M\x1b[<16;1;1M\x1b[<28;1;1M\x1b[<30;1;1M", ["mouseleft"] * 4 + ["mouseright"]),
        # The middle button, the wheel in four directions, motions and drags, further buttons, a release of any.
        (b"\x1b[<1;1;1M", []),
        (b"\x1b[<64;1;1M\x1b[<65;1;1M\x1b[<66;1;1M\x1b[<67;1;1M\x1b[<68;1;1M", []),
        (b"\x1b[<32;1;1M\x1b[<34;1;1M\x1b[<35;1;1M", []),
        (b"\x1b[<128;1;1M\x1b[<130;1;1M\x1b[<3;1;1M\x1b[<3;1;1m", []),
        # No such reports, and the older forms, which were not asked for.
        (b"\x1b[<M\x1b[<;;M\x1b[<0;1M\x1b[<00000;1;1M\x1b[<0;1;1;1M", []),
        (b"\x1b[M !!\x1b[32;10;10M", []),
        (b" \x1b[<0;1;1Mb", ["space", "mouseleft", "b"]),
        (b"\x1b[200~\x1b[<0;1;1M\x1b[201~", []),
    ],
)
def test_the_buttons_of_a_mouse(sent: bytes, keys: list[str]) -> None:
    assert clicked(sent) == keys
    assert clicked(*(bytes([each]) for each in sent)) == keys
    for cut in range(1, len(sent)):
        assert clicked(sent[:cut], sent[cut:]) == keys
    # Not asked for, it is nothing, and the keys around it are keys.
    assert typed(sent) == [key for key in keys if not key.startswith("mouse")]


def test_a_report_of_the_mouse_that_is_cut_short_is_no_click() -> None:
    keyboard = Keyboard(lambda: True)
    assert shown(keyboard.feed(b"\x1b[<0;1", 0)) == []
    assert shown(keyboard.quiet(LATE)) == []
    assert shown(keyboard.feed(b";1M", LATE + 1)) == ["semicolon", "1", "M"]


# Text that is pasted into a terminal that does not mark it.


@pytest.mark.parametrize(
    "text",
    [b"see you at noon", b"leave it? yes\rand then\rno\r", "Ein Zopf für Lötzinn".encode(), b"q\ruvspjmwodt?" * 300],
)
def test_text_that_comes_at_once_presses_nothing(text: bytes) -> None:
    assert typed(text) == []
    assert typed(text + b"\x03")[-1:] == ["ctrl+c"]
    assert typed(text, b" ") == ["space"]


@pytest.mark.parametrize("keys", [b" " * 200, b"j120\r ", b"  u\r  u\r  u\r", b"\x1b[D\x1b[C" * 10])
def test_keys_pressed_while_the_machine_was_busy_are_no_text(keys: bytes) -> None:
    assert typed(keys) != []


@pytest.mark.parametrize("end", [b"", b"\x1b[20", b"\x1b[201", b"\x1b\x1b[201"])
def test_a_paste_presses_nothing_however_it_is_split(end: bytes) -> None:
    text = b"\x1b[200~ \r q u \x1b[A \x1b j9\r " + end
    for cut in range(1, len(text)):
        keyboard = Keyboard()
        found = [*keyboard.feed(text[:cut], 0), *keyboard.feed(text[cut:], 0.5)]
        assert shown(found) == []
        assert shown(keyboard.quiet(0.5 + PASTE_WAIT)) == []
        assert shown(keyboard.feed(b" ", LATE)) == ["space"]
