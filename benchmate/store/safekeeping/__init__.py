"""The pieces kept safe: copies of the database, taking them back, and the file for another machine."""
