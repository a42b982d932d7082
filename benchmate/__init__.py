"""A tutor for the bench: one knot at a time, in large type, and the place is never lost."""

__version__ = "0.1.0"
