"""Drawings of the finished band: laid out in millimetres, then written as a picture or shown in a terminal."""
