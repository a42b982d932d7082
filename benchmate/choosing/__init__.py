"""What there is to choose from: pieces, lessons and designs, all about one of them, and how pieces are kept."""
