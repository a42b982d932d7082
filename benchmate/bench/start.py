"""Opens the full screen."""

from benchmate.garbage_collection import paused_collection
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
    with paused_collection():
        from benchmate.bench.app import BenchApp

        app = BenchApp(kept, settings, opening)
    app.run()
    if opening is not None and app.left is not None and app.left.piece is not None:
        print(f"{app.left.title}: {app.left.progress.done}/{app.left.whole.size}, saved.")
    return app.return_code or 0
