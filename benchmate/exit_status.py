"""The exit statuses of the program."""

DONE, BAD_INPUT, BAD_COMMAND, BAD_STORE = 0, 1, 2, 3
"""Success; a faulty input file; a faulty command line; unusable storage of the program, or a full disk."""
FAULT = BAD_INPUT
"""A fault in the program itself, for which Python has this status too."""
