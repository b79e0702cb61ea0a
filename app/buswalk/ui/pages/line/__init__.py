"""The page Line: the port, what it can tell, what is heard, and the pair along its cable."""
