"""What is put on a letter whose strokes are one knot wide, whatever its height."""

THIN = """
grave acute circumflex circumflex tilde tilde diaeresis diaeresis ring ring breve breve cedilla
#.    .#    .#.        .##.       .#.#  .##.# #.#       #..#      .#.  .##. #...# #..#  .#
.#    #.    #.#        #..#       #.#.  #..#. ...       ....      #.#  #..# .###. .##.  ##
..    ..    ...        ....       ....  ..... ...       ....      .#.  .##. ..... ....  ..

macron macron dot dot double-acute caron caron ogonek
###    ####   #   ##  .#..#        #.#   #..#  #.
...    ....   .   ..  #..#.        .#.   .##.  .#
"""
