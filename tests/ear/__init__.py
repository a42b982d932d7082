"""What a maker understands of the prompts, from how prompts are worded and without the code that words them."""
