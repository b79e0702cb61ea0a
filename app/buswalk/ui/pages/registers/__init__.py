"""The page Registers: values of one device by a profile, every reading of its words, one guarded write at a time."""
