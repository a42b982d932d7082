"""Trouble in plain mode."""
