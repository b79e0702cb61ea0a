"""Finding out which registers mean the value that a display shows."""
