"""The whole job line by line on standard input and output, for screen readers, braille lines and pipes."""
