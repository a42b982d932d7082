"""The full screen. No other room uses the terminal framework."""
