"""The page Plan: the planned list in the order of the cable."""
