"""What the second screen promises."""
