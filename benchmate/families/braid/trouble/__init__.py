"""Trouble with a braid: a lost place."""
