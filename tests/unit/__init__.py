"""Fast tests without a screen."""
