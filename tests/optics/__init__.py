"""Promises of tether/optics."""
