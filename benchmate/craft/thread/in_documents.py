"""Lengths and gauges in documents. What is rounded is rounded from unrounded numbers, a half either way."""

from decimal import Decimal

from benchmate.craft.thread.gauge import Gauge


def mm_in_document(mm: float | Decimal) -> float:
    """A length: mm with one decimal."""
    return round(float(mm), 1)


def gauge_number(mm: float | Decimal) -> float:
    """A number of a gauge: mm with up to three decimals."""
    return round(float(mm), 3)


def gauge_document(gauge: Gauge) -> dict[str, object]:
    """A gauge, its numbers in mm."""
    return {name: gauge_number(value) if isinstance(value, float) else value for name, value in gauge._asdict().items()}
