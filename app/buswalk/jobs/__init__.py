"""Whole activities as generators of events over a Line and a Clock."""
