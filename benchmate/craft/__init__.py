"""The pure heart: knots, designs, the work they make, its orders, and what rests on what. Values in, values out."""
