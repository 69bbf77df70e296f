"""Promises of tether/session/shot_list."""
