"""Pieces in written steps."""
