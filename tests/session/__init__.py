"""Promises of tether/session."""
