"""Reading and writing files: every problem found in one run, each with its place."""
