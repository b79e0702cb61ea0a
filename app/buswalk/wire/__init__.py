"""The real serial port. The only importer of pyserial."""
