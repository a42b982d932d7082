"""The screens for when something went wrong."""
