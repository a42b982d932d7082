"""What is damaged of the box and the gauges, as the commands say it."""

import sys

from benchmate.files.safe_text import shown
from benchmate.store import places
from benchmate.store.thread.box import damage_of


def say_damage() -> None:
    """Says on standard error what is damaged of the box and the gauges, if anything is."""
    damage = damage_of(places.home())
    if damage is not None:
        print(f"benchmate: {shown(str(damage))}", file=sys.stderr)
