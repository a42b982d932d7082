"""The step screen, and what goes on behind it."""
