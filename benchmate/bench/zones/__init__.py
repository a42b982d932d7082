"""The zones the step screen is put together from."""
