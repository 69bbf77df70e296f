"""Promises of tether/alerts."""
