"""Alpha bands: pictures and letters."""
