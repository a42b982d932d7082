"""What the list of plain mode says."""
