"""Colours: contrast, and how different they look."""
