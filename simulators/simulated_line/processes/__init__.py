"""Process models that move the values: pure functions of line time, cheap, evaluated when a register is read."""
