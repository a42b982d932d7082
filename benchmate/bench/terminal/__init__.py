"""The terminal under the screens: keys, lines of cells, few colours."""
