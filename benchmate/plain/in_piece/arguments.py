"""What follows a word on its line: kinds and numbers."""

from collections.abc import Sequence

from benchmate.plain.choices import whole_number


def kind_and_number(given: str, kinds: Sequence[str], usual: str) -> tuple[str, int] | None:
    """`row 12` or `12`, which counts what is `usual`; kinds may be in the plural. None for anything else."""
    kind, _, digits = given.rpartition(" ")
    kind = kind.strip().removesuffix("s") or usual
    number = whole_number(digits)
    return None if number is None or kind not in kinds else (kind, number)


def number_and_kind(given: str) -> tuple[int, str] | None:
    """`12 repeats`, `40 rows`, each also in the singular; None for anything else."""
    digits, _, kind = given.partition(" ")
    number, kind = whole_number(digits), kind.strip().removesuffix("s")
    return None if number is None or kind not in ("repeat", "row") else (number, kind)
