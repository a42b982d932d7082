"""Trouble with a picture: a lost place."""
