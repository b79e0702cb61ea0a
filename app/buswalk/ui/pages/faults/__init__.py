"""The page Faults: what was not clean in a record, when, how often, and each exchange byte by byte."""
