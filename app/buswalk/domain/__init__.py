"""Pure values, codecs, state machines and decisions: no IO, no clock, no randomness."""
