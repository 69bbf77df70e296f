"""Promises of tether/verdict/advice."""
