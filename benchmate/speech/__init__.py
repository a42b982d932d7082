"""The voice: each prompt is spoken by a process of its own, so that no failure of speech reaches the work."""
