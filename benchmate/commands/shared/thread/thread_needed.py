"""The thread that a design needs which is being written."""

import os
import sys
from typing import NamedTuple

from benchmate.craft.float_rules import USUAL, FloatRules, KnotSize
from benchmate.craft.thread.cut_list import cut_list
from benchmate.craft.thread.estimate import Estimate
from benchmate.craft.thread.gauge import FLOSS
from benchmate.craft.wording.cut_list_lines import in_all
from benchmate.craft.wording.length_words import UNITS, total_words
from benchmate.design_files.load import parse, start_and_finish
from benchmate.files.tree import BadFile
from benchmate.settings import read_settings
from benchmate.store import places
from benchmate.store.errors import StoreError
from benchmate.thread_gauges import estimate_named

MOST_STRETCHES = 5000
"""The most stretches of one colour to plan leading strings for, so that writing a design never takes long."""


class Floss(NamedTuple):
    """What is known of floss, the rules by which leading strings are planned, and the units of lengths for people."""

    estimate: Estimate = Estimate()
    rules: FloatRules = USUAL
    units: str = UNITS[0]


def known_floss() -> Floss:
    """What is kept of floss, and the settings.

    A design can be written where they cannot be read. Standard error says so then.
    """
    try:
        settings = read_settings(places.settings_file())
        estimate = estimate_named(places.home(), FLOSS.name)
    except (BadFile, StoreError) as error:
        print(f"{error}\nThe sizes are those of floss before anything was measured.", file=sys.stderr)
        return Floss()
    size = KnotSize.of(estimate.gauge)
    return Floss(estimate, settings.float_rules.with_size(size), settings.units)


def thread_needed(text: str, output: str | None, floss: Floss) -> str:
    """The line that says how much thread a good design of a picture takes, which is about to be written."""
    design, _ = parse(text)
    assert design is not None
    design = design._replace(body=design.family.with_float_rules(design.body, floss.rules))
    work = design.family.work(design.body, design.repeats)
    if (work.fewest_pickups() or 0) > MOST_STRETCHES:
        gauge = floss.estimate.gauge
        knots = total_words(work.size * (gauge.made_mm + gauge.base_mm), floss.units)
        return f"Thread: at least {knots} in the knots alone; benchmate thread counts floats and ends too."
    start, finish = start_and_finish(text, os.path.abspath(output or "design.yaml"))
    cuts = cut_list(design, floss.estimate, start=start, finish=finish)
    return f"{in_all(cuts, design, floss.units)}; benchmate thread says how to cut it."
