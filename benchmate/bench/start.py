"""Opening the full screen."""

from benchmate.bench.app import BenchApp
from benchmate.opening import Kept, Opening
from benchmate.settings import read_settings
from benchmate.store import places


def open_home() -> int:
    """Opens on the list of pieces and designs; returns the exit status."""
    kept = Kept()
    try:
        return open_bench(kept, None)
    finally:
        kept.close()


def open_bench(kept: Kept, opening: Opening | None) -> int:
    """Opens on a piece; returns the exit status. Raises BadFile when the settings cannot be read."""
    app = BenchApp(kept, read_settings(places.settings_file()), opening)
    app.run()
    return app.return_code or 0
