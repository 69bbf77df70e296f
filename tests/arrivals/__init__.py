"""The promises of the arrivals room."""
