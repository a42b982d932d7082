"""What the commands about trouble share: steps, colours and knots on the command line."""
