"""Thread: what each string of a band needs, what to cut, from what, and how long the band comes out."""
