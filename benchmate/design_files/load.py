"""Reading design files: the keys of every design, its family's part, and its start and finish."""

import os
from collections.abc import Callable, Sequence
from typing import NamedTuple

from benchmate.craft.design import MOST_STEPS, Design, rows_fault, steps_in
from benchmate.craft.thread.gauge import FLOSS
from benchmate.craft.thread.kinds import KINDS
from benchmate.design_files.shelf import ENDING, nearest_name, path_of, shipped_folder
from benchmate.families.registration import Registration
from benchmate.families.registry import FAMILIES
from benchmate.files.fields import MOST_IN_NOTES, Faults, Fields
from benchmate.files.safe_text import is_gauge_name, quoted
from benchmate.files.strings import read_colours
from benchmate.files.tree import BadFile, FaultyNode, MappingNode, Problem, ScalarNode, parse_yaml, read_text

COMMON_KEYS = (
    *("benchmate", "title", "family", "colours", "thread", "repeats"),
    *("start", "finish", "notes", "author", "licence"),
)
"""The keys that a design of any family may have."""


class DesignFile(NamedTuple):
    """A good design and the file it was read from.

    `given` is the file's name as it was given, `path` its absolute path with links resolved, `text` its content.
    `start` and `finish` are the files of the designs worked before and after it. `warnings` are those of this file.
    """

    given: str
    path: str
    text: str
    design: Design
    start: "DesignFile | None"
    finish: "DesignFile | None"
    warnings: list[Problem]


class _Reading(NamedTuple):
    """The result of reading a text: `design` is valid only without errors; `links` are its start and finish."""

    design: Design | None
    faults: Faults
    links: dict[str, ScalarNode]


def parse(text: str, *, limit_texts: bool = True) -> tuple[Design | None, list[Problem]]:
    """The design in `text` and all problems in file order. The design is None when any problem is an error.

    Of `start` and `finish`, only the form of the name is checked. Without `limit_texts`, a text may have any length.
    """
    design, faults, _ = _read(text, limit_texts=limit_texts)
    return None if faults.errors else design, faults.in_file_order()


def _is_shipped(thread: str) -> bool:
    return thread in KINDS


def load(given: str, *, known_thread: Callable[[str], bool] = _is_shipped) -> DesignFile:
    """The design in the file `given`, or the shipped design of that name, with its start and finish.

    `start` and `finish` are looked for beside the file (or a link's target), then among the shipped designs. Raises
    BadFile with all problems in file order, warnings included. A thread that is not shipped is a warning, unless it is
    a `known_thread`.
    """
    found = path_of(given)
    text = _text_of(given, found)
    design, faults, links = _read(text, known_thread=known_thread)
    path = os.path.realpath(found)
    before = _linked("start", links, path, faults)
    after = _linked("finish", links, path, faults)
    if design is not None:
        extra = [file.design for file in (before, after) if file is not None]
        fault = total_steps_fault(design, extra, design.repeats)
        if fault is not None and not faults.errors:
            faults.error(next(iter(links.values())), fault)
    problems = faults.in_file_order()
    if faults.errors or design is None:
        raise BadFile(given, problems)
    return DesignFile(given, path, text, design, before, after, problems)


def start_and_finish(text: str, path: str) -> tuple[Design | None, Design | None]:
    """The start and the finish that a good design names, looked for as if its text were in a file at `path`."""
    _, faults, links = _read(text)
    before, after = (_linked(key, links, path, faults) for key in ("start", "finish"))
    return before and before.design, after and after.design


def faults_of_links(text: str, path: str) -> list[str]:
    """What is wrong with the start and finish that the design in `text` names, or with its steps together with theirs.

    They are looked for as if the text were in a file at `path`.
    """
    design, faults, links = _read(text)
    extra = [_linked(key, links, path, faults) for key in ("start", "finish")]
    if design is not None and not faults.errors:
        fault = total_steps_fault(design, [file.design for file in extra if file is not None], design.repeats)
        return [fault] if fault is not None else []
    return [problem.message for problem in faults.in_file_order() if not problem.warning]


def _text_of(given: str, path: str) -> str:
    """The text of the file at `path`. Raises BadFile, which calls the file `given`."""
    try:
        return read_text(path)
    except BadFile as bad:
        near = nearest_name(given) if path == given else None
        message = f"{bad.message}; did you mean the shipped design {quoted(near)}?" if near else bad.message
        raise BadFile(given, bad.problems, message) from None


def total_steps_fault(design: Design, extra: Sequence[Design], repeats: int) -> str | None:
    """The error when a design worked `repeats` times has too many steps with `extra`, its start and finish, or None."""
    steps = steps_in(design, repeats) + sum(map(steps_in, extra))
    if not extra or steps <= MOST_STEPS:
        return None
    return f"with its start and finish, the design makes {steps} steps; the limit is {MOST_STEPS}"


def _read(text: str, *, limit_texts: bool = True, known_thread: Callable[[str], bool] = _is_shipped) -> _Reading:
    root, problems = parse_yaml(text)
    faults = Faults(problems, limit_texts=limit_texts)
    if root is None:
        return _Reading(None, faults, {})
    if not isinstance(root, MappingNode):
        if not isinstance(root, FaultyNode):
            faults.error(root, "a design must consist of keys and values, such as `title: Tidewater`")
        return _Reading(None, faults, {})
    return _read_design(root, faults, known_thread)


def _read_design(root: MappingNode, faults: Faults, known_thread: Callable[[str], bool]) -> _Reading:
    registration = _registration(root)
    readers = [registration.reader] if registration else [each.reader for each in FAMILIES.values()]
    keys = [key for reader in readers for key in reader.keys]
    fields = Fields(root, {*COMMON_KEYS, *keys}, faults)
    fields.whole_number("benchmate", 1, 1, needed=True)
    fields.choice("family", FAMILIES, needed=True)
    title = fields.one_line("title", needed=True)
    colours = read_colours(fields)
    errors = faults.errors
    body = registration.reader.read(fields, colours) if registration else None
    sound = faults.errors == errors
    repeats = fields.whole_number("repeats", 1, MOST_STEPS)
    names = {key: fields.name(key) for key in ("start", "finish")}
    texts = {
        key: fields.text(key, most) for key, most in (("notes", MOST_IN_NOTES), ("author", None), ("licence", None))
    }
    thread = _thread(fields, known_thread)
    links: dict[str, ScalarNode] = {}
    for key, link in names.items():
        node = fields.node(key)
        if link is not None and isinstance(node, ScalarNode):
            links[key] = node
    if body is None or registration is None:
        return _Reading(None, faults, links)
    family = registration.family
    ends, said = (names["start"], names["finish"]), (texts["notes"], texts["author"], texts["licence"])
    design = Design(title or "", family, colours or {}, body, thread, repeats or 1, *ends, *said)
    fault = rows_fault(design, design.repeats)
    if fault is not None and repeats is not None:
        faults.error(fields.entry("repeats").value, fault)
    elif fault is None and sound:
        registration.reader.check(fields, body, design.repeats)
    return _Reading(design, faults, links)


def _registration(root: MappingNode) -> Registration | None:
    entry = root.entries.get("family")
    return FAMILIES.get(entry.value.text) if entry is not None and isinstance(entry.value, ScalarNode) else None


def _thread(fields: Fields, known: Callable[[str], bool]) -> str:
    """The thread as it is named, known or not: it may become known. What can be no name is that of floss."""
    scalar = fields.scalar("thread", what="the name of a gauge")
    if scalar is None:
        return FLOSS.name
    fits = fields.faults.check_length(scalar, "`thread`", scalar.text)
    could_be = is_gauge_name(scalar.text) and fits
    if not (could_be and known(scalar.text)):
        fields.faults.warning(scalar, f"unknown thread {quoted(scalar.text)}: `{FLOSS.name}` is used")
    return scalar.text if could_be else FLOSS.name


def _linked(key: str, links: dict[str, ScalarNode], path: str, faults: Faults) -> DesignFile | None:
    """The design that the key `start` or `finish` of the file `path` names; None without the key, or for a bad file."""
    place = links.get(key)
    if place is None:
        return None
    file_name = f"{place.text}{ENDING}"
    beside = os.path.join(os.path.dirname(path), file_name)
    # A broken link counts as a file, so that it is reported.
    found = beside if os.path.lexists(beside) else os.path.join(shipped_folder(), file_name)
    if not os.path.lexists(found):
        faults.error(
            place,
            f"no design {quoted(file_name)} for `{key}` beside this file or among the shipped designs",
        )
        return None
    try:
        text = read_text(found)
        design, inner, deeper = _read(text)
        problems = inner.in_file_order()
        if inner.errors or design is None:
            raise BadFile(found, problems)
    except BadFile as bad:
        for message in _messages(bad):
            faults.error(place, f"`{key}`: {quoted(file_name)} cannot be used: {message}")
        return None
    if design.family.name != "steps":
        message = f"`{key}`: {quoted(file_name)} must be of the family `steps` (found `{design.family.name}`)"
        faults.error(place, message)
        return None
    if deeper:
        faults.error(place, f"`{key}`: {quoted(file_name)} must not have a `{next(iter(deeper))}` of its own")
        return None
    return DesignFile(found, os.path.realpath(found), text, design, None, None, problems)


def _messages(bad: BadFile) -> list[str]:
    """Every error of a bad file, with its place in that file."""
    if bad.message is not None:
        return [bad.message]
    errors = [problem for problem in bad.problems if not problem.warning]
    return [f"line {problem.line}, column {problem.column}: {problem.message}" for problem in errors]
