"""Whether a band fits a wrist, and how thick wrists are."""
