"""The step screen and its parts: voice, pace mode, search, questions, other windows."""
