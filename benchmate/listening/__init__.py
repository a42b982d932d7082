"""Listening: a clap or a tap on the table as a pedal."""
