"""The commands for when something went wrong."""
