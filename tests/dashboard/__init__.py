"""Promises of the dashboard."""
