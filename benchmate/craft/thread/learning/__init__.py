"""How a gauge learns from what a maker measured."""
