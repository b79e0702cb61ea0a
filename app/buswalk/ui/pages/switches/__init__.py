"""The page Switches: from address to levers and dials and back, and what went wrong when they were set."""
