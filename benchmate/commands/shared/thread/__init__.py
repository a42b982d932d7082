"""What the commands about thread share."""
