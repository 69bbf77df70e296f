"""What one file says: its bytes, its pixels, its tags, and where it is meant to be sharp."""
