"""Ways for other programs to reach a simulated line: a pseudo terminal, and a serial server on the network."""
