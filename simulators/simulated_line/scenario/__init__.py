"""Scenario files: a site, its devices, what is wrong with it, and what a good tool finds."""
