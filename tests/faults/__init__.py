"""Attacks on the program: `python -m tests.faults` makes each many times, and counts what was lost or told wrongly."""
