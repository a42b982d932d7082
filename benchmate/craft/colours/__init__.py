"""Colours: how they stand out, and how different they look."""
