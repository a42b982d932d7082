"""Where a piece ends, and what comes after its last step."""
