"""What is asked about a piece, and what the answers mean, the same on the full screen and line by line."""
