"""The site as planned: devices, their addresses and places on the cable."""
