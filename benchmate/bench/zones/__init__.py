"""The zones of the step screen, as lines of cells."""
