"""What can be done inside a piece, line by line: a module for each kind of word."""
