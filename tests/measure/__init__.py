"""Benchmarks of time and memory, each compared with a baseline from the same run. Nothing here asserts seconds."""
