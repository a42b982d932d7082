"""The full screen: driven as an app, and in a terminal of its own."""
