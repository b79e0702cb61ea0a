"""A simulated RS-485 line: one pair of wires with bits, receivers, devices and faults on it."""
