"""The voice: prompts spoken by a process of their own each, so that no failure of speech reaches the work."""
