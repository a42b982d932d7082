"""The list of all keys, and the screen that sets up a pedal."""

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual.binding import Binding, BindingType

from benchmate.actions import ACTIONS, MOUSE, RESERVED, key_named, shown_key
from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.help import HelpScreen
from benchmate.bench.screens.lines_screen import LinesScreen
from benchmate.bench.screens.page import Item, page
from benchmate.bench.terminal.judged_key import Key
from benchmate.display.cells import Line
from benchmate.settings import Settings
from benchmate.store.errors import StoreError

TOGETHER = 0.4
"""Seconds in which key events count as one push of the pedal."""
NOTHING = 6.0
"""Seconds without a key event before the screen says that nothing arrived."""
AROUND = 4
"""Lines that the list of keys needs besides the actions: the heading, a text, a blank line and the foot."""
MARGIN = 4
"""Columns beside a line."""
TWINS = {
    "tab": "ctrl+i",
    "enter": "ctrl+m and enter on the number pad",
    "escape": "ctrl+[",
    "backspace": "ctrl+h in some terminals",
    "space": "F18 in some terminals",
}
"""Keys that older terminals cannot tell from other keys."""


class KeysScreen(LinesScreen[None]):
    """Every action of the step screen and its keys."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("p", "pedal", "choose keys"),
        Binding("h", "help", "the help pages"),
        Binding("up", "move(-1)", "up"),
        Binding("down", "move(1)", "down"),
        Binding("escape,q,question_mark,enter", "dismiss(None)", "back"),
    ]

    def __init__(self, bench: Bench) -> None:
        super().__init__(bench)
        self._chosen = 0

    def lines(self, width: int, height: int) -> list[Line]:
        """A line for each action."""
        settings = self.bench.settings
        items = _items(settings, self._chosen, width)
        guard = f"Presses of one key under {settings.guard / 1000:.2g} s apart count once."
        foot = "up/down   p: press your pedal now   h: help pages   escape: back"
        # Where the actions leave no line for it, what counts once goes below them.
        full = len(items) + AROUND > height
        texts, foot = ([], f"{foot}   {guard}") if full else ([guard], foot)
        return page("KEYS", texts, items, foot, width, height, self.palette)

    def heard_first(self) -> Sequence[str]:
        """What the keys of this screen do, and the chosen action."""
        return [
            "Keys. Up or down: the next action, p: press your pedal now, h: help pages, escape: back",
            *self.heard(),
        ]

    def heard(self) -> Sequence[str]:
        """The chosen action and its keys."""
        action = ACTIONS[self._chosen]
        keys = ", ".join(map(shown_key, self.bench.settings.keys[action.name])) or "no key"
        return [f"{keys}: {action.says}"]

    def action_move(self, by: int) -> None:
        """Moves to the action above or below, which scrolls the list."""
        self._chosen = min(max(0, self._chosen + by), len(ACTIONS) - 1)
        self.show()

    def action_help(self) -> None:
        """Opens the help pages."""
        self.app.push_screen(HelpScreen(self.bench))

    def action_pedal(self) -> None:
        """Opens the screen that sets up a pedal."""
        self.app.push_screen(PedalScreen(self.bench), lambda _: self.show())


class PedalScreen(LinesScreen[None]):
    """Takes the key a pedal sends, says which it is, and saves it as a key of an action."""

    def __init__(self, bench: Bench) -> None:
        super().__init__(bench)
        self._chosen = 0
        self._state = "choosing"
        self._arrived: list[str] = []
        self._said = ""
        self._waiting = 0

    def lines(self, width: int, height: int) -> list[Line]:
        """What to do next: choose the action, press the pedal, or confirm."""
        settings = self.bench.settings
        name, says = ACTIONS[self._chosen].name, ACTIONS[self._chosen].says
        if self._state == "choosing":
            items = _items(settings, self._chosen, width)
            texts = ["Which action is the pedal for?"] + ([self._said] if self._said else [])
            foot = "up/down, then enter   d: default keys   "
            foot += "m: no mouse   escape: back" if _has_mouse(settings) else "escape: back"
            return page("PEDAL", texts, items, foot, width, height, self.palette)
        if self._state == "listening":
            foot = "escape: back" if not self._arrived else "..."
            texts = [f"For: {says}.", self._said or "A pedal, a key, or the left or right button of a mouse."]
            return page("PRESS IT NOW", texts, [], foot, width, height, self.palette)
        fault = self._fault(settings, name)
        answers = [] if fault else [Item(f"yes, use it for: {says}", "y")]
        answers.append(Item("no, try again", "n"))
        return page("RECEIVED", [self._said, fault or ""], answers, "escape: back", width, height, self.palette)

    def _fault(self, settings: Settings, name: str) -> str | None:
        kinds = list(dict.fromkeys(self._arrived))
        if len(kinds) > 1:
            return "One push sends several keys, which looks like typing. Set the pedal to send one key."
        if key_named(shown_key(kinds[0])) is None:
            return "That key differs between terminals. Set the pedal to send another."
        if kinds[0] in RESERVED:
            return "That key leaves or stops the program. Set the pedal to send another."
        owner = _owner(settings, kinds[0], name)
        return None if owner is None else f"That is already the key for: {owner}."

    def takes(self, event: Key) -> bool:
        """Takes every key event while it listens: how often a pedal sends its key is what is to be seen."""
        return self._state == "listening" or super().takes(event)

    def on_key(self, event: Key) -> None:
        """Takes every key event, from a pedal too."""
        event.stop()
        if self._state == "listening":
            self._heard(event.press.key)
        elif event.key == "escape":
            self.bench.hear_mouse()
            self.dismiss(None)
        elif self._state == "choosing":
            self._choosing(event.key)
        elif event.key == "y" and self._fault(self.bench.settings, ACTIONS[self._chosen].name) is None:
            self._keep()
        elif event.key == "n":
            self._listen()
        self.show()

    def _choosing(self, key: str) -> None:
        if key in ("up", "down"):
            self._chosen = (self._chosen + (1 if key == "down" else -1)) % len(ACTIONS)
        elif key == "enter":
            self._listen()
        elif key == "d":
            self._restore_defaults()
        elif key == "m" and _has_mouse(self.bench.settings):
            self._take_mouse_away()

    def _restore_defaults(self) -> None:
        settings, action = self.bench.settings, ACTIONS[self._chosen]
        for key in action.keys:
            owner = _owner(settings, key, action.name)
            if owner is not None:
                self._said = f"Not changed: {shown_key(key)} is the key for: {owner}."
                return
        self._write(action.name, lambda _: action.keys, "Default keys restored.")

    def _take_mouse_away(self) -> None:
        """Gives the mouse back to the terminal: no action has a button of it any more."""

        def changed(settings: Settings) -> Settings:
            keys = {name: tuple(key for key in own if key not in MOUSE) for name, own in settings.keys.items()}
            if not keys["leave"]:
                raise StoreError("Not changed: nothing else leaves. Give that action another key first.")
            return settings._replace(keys=keys)

        self._change(changed, "No action has a mouse button now.")

    def _listen(self) -> None:
        self.bench.hear_mouse(listening=True)
        self._state, self._arrived, self._said = "listening", [], ""
        self._waiting += 1
        waiting = self._waiting
        self.set_timer(NOTHING, lambda: self._nothing(waiting))

    def _nothing(self, waiting: int) -> None:
        if self._state == "listening" and waiting == self._waiting and not self._arrived:
            self._said = "Nothing arrived: the terminal keeps this key for itself. Set the pedal to send another."
            self.show()

    def _heard(self, key: str) -> None:
        if key == "escape" and not self._arrived:
            self._state, self._said = "choosing", ""
            self.bench.hear_mouse()
            return
        if not self._arrived:
            self.set_timer(TOGETHER, self._judge)
        self._arrived.append(key)

    def _judge(self) -> None:
        kinds = list(dict.fromkeys(self._arrived))
        self._state = "judged"
        self._said = "The pedal sends " + ", ".join(shown_key(key) for key in kinds)
        if len(kinds) == 1 and kinds[0] not in MOUSE:
            self._said += f", the same as {TWINS.get(kinds[0], f'the {shown_key(kinds[0])} key')}"
        self._said += "."
        if len(kinds) == 1 and len(self._arrived) > 1:
            mouse = kinds[0] in MOUSE
            self._said += " A double click counts once." if mouse else " It repeats while held; repeats count once."
        self.show()

    def _keep(self) -> None:
        name, key = ACTIONS[self._chosen].name, self._arrived[0]
        self._write(name, lambda keys: tuple(dict.fromkeys([*keys, key])), f"Saved: {shown_key(key)}.")

    def _write(self, name: str, change: Callable[[tuple[str, ...]], tuple[str, ...]], said: str) -> None:
        """Changes the keys of an action; `change` makes the new keys from the old."""

        def changed(settings: Settings) -> Settings:
            keys = change(settings.keys[name])
            # Another window may have given one of them to another action since.
            for key in keys:
                if (owner := _owner(settings, key, name)) is not None:
                    raise StoreError(f"Not changed: {shown_key(key)} is the key for: {owner}.")
            return settings._replace(keys={**settings.keys, name: keys})

        self._change(changed, said)

    def _change(self, changed: Callable[[Settings], Settings], said: str) -> None:
        self._state = "choosing"
        self.bench.hear_mouse()
        try:
            self.bench.change_settings(changed)
            self._said = said
        except StoreError as error:
            self._said = str(error)


def _items(settings: Settings, chosen: int, width: int) -> list[Item]:
    """A line for each action: in two columns, action and keys, or with the keys in brackets where those don't fit."""
    longest = max(len(action.says) for action in ACTIONS)
    keys = [", ".join(map(shown_key, settings.keys[action.name])) or "none" for action in ACTIONS]
    texts = [f"{action.says:<{longest}}  {each}" for action, each in zip(ACTIONS, keys, strict=True)]
    if max(map(len, texts)) > width - MARGIN:
        texts = [f"{action.says} ({each})" for action, each in zip(ACTIONS, keys, strict=True)]
    return [Item(text, chosen=at == chosen) for at, text in enumerate(texts)]


def _has_mouse(settings: Settings) -> bool:
    """Whether a button of the mouse is a key of an action."""
    return any(key in MOUSE for keys in settings.keys.values() for key in keys)


def _owner(settings: Settings, key: str, but: str) -> str | None:
    """What the key does other than the action `but`; None when it is free."""
    return next((action.says for action in ACTIONS if action.name != but and key in settings.keys[action.name]), None)
