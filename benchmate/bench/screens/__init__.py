"""The screens beside the step screen."""
