"""What a family can say when something went wrong, as values."""
