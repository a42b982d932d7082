"""What the tied steps of a piece say: which they are in a changed design, and what they took."""
