"""Promises of tether/verdict."""
