"""Lines of cells, colours and large type: what the other rooms need to show anything in a terminal."""
