"""Where frames come from, and when a file is whole."""
