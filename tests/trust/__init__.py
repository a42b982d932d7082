"""Tests of what a maker has to be able to rely on, whatever comes."""
