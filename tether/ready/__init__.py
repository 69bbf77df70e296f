"""What is looked at before a session begins."""
