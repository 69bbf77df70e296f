"""Promises of tether/report."""
