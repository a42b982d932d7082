"""The exit statuses of the program."""

DONE, BAD_INPUT, BAD_COMMAND, BAD_STORE = 0, 1, 2, 3
"""All went well; a file is at fault; the command line is; what the program keeps cannot be used, or a disk is full."""
