"""The adapter between the pair and the program that asks."""
