"""Whole design files, and the shelf of shipped designs."""
