"""Words for people: counts, steps, prompts, changes."""
