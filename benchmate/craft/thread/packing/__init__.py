"""Packing: lengths of one colour into offcuts and skeins, proven best where the search can prove it."""
