"""The families of designs, a folder each: what only it knows."""
