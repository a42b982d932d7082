"""Accents and hooks for letters with strokes one knot wide, at any height."""

THIN = """
grave acute circumflex circumflex tilde tilde diaeresis diaeresis ring ring breve breve cedilla
#.    .#    .#.        .##.       .#.#  .##.# #.#       #..#      .#.  .##. #...# #..#  .#
.#    #.    #.#        #..#       #.#.  #..#. ...       ....      #.#  #..# .###. .##.  ##
..    ..    ...        ....       ....  ..... ...       ....      .#.  .##. ..... ....  ..

macron macron dot dot double-acute caron caron ogonek
###    ####   #   ##  .#..#        #.#   #..#  #.
...    ....   .   ..  #..#.        .#.   .##.  .#
"""
