"""The cut list as steps before the first knot."""
