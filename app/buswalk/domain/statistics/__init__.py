"""Counting arithmetic: what may be said of a share after so many trials."""
