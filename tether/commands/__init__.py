"""One file a command: short recipes that join the rooms below."""
