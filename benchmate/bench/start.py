"""Opens the full screen."""

import sys

from benchmate.exit_status import FAULT
from benchmate.files.safe_text import shown
from benchmate.garbage_collection import paused_collection
from benchmate.piece_exchange import LOST, copy_after_work, rescued
from benchmate.piece_opening import Kept, OpenedPiece
from benchmate.settings import read_settings
from benchmate.store import places


def open_home() -> int:
    """Opens on the list of pieces and designs; returns the exit status."""
    kept = Kept()
    try:
        return open_bench(kept, None)
    finally:
        kept.close()


def open_bench(kept: Kept, opening: OpenedPiece | None) -> int:
    """Opens on a piece, or on the list for None; returns the exit status. Raises BadFile for unreadable settings."""
    settings = read_settings(places.settings_file())
    kept.float_rules = settings.float_rules
    with paused_collection():
        from rich.console import Console

        from benchmate.bench.app import BenchApp

        app = BenchApp(kept, settings, opening)
        # What is said after the screen is closed passes the standard streams, which let no colours through.
        app.error_console = Console(stderr=True, markup=False, highlight=False, color_system=None)
    app.run(mouse=False)
    if app.lost is not None:
        raise app.lost
    if app.open_piece is not None:
        # Ended by a signal, with nobody there to be asked.
        try:
            app.open_piece.check_saved()
        except LOST as error:
            raise rescued(app.open_piece, error) from error
    notice = copy_after_work(kept, app.left)
    if notice is not None:
        print(notice, file=sys.stderr)
    if opening is not None and app.left is not None and app.left.piece is not None:
        print(f"{shown(app.left.title)}: {app.left.progress.done}/{app.left.whole.size}, saved.")
    # The framework has no status only when it stopped because of an error.
    return FAULT if app.return_code is None else app.return_code
