"""A camera on loopback, through the real camera library, into a real folder and record."""
