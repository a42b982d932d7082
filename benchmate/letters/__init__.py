"""Letters for knotted bands: an alphabet drawn knot by knot in three heights, and text charted with it."""
