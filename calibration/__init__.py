"""Rebuilds the figures of `tether/sharpness/calibrated.py`: `python -m calibration`."""
