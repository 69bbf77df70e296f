"""Promises of tether/commands."""
