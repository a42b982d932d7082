"""The pure core: knots, designs, steps, working orders and what rests on what. Values in, values out."""
