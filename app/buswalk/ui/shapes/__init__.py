"""Shapes of outcomes, addresses and signs, as drawing functions: vectors, any size, no font, no picture file."""
