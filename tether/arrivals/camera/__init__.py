"""Frames from a camera on a cable or on the network, fetched into the session's folder."""
