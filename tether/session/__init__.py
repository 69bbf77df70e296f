"""The record of a session, and the watch that fills it."""
