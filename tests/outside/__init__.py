"""Tests against published values and reference libraries."""
