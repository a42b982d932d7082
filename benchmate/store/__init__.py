"""What is kept: the pieces, the log of what was tied and what came out, and who holds a piece now."""
