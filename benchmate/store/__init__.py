"""The saved pieces: the log of what was tied and untied, and which window holds a piece now."""
