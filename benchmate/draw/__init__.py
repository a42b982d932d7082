"""The finished band drawn: laid out in millimetres, then written as a picture or painted in a terminal."""
