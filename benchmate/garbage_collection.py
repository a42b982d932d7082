"""Opening a piece or the screen without pauses for garbage collection."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def paused_collection() -> Iterator[None]:
    """Pauses garbage collection while a piece or the screen opens; nearly everything made then is used to the end.

    Without this, Python would search those objects for garbage while they are made, and later between two presses.
    Whatever exists at the end of the block is never searched.
    """
    gc.disable()
    try:
        yield
    finally:
        gc.freeze()
        gc.enable()
