"""Thread, as asked about and told: what was left of a piece, what it used of the box, swatches and gauges."""
