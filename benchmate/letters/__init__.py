"""Letters for knotted bands: an alphabet drawn knot by knot in three heights, and setting a text in it as a chart."""
