"""Thread at the bench: typed lengths, the gauges and how a swatch corrects them, and the box."""
