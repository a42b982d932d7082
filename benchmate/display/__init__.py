"""Lines of cells, colours and large type, for every room that shows anything in a terminal."""
