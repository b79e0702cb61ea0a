"""Server devices: a register map, what they answer, and their habits."""
