"""Sheets for paper: laid out in plain Python, in millimetres, and drawn to PDF."""
