"""Rebuilds the figures of `tether/sharpness/calibration.toml`: `python -m calibration`."""
