"""How batches of the bus process come into the window."""
