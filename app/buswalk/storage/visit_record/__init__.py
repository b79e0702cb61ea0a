"""The record of one visit: a SQLite file with every byte, every exchange and everything that was said."""
