"""The rules: what a measurement means for a picture. No pixels, no files."""
