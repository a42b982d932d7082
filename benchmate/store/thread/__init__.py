"""What is kept of the maker's thread: own gauges, the box of skeins and offcuts, and what was cut for a piece."""
