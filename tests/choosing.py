"""Choosing a line of the first screen by its title, as a person does: type it, look, press enter."""

from tests.terminal import Terminal

GAP = 0.16
"""Seconds between two presses of one key that both count."""
TRIES = 20


def letters_of(title: str) -> str:
    """What to type to find a title."""
    return "".join(sign for sign in title.casefold() if sign.isascii() and sign.isalnum())


def is_chosen(terminal: Terminal, title: str) -> bool:
    """Whether the cursor is on the line with this title."""
    return any(line.lstrip().startswith(f"> {title}") for line in terminal.lines)


def find_title(terminal: Terminal, title: str) -> None:
    """Types a title until the cursor is on its line; again where a letter came too soon after the same one."""
    terminal.wait_until(lambda terminal: terminal.lines[0].startswith(" BENCHMATE"), what="the first screen")
    for attempt in range(1, TRIES + 1):
        before = ""
        for sign in letters_of(title):
            terminal.pump(GAP * attempt if sign == before else 0.01)
            terminal.press(sign)
            before = sign
        terminal.settle()
        if is_chosen(terminal, title):
            return
        terminal.press("escape", gap=2 * GAP)
    raise AssertionError(f"{title} is not on the list:\n{terminal.text}")


def open_title(terminal: Terminal, title: str) -> None:
    """Opens the line with this title."""
    find_title(terminal, title)
    terminal.pump(GAP)
    terminal.press("enter")
