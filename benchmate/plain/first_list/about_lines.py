"""All about a piece or a design in lines, as the preview beside the list shows it, without the drawing."""

from collections.abc import Sequence

from benchmate.choosing.preview import PreviewSources, preview_of
from benchmate.choosing.shelves import Entry, with_last_day
from benchmate.craft.colours.terminal_colours import TRUE_COLOUR
from benchmate.settings import Settings
from benchmate.store.reading import Piece, PieceReader


def about_lines(entry: Entry, reader: PieceReader, pieces: Sequence[Piece], settings: Settings) -> list[str]:
    """A line for each thing to know, at the pace of all `pieces`. Raises StoreError for an unreadable piece."""
    sources = PreviewSources(reader, lambda: settings)
    sources.forget(pieces)
    preview = preview_of(sources.wanted(entry, TRUE_COLOUR))
    lines = [entry.title, with_last_day(entry)]
    lines += [f"{fact.label}: {fact.value}" if fact.label else fact.value for fact in preview.facts]
    if preview.colours:
        lines.append(f"colours: {', '.join(colour.described for colour in preview.colours)}")
    return [line for line in (*lines, *preview.notes.splitlines()) if line.strip()]
