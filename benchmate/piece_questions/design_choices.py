"""What to do when a piece's design file has changed since it was begun."""

from benchmate.craft.wording.counting import counted
from benchmate.piece_opening import OpenedPiece
from benchmate.store.open_piece import OpenPiece

KEEP, CHANGED, NEW = "keep", "changed", "new"
"""The choices: the piece's own copy, the changed design, a new piece."""


def notice(opening: OpenedPiece, review: str) -> str:
    """A notice about the design file; empty when it has not changed. `review` is the key or word to review it."""
    if opening.broken:
        return f"The design file can't be used now; this piece keeps its own copy. {opening.broken}"
    if opening.changed:
        return f"Design file changed ({review}: review): {'; '.join(opening.changed)}. This piece keeps its own copy."
    return ""


def unchanged(opening: OpenedPiece) -> str:
    """What to say about a design file that can be used and has not changed, or is gone."""
    if opening.file is None:
        return "The design file is gone; this piece keeps its own copy."
    return "The design file has not changed since you began this piece."


def question(opening: OpenedPiece) -> str:
    """What has changed."""
    return f"The file has changed since you began this piece: {'; '.join(opening.changed)}."


def choices(opening: OpenedPiece, held: OpenPiece) -> list[tuple[str, str]]:
    """What can be done, each with its words."""
    found = [(KEEP, "continue with this piece's own copy")]
    if opening.updated is not None:
        out = opening.updated.comes_out(held)
        says = "continue with the changed design; every tied knot is the same in it"
        if out:
            says = f"continue with the changed design; first undo {counted(out, 'step')} of the finish, last first"
        found.append((CHANGED, says))
    return [*found, (NEW, "begin a new piece on the changed design; keep this one")]
