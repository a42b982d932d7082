"""Diagonal bands."""
