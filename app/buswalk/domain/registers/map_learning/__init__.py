"""Learning which addresses of a device can be read, with as few requests as the map allows."""
