"""All that the program keeps, opened. What only some commands need of it is imported when they ask for it."""

from functools import cached_property

from benchmate.craft.design import Design
from benchmate.craft.float_rules import USUAL, FloatRules
from benchmate.store import places
from benchmate.store.holders import Holder
from benchmate.store.pieces import Pieces


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

    def float_rules_for(self, design: Design) -> FloatRules:
        """These rules for a design that needs them. For others the settings are not read, and may be faulty."""
        return USUAL if design.family.float_rules(design.body) is None else self.float_rules

    def close(self) -> None:
        """Closes the database and lets go of every piece."""
        self.holder.close()
        self.pieces.close()
