"""Making much that stays, without looking through it for rubbish."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def loading() -> Iterator[None]:
    """Around what opens a piece or the screen: nearly all that is made there is needed to the end.

    Python would look through it for rubbish again and again while it is made, and at times between two presses later.
    Until the end of the block nothing is looked through, and what has been made by then never is.
    """
    gc.disable()
    try:
        yield
    finally:
        gc.freeze()
        gc.enable()
