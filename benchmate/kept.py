"""All that the program keeps, opened. What only some commands need of it is imported when they ask for it."""

from functools import cached_property
from typing import TYPE_CHECKING

from benchmate.craft.design import Design
from benchmate.craft.float_rules import USUAL, FloatRules, KnotSize
from benchmate.store import places
from benchmate.store.holders import Holder
from benchmate.store.pieces import Pieces

if TYPE_CHECKING:
    from benchmate.craft.thread.cutting_steps.to_cut import KnownThread


class Kept:
    """The database of pieces and the locks on them, open for this program. Raises StoreError when unusable."""

    def __init__(self) -> None:
        self.home = places.home()
        self.pieces = Pieces(self.home)
        try:
            self.holder = Holder(self.home.holders)
        except BaseException:  # Whatever went wrong, the database must not stay open.
            self.pieces.close()
            raise

    def keep_copy(self) -> None:
        """Makes a copy of the database, if there is anything new in it. Raises StoreError when that fails."""
        from benchmate.store.safekeeping.keeping import make_copy

        self.pieces.refuse_gone()
        make_copy(self.home)

    @cached_property
    def float_rules(self) -> FloatRules:
        """The maker's rules for floats, from the settings. Raises BadFile when those cannot be read."""
        from benchmate.settings import read_settings

        return read_settings(places.settings_file()).float_rules

    def float_rules_for(self, design: Design, piece: int | None = None) -> FloatRules:
        """These rules for a design that needs them. For others the settings are not read, and may be faulty.

        A new piece is planned by the size that the knots of the design's thread have now. A piece goes on by the size
        it was begun with: a gauge that learns must not replan what is half made. Raises StoreError.
        """
        if design.family.float_rules(design.body) is None:
            return USUAL
        if piece is not None:
            return self.float_rules.with_size(self.pieces.knot_size_of(piece) or KnotSize())
        from benchmate.thread_gauges import knot_size_for

        return self.float_rules.with_size(knot_size_for(self.home, design))

    def thread_for(self, design: Design) -> "KnownThread":
        """What is known of the thread of a design, and the units for its lengths. Raises StoreError."""
        from benchmate.craft.thread.cutting_steps.to_cut import KnownThread
        from benchmate.settings import units_or_usual
        from benchmate.thread_gauges import estimate_for

        return KnownThread(estimate_for(self.home, design), units_or_usual(places.settings_file()))

    def close(self) -> None:
        """Closes the database and lets go of every piece."""
        self.holder.close()
        self.pieces.close()
