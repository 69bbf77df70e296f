"""Promises of every room, read as sentences."""
