"""Writes as values: what is meant, what speaks against it, what came of it, and how it is put back. Sends nothing."""
