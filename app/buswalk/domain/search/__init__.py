"""Which question to ask next when nobody knows address and settings."""
