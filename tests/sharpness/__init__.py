"""Promises of the room of sharpness."""
