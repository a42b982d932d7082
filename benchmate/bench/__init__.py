"""The full screen: the only room that knows the terminal framework."""
