"""The table of faults in Markdown, and under it each failure with what runs it again."""

from collections.abc import Sequence

from benchmate.files.safe_text import shown
from tests.faults.trial import Result

MOST_SHOWN = 12
"""Failed trials listed of one fault; the rest are counted."""
MOST_OF_ONE = 2
"""Failures of one kind listed of one trial."""
LONGEST = 600
"""Characters of one failure."""


HEADS = ("| fault | tried | lost | told wrongly |", "| --- | ---: | ---: | ---: |")
"""The first lines of the table."""


def row(result: Result) -> str:
    """The line of a fault in the table."""
    if result.not_tried:
        return f"| {result.name} | not tried: {result.not_tried} | | |"
    return f"| {result.name} | {len(result.outcomes):,} | {result.lost:,} | {result.told:,} |"


def failures(results: Sequence[Result], seed: int) -> list[str]:
    """A line for each failed trial: what it found, and the arguments that run it again alone."""
    lines: list[str] = []
    for result in results:
        failed = [outcome for outcome in result.outcomes if outcome.lost or outcome.told]
        for outcome in failed[:MOST_SHOWN]:
            found = [f"LOST {what}" for what in outcome.lost[:MOST_OF_ONE]]
            found += [f"TOLD WRONGLY {what}" for what in outcome.told[:MOST_OF_ONE]]
            again = f"--only '{result.name}' --seed {seed} --trial {outcome.number}"
            lines += [f"{result.name}: {_one_line(each)}  ({again})" for each in found]
        if len(failed) > MOST_SHOWN:
            lines.append(f"{result.name}: {len(failed) - MOST_SHOWN} more trials failed")
    return lines


def _one_line(text: str) -> str:
    short = text if len(text) <= LONGEST else f"{text[: LONGEST // 2]} … {text[-LONGEST // 2 :]}"
    return shown(short.replace("\n", " / "))
