"""The rows of pieces in the database."""
