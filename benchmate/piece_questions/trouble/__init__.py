"""What is asked when something went wrong, and what the answers mean."""
