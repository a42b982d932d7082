"""The families of designs, one folder each."""
