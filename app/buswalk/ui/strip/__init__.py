"""The live strip of the line."""
