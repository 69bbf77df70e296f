"""Tables of accuracy and of speed."""
