"""The faults there are, in the order of the table."""

from tests.faults import (
    at_once,
    corruption,
    failing_disk,
    going_away,
    kills_of_box,
    kills_of_commands,
    kills_of_marks,
    kills_on_screen,
    kills_plain,
    mutated_binaries,
    mutated_exports,
    mutated_texts,
    small_disk,
)

FAULTS = (
    kills_plain.FAULT,
    kills_on_screen.FAULT,
    kills_on_screen.SEVERAL,
    kills_of_commands.WRITING,
    kills_of_commands.READING,
    kills_of_box.FAULT,
    kills_of_marks.FAULT,
    corruption.FAULT,
    going_away.PLAIN,
    going_away.BENCH,
    failing_disk.PLAIN,
    failing_disk.BENCH,
    failing_disk.BOX,
    failing_disk.READS,
    failing_disk.WRITES,
    small_disk.FAULT,
    *mutated_texts.DESIGNS,
    mutated_texts.SETTINGS,
    mutated_binaries.IMAGES,
    mutated_binaries.PLANS,
    mutated_exports.FAULT,
    at_once.FAULT,
    at_once.BOX,
)
"""Every kind of attack."""
