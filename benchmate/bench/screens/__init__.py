"""Every screen but the step screen."""
