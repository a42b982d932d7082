"""Benchmarks: how long and how large, always beside a floor taken in the same run. Nothing here asserts seconds."""
