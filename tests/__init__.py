"""The tests, and the tools they share."""
