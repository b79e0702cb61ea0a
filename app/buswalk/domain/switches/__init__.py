"""Address switches: what a board's levers and dials mean, how to set them, and what went wrong when they were set."""
