"""Promises of tether/frame."""
