"""What a piece opened in a window is built on: its rows in the database, and how a window holds it."""
