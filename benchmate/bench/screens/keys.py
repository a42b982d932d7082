"""All keys, and the screen on which a pedal is given its action."""

from collections.abc import Callable
from typing import ClassVar

from textual.binding import Binding, BindingType

from benchmate.actions import ACTIONS, RESERVED, key_named, shown_key
from benchmate.bench.screens.bench_protocol import Bench
from benchmate.bench.screens.help import HelpScreen
from benchmate.bench.screens.lines_screen import LinesScreen
from benchmate.bench.screens.page import Item, page
from benchmate.bench.terminal.judged_key import Key
from benchmate.display.cells import Line
from benchmate.settings import Settings
from benchmate.store.database import StoreError

TOGETHER = 0.4
"""Seconds in which key events belong to one push of a pedal."""
NOTHING = 6.0
"""Seconds after which a pedal has sent nothing that arrives here."""
TWINS = {
    "tab": "ctrl+i",
    "enter": "ctrl+m and the enter key of the number pad",
    "escape": "ctrl+[",
    "backspace": "ctrl+h in some terminals",
    "space": "F18 in some terminals",
}
"""Keys that arrive as the same thing as others, in terminals of the older kind."""


class KeysScreen(LinesScreen[None]):
    """Every action on the step screen and its keys."""

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
        """A line an action."""
        settings = self.bench.settings
        items = _items(settings, self._chosen)
        guard = f"Presses of one key under {settings.guard / 1000:.2g} s apart count once."
        foot = "up/down   p: press your pedal now   h: help pages   escape: back"
        return page("KEYS", [guard], items, foot, width, height, self.palette)

    def action_move(self, by: int) -> None:
        """To the action above or below, where there is not room for all."""
        self._chosen = min(max(0, self._chosen + by), len(ACTIONS) - 1)
        self.show()

    def action_help(self) -> None:
        """Opens the help pages."""
        self.app.push_screen(HelpScreen(self.bench))

    def action_pedal(self) -> None:
        """Gives a pedal its action."""
        self.app.push_screen(PedalScreen(self.bench), lambda _: self.show())


class PedalScreen(LinesScreen[None]):
    """Takes whatever a pedal sends, says how it arrived, and keeps it as a key of an action."""

    def __init__(self, bench: Bench) -> None:
        super().__init__(bench)
        self._chosen = 0
        self._state = "choosing"
        self._arrived: list[str] = []
        self._said = ""
        self._waiting = 0

    def lines(self, width: int, height: int) -> list[Line]:
        """What to do now."""
        settings = self.bench.settings
        name, says = ACTIONS[self._chosen].name, ACTIONS[self._chosen].says
        if self._state == "choosing":
            items = _items(settings, self._chosen)
            texts = ["Which action is the pedal for?"] + ([self._said] if self._said else [])
            foot = "up/down, then enter   d: the usual keys again   escape: back"
            return page("PEDAL", texts, items, foot, width, height, self.palette)
        if self._state == "listening":
            foot = "escape: back" if not self._arrived else "..."
            return page("PRESS IT NOW", [f"For: {says}.", self._said], [], foot, width, height, self.palette)
        fault = self._fault(settings, name)
        answers = [] if fault else [Item(f"yes, use it for: {says}", "y")]
        answers.append(Item("no, try again", "n"))
        return page("ARRIVED", [self._said, fault or ""], answers, "escape: back", width, height, self.palette)

    def _fault(self, settings: Settings, name: str) -> str | None:
        kinds = list(dict.fromkeys(self._arrived))
        if len(kinds) > 1:
            return "One push came as several keys, so it cannot be told from typing. Set the pedal to send one key."
        if key_named(shown_key(kinds[0])) is None:
            return "That is not a key that arrives the same way in every terminal. Set the pedal to send another."
        if kinds[0] in RESERVED:
            return "That key leaves or stops the program. Set the pedal to send another."
        owner = _owner(settings, kinds[0], name)
        return None if owner is None else f"That is already the key for: {owner}. It cannot mean both."

    def on_key(self, event: Key) -> None:
        """Every key event there is, pedals' included."""
        event.stop()
        if self._state == "listening":
            self._heard(event.press.key)
        elif event.key == "escape":
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
            self._usual_keys()

    def _usual_keys(self) -> None:
        settings, action = self.bench.settings, ACTIONS[self._chosen]
        for key in action.keys:
            owner = _owner(settings, key, action.name)
            if owner is not None:
                self._said = f"Not done: {shown_key(key)} is the key for: {owner}. It cannot mean both."
                return
        self._write(action.name, lambda _: action.keys, "The usual keys are back.")

    def _listen(self) -> None:
        self._state, self._arrived, self._said = "listening", [], ""
        self._waiting += 1
        waiting = self._waiting
        self.set_timer(NOTHING, lambda: self._nothing(waiting))

    def _nothing(self, waiting: int) -> None:
        if self._state == "listening" and waiting == self._waiting and not self._arrived:
            self._said = "Nothing has arrived: the terminal keeps this key to itself. Set the pedal to send another."
            self.show()

    def _heard(self, key: str) -> None:
        if key == "escape" and not self._arrived:
            self._state, self._said = "choosing", ""
            return
        if not self._arrived:
            self.set_timer(TOGETHER, self._judge)
        self._arrived.append(key)

    def _judge(self) -> None:
        kinds = list(dict.fromkeys(self._arrived))
        self._state = "judged"
        self._said = "It arrived as: " + ", ".join(shown_key(key) for key in kinds) + "."
        if len(kinds) == 1:
            twin = TWINS.get(kinds[0], "the same key of a keyboard")
            self._said += f" The terminal cannot tell it from {twin}."
            if len(self._arrived) > 1:
                self._said += " It repeats while held; repeats are counted once."
        self.show()

    def _keep(self) -> None:
        name, key = ACTIONS[self._chosen].name, self._arrived[0]
        self._write(name, lambda keys: tuple(dict.fromkeys([*keys, key])), f"Kept: {shown_key(key)}.")

    def _write(self, name: str, change: Callable[[tuple[str, ...]], tuple[str, ...]], said: str) -> None:
        """Has the keys of an action changed; `change` makes of those it has those that it is to have."""

        def changed(settings: Settings) -> Settings:
            keys = change(settings.keys[name])
            # Another window may have given one of them away meanwhile.
            for key in keys:
                if (owner := _owner(settings, key, name)) is not None:
                    raise StoreError(f"Not done: {shown_key(key)} is the key for: {owner}. It cannot mean both.")
            return settings._replace(keys={**settings.keys, name: keys})

        self._state = "choosing"
        try:
            self.bench.change_settings(changed)
            self._said = said
        except StoreError as error:
            self._said = str(error)


def _items(settings: Settings, chosen: int) -> list[Item]:
    """Every action with its keys, a line each."""
    return [
        Item(f"{action.says}: {', '.join(map(shown_key, settings.keys[action.name])) or 'none'}", chosen=at == chosen)
        for at, action in enumerate(ACTIONS)
    ]


def _owner(settings: Settings, key: str, but: str) -> str | None:
    """What else than the action `but` the key does, in words; None when it is free."""
    return next((action.says for action in ACTIONS if action.name != but and key in settings.keys[action.name]), None)
