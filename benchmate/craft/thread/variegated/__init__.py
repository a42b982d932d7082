"""Variegated thread: the colours along it, and where on them each string of a band is."""
