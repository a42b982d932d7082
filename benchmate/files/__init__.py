"""Reading designs from files: every fault found in one run, each with its place."""
