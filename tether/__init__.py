"""Tells a photographer during the session which frames are soft, why, and what to change."""

__version__ = "0.1.0"
