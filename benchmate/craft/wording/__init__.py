"""What is said: counts, steps, prompts, changes."""
