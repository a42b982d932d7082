"""The commands for what comes before the first knot: thread to cut, from what, and whether the band fits."""
