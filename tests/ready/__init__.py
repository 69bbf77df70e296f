"""Promises of tether/ready."""
