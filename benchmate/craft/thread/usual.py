"""The usual lengths of thread. Here, because the settings need them at every start and nothing else of cutting."""

USUAL_SKEIN = 8000.0
"""The length of a skein, mm (from memory; a maker corrects it)."""
USUAL_SCRAP = 300
"""An end shorter than this, mm, is too short to use."""
