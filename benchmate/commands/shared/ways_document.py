"""How JSON documents say in which way something is worked."""

from benchmate.craft.ways import Way


def hands_document(way: Way) -> dict[str, object]:
    """What a document says of hands and mirrors, only where one of them was chosen."""
    found: dict[str, object] = {}
    if way.from_right:
        found["from"] = "right"
    if way.mirrored:
        found["mirrored"] = True
    return found
