"""Between the screens and the terminal: key presses, painting cells, terminals with few colours."""
