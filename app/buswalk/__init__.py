"""buswalk: commissioning and diagnosis of Modbus RTU devices on an RS-485 line."""

__version__ = "0.1.0"
