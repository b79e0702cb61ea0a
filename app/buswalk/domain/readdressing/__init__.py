"""Setting a device to another address or speed by writing: what is meant, what was seen, where it is. Sends nothing."""
