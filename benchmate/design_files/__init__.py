"""Whole design files, and the shelf of those that ship."""
