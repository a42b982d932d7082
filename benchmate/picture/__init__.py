"""From a picture to an alpha design: opening it safely, giving every knot a thread, and writing the design."""
