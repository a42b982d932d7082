"""A help page in plain lines, and what to say where there is no such page."""

from collections.abc import Mapping, Sequence

from benchmate.files.safe_text import nearest, quoted

PLAIN_MODE, ON_SCREEN = "IN PLAIN MODE", "ON THE FULL SCREEN"


def help_lines(topic: str, keys: Mapping[str, tuple[str, ...]]) -> list[str] | None:
    """A page, one thing a line, with the person's own `keys`; None where there is no page of that name."""
    # Imported here: most pieces are worked without help.
    from benchmate.help.topics import TOPICS, page_in_sentences, summary

    topic = topic.casefold()
    if topic not in TOPICS:
        return None
    page = [f"{topic}: {summary(topic)}", *_plain_mode_first(page_in_sentences(topic, keys))]
    # Backticks set off words on a page; read aloud they are in the way.
    return [line.replace("`", "") for line in page]


def _plain_mode_first(page: Sequence[str]) -> list[str]:
    """The lines of a page, first what it says of plain mode under a heading of its own."""
    if PLAIN_MODE not in page:
        return [*page]
    begin = page.index(PLAIN_MODE)
    end = next((at for at in range(begin + 1, len(page)) if page[at].isupper()), len(page))
    return [*page[begin:end], ON_SCREEN, *page[:begin], *page[end:]]


def no_page(topic: str) -> str:
    """What to say about a name that is no page, with the page that may be meant."""
    from benchmate.help.topics import TOPICS

    found, near = nearest(topic, TOPICS)
    hint = f" Did you mean help {found}?" if near else ""
    return f"No help page {quoted(topic)[1:-1]}.{hint} Pages: {', '.join(TOPICS)}."
