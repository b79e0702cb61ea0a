"""The simulator's own CRC and PDUs. It shares no code with the program that asks, so that each checks the other."""
