"""The help pages and their layout, for the command `help` and the screen of help."""
