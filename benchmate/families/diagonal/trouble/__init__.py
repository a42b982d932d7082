"""Trouble with a diagonal band: wrong knots, a lost place, a string that runs short."""
