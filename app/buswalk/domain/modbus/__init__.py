"""Modbus frames: requests, strict replies, what can come back, and what an exchange was."""
