"""What the mock studio promises."""
