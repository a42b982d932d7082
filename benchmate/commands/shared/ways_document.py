"""The way of working in JSON documents."""

from benchmate.craft.ways import Way


def hands_document(way: Way) -> dict[str, object]:
    """The keys `from` and `mirrored`, each only where chosen."""
    found: dict[str, object] = {}
    if way.from_right:
        found["from"] = "right"
    if way.mirrored:
        found["mirrored"] = True
    return found
