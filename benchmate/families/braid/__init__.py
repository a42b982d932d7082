"""Braids on a slotted disk."""
