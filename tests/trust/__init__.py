"""Tests of everything a maker must be able to rely on, even after kills, faults and hostile files."""
