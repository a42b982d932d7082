"""The parts of the first screen: its shelves, the line under the cursor, and what can be done with it."""
