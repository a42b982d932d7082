"""From an image to an alpha design: open it safely, choose a thread for every knot, and write the design."""
